"""The planned messages of a day, in at most five lines."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from bot.wording.batches import water
from bot.wording.entries import day

LINES = 5


def head(day: date, counted: str) -> str:
    """ "Tue, 6 stops, 8 tanks, home about 16:20"."""
    return f"{day:%a}, {counted}"


def bring(waters: Sequence[tuple[str, float, bool]], things: Sequence[tuple[str, int]], us: bool) -> str | None:
    """ "Bring: 120 L salt (short), carbon x3"."""
    said = [f"{water(litres, us)} {kind}{' (short)' if short else ''}" for kind, litres, short in waters]
    said += [f"{thing} x{count}" if count > 1 else thing for thing, count in things]
    return f"Bring: {', '.join(said)}" if said else None


def watch(points: Sequence[tuple[str, str]]) -> str | None:
    """ "Watch: Tarnwick return pump noisy since Fri 6 Mar"."""
    return f"Watch: {' · '.join(f'{tank} {text}' for tank, text in points)}" if points else None


def fitted(lines: Sequence[str | None]) -> str:
    """What there is to say, in five lines."""
    return "\n".join([line for line in lines if line][:LINES])


def load(day: date, lines: Sequence[str]) -> str:
    """The whole load list."""
    return "\n".join((f"Load for {day:%a} {day.day} {day:%b}:", *lines)) if lines else f"Nothing to load for {day:%a}."


def holes(called: Sequence[str]) -> str | None:
    """Visits of next week that nobody is there for."""
    if not called:
        return None
    more = f" and {len(called) - 4} more" if len(called) > 4 else ""
    return f"Next week nobody goes: {', '.join(called[:4])}{more}"


def asked_before(what: Sequence[str]) -> str | None:
    """Proposals that still wait for a press."""
    return f"Waits for your press: {' · '.join(what)}" if what else None


def ends(ending: Sequence[tuple[str, str, date]], today: date) -> str | None:
    """ "Ends soon: Quillow Dental contract Sat 9 May"."""
    said = [f"{client} {what} {day(end, today)}" for client, what, end in ending]
    return f"Ends soon: {' · '.join(said)}" if said else None


def answers(learner: str, count: int) -> str:
    """What somebody who learns was answered this week."""
    return f"{learner}: {count} question{'s' * (count != 1)} answered this week"
