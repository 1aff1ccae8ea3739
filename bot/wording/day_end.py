"""The next stop, and how a day was."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import time

from bot.wording.quantities import number


def next_stop(called: str, at: time) -> str:
    """ "Next: Pellimore court 11:20"."""
    return f"Next: {called} {at:%H:%M}"


def day(hours: float, stops: int, tanks: int, left: Sequence[str]) -> str:
    """ "Day: 7 h 50 min, 5 stops, 6 tanks. Not done: Vantree hall"."""
    whole, minutes = divmod(round(hours * 60), 60)
    places = f", {stops} stop{'s' * (stops != 1)}, {tanks} tank{'s' * (tanks != 1)}" if stops else ""
    not_done = f". Not done: {', '.join(left)}" if left else ""
    return f"Day: {whole} h {minutes} min{places}{not_done}"


def left_open(found: Sequence[tuple[str, str]]) -> str:
    """ "Not safe yet: Quillow lobby return off · Vantree hall heater off"."""
    return f"Not safe yet: {' · '.join(f'{place} {thing}' for place, thing in found)}"


def pending(questions: int, running: int) -> str | None:
    """What still waits."""
    said = [f"{questions} question{'s' * (questions != 1)} left"] if questions else []
    said += [f"{running} still running"] if running else []
    return f"Pending: {' · '.join(said)}" if said else None


def took(things: Sequence[str]) -> str | None:
    """Stock taken today."""
    return f"Taken: {', '.join(things)}" if things else None


def thing(amount: float | None, what: str) -> str:
    """ "2 carbon"."""
    return f"{number(amount)} {what}" if amount is not None else what
