"""The card of a tank on arrival: at most four lines, nothing that is as always."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from bot.items import Reading
from bot.wording import entries, quantities


def head(tank: str, last_visit: date | None, today: date) -> str:
    """ "Oak lobby · 11 days since last"."""
    if last_visit is None:
        return f"{tank} · first visit on record"
    days = (today - last_visit).days
    since = "here today already" if days == 0 else "1 day since last" if days == 1 else f"{days} days since last"
    return f"{tank} · {since}"


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
