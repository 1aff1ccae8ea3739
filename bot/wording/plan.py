"""A plan as it is told: when one is out, the steps with their clock times, what it gains, what is left out and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from bot.wording.quantities import number

ON_A_LINE = 4
MOST_LINES = 3


@dataclass(frozen=True)
class Timed:
    """A step with when it starts."""

    name: str
    at: datetime


def head(now: datetime, out: datetime, gain_min: float) -> str:
    """ "Out 10:54 if you start now (09:40): 56 min gained"."""
    gained = f": {gain_min:.0f} min gained" if gain_min >= 1 else ""
    return f"Out {out:%H:%M} if you start now ({now:%H:%M}){gained}"


def steps(timed: Sequence[Timed]) -> list[str]:
    """The steps in lines: "09:40 float · :42 match mix · 10:02 drip"."""
    said, hour = [], None
    for step in timed:
        clock = f"{step.at:%H:%M}" if step.at.hour != hour else f":{step.at:%M}"
        said.append(f"{clock} {step.name}")
        hour = step.at.hour
    each = max(ON_A_LINE, -(-len(said) // MOST_LINES))
    return [" · ".join(said[i : i + each]) for i in range(0, len(said), each)]


def left_out(parts: Sequence[str], minutes: float, fits: bool) -> str | None:
    """What goes where time is short; what must be is said where even that does not fit."""
    gone = f"Left out: {', '.join(parts)}." if parts else ""
    if not fits:
        return f"Not within {number(minutes, 0)} min, with what must be. {gone}".strip()
    return gone or None


def which() -> str:
    """No tank is in hand."""
    return "Plan which visit? Send: plan, with the tank's name."


def nothing_left() -> str:
    """Everything is done."""
    return "Nothing left to plan here. Send leaving when packed."


def impossible(first: str | None) -> str:
    """No order keeps every longest time."""
    urgent = f" First: {first}." if first else ""
    return f"No order keeps every longest time any more.{urgent}"


def going(first: Timed) -> str:
    """The plan is taken."""
    return f"Next: {first.name} {first.at:%H:%M}"


def moved(out: datetime, was: datetime, following: str | None) -> str:
    """The plan, worked out anew because a step took longer, or less."""
    further = f"; {following} next" if following else ""
    return f"Next: out {out:%H:%M} now (was {was:%H:%M}){further}"


def why(hands_min: float, beside: Sequence[tuple[str, str, float]], proved: bool) -> list[str]:
    """Why this order: the hands, the waits that run beside them, and whether it is the best of all."""
    waits = ", ".join(f"{least:g} min before {after}" for _, after, least in beside[:4])
    best = "no order is out sooner" if proved else "the best found among very many orders"
    first = f"Hands {hands_min:.0f} min; {best}."
    return [first, f"Waits run beside them: {waits}."] if waits else [first]


def ask_part() -> str:
    """Which part is to go."""
    return "Leave out what? Gates and what stands open stay."


def cannot_leave() -> str:
    """There is nothing to leave out."""
    return "Nothing here can be left out: it is begun, or it must be."
