"""What stands in the team's group: one summary a visit, plain and without names of those who erred."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Protocol
from zoneinfo import ZoneInfo

from bot.items import Event, Item, Reading
from bot.wording import entries, quantities


class Said(Protocol):
    """An entry with who said it and when it held."""

    @property
    def who(self) -> str: ...
    @property
    def at(self) -> datetime: ...
    @property
    def item(self) -> Item: ...


def summary(tank: str, facts: Sequence[Said], zone: ZoneInfo) -> str | None:
    """ "Quillow lobby Tue 08:30 to 09:12, Ines + Tomasz", then what was done and what was measured."""
    done = [entries.event(f.item) for f in facts if isinstance(f.item, Event)]
    measured: dict[str, str] = {}
    for fact in facts:
        if isinstance(fact.item, Reading):
            measured[fact.item.parameter] = quantities.reading(fact.item)
    if not done and not measured:
        return None
    names = " + ".join(map(entries.name, dict.fromkeys(f.who for f in facts)))
    first, last = (f.at.astimezone(zone) for f in (facts[0], facts[-1]))
    lines = [f"{tank} {first:%a} {first:%H:%M} to {last:%H:%M}, {names}"]
    lines += [" · ".join(dict.fromkeys(done))] if done else []
    lines += [" · ".join(measured.values())] if measured else []
    return "\n".join(lines)


def bound(what: str) -> str:
    """A topic has its tank."""
    return f"this topic is {what}"


def write_it_there() -> str:
    """Where to say whose topic it is."""
    return "Write that in the topic itself, in the team's group. Nothing changed."
