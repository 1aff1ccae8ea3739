"""The card pinned in a chat."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from bot.wording.entries import day


def line(due: str, what: str, is_gate: bool) -> str:
    """ "10:27 Brindlemoor bar: net + arch in bleach"; a gate that is open says so."""
    return f"{'HOLD' if is_gate else due} {what}"


def card(of: date, lines: Sequence[str], further: int, left: str | None) -> str | None:
    """A person's own: None where nothing runs and nothing is left."""
    if not lines and not left:
        return None
    more = [f"and {further} more"] if further > 0 else []
    stops = [f"Left today: {left}"] if left else []
    return "\n".join([f"{of:%a} {of.day} {of:%b}", *lines, *more, *stops])


def topic(tank: str, points: Sequence[str], jobs: Sequence[str], following: date | None, today: date) -> str:
    """A tank's: what is open, and when somebody comes next."""
    said = [f"Watch: {' · '.join(points)}"] if points else []
    said += [f"Next: {' · '.join(jobs)}"] if jobs else []
    visit = f", next visit {day(following, today)}" if following else ""
    return "\n".join([f"{tank}{visit}", *(said or ["Nothing open."])])
