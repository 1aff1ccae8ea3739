"""The guard against doing twice what must be done once: a dose, a feeding, a water change within one day."""

from __future__ import annotations

from bot.facts.load import table
from bot.items import Event


def once_a_day(item: Event) -> bool:
    """Whether a second one on the same day is to be stopped and asked about."""
    return item.event in table("doubles")["once_a_day"]["events"]


def same_act(new: Event, earlier: Event) -> bool:
    """Whether the two could be one and the same act told by two people: same tank, same thing, and for a dose the
    same substance where both name one.
    """
    if (new.event, new.tank) != (earlier.event, earlier.tank):
        return False
    return new.event != "dose" or not new.subject or not earlier.subject or _alike(new.subject, earlier.subject)


def _alike(first: str, second: str) -> bool:
    groups = [_groups(first), _groups(second)]
    return bool(groups[0] & groups[1])


def _groups(subject: str) -> set[str]:
    """What the words of a substance stand for: "bicarb" and "alk" both raise alkalinity."""
    words = set(subject.casefold().replace(",", " ").split())
    raises = table("doubles")["raises"]
    return words | {name for name, members in raises.items() if words & set(members)}
