"""Quiet hours and days off of a person: when only what can hurt may make a sound."""

from __future__ import annotations

from datetime import datetime, time, timedelta

from bot.facts.load import table
from bot.team import Person

_DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def is_quiet(person: Person, local: datetime) -> bool:
    """Whether the local time lies in the person's quiet hours or on a day off that is set."""
    begins, ends = _hours(person)
    at = local.time()
    at_night = (at >= begins or at < ends) if begins > ends else begins <= at < ends
    return at_night or _DAYS[local.weekday()] in person.data.get("days_off", ())


def card_after(person: Person, local: datetime) -> datetime:
    """The morning card after that local time, on a day that is not off."""
    at = time.fromisoformat(table("pings")["quiet"]["card"])
    day = local.date() if local.time() < at else local.date() + timedelta(days=1)
    off = person.data.get("days_off", ())
    days = (day + timedelta(days=n) for n in range(8))
    free = next((d for d in days if _DAYS[d.weekday()] not in off), day)
    return datetime.combine(free, at, local.tzinfo)


def _hours(person: Person) -> tuple[time, time]:
    own = person.data.get("quiet") or {}
    usual = table("pings")["quiet"]
    return time.fromisoformat(own.get("from", usual["from"])), time.fromisoformat(own.get("to", usual["to"]))
