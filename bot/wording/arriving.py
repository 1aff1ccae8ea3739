"""The card of a tank on arrival: at most four lines, nothing that is as always."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from bot.items import Reading
from bot.wording import entries, quantities


def head(tank: str, last_visit: date | None, today: date, planned_min: float | None = None) -> str:
    """ "Oak lobby · 11 days since last · 45 min planned"."""
    planned = f" · {planned_min:.0f} min planned" if planned_min else ""
    if last_visit is None:
        return f"{tank} · first visit on record{planned}"
    days = (today - last_visit).days
    since = "here today already" if days == 0 else "1 day since last" if days == 1 else f"{days} days since last"
    return f"{tank} · {since}{planned}"


def fitted(lines: Sequence[str | None]) -> list[str]:
    """What there is to say in three lines: the shortest two that follow each other share one where there are more."""
    said = [line for line in lines if line]
    while len(said) > LINES:
        pairs = range(len(said) - 1)
        first = min(pairs, key=lambda i: len(said[i]) + len(said[i + 1]))
        said[first : first + 2] = [f"{said[first].rstrip('.')}. {said[first + 1]}"]
    return said


LINES = 3


def last(readings: Sequence[Reading]) -> str | None:
    """The last numbers, in one line."""
    return f"Last: {' · '.join(map(quantities.reading, readings))}" if readings else None


def watch(remark: str | None) -> str | None:
    """The one watch point."""
    return f"Watch: {remark}" if remark else None


def jobs(texts: Sequence[str]) -> str | None:
    """What is to be done here."""
    return f"Next: {' · '.join(texts)}" if texts else None


def hazard(notes: str | None) -> str | None:
    """What people must know on site."""
    return notes or None


def also_here(names: Sequence[str]) -> str | None:
    """A colleague at the same tank."""
    return f"{', '.join(map(entries.name, names))} {'is' if len(names) == 1 else 'are'} here too" if names else None


def claimed(who: str, tank: str, what: str) -> str:
    """To colleagues at the tank."""
    return f"{tank}: {entries.name(who)} has the {what}"


def noted_claim(tank: str, what: str, colleagues: Sequence[str]) -> str:
    """To whoever takes the job."""
    told = f"; {', '.join(map(entries.name, colleagues))} told" if colleagues else ""
    return f"{tank}: the {what} is yours{told}"
