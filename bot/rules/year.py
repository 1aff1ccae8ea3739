"""A client's year: water changed, animals that came and went, machines renewed; counted from the facts in force."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from bot.items import Event
from bot.rules.report import animal_in, said_of
from bot.rules.usual import Done, share_changed
from bot.science.inputs import converted
from bot.team import Tank


@dataclass(frozen=True)
class TankYear:
    """A tank's year. `changed_L` is the water changed, None where a volume is missing; `works` are dated phrases."""

    tank: str
    changes: int
    changed_L: float | None
    added: tuple[tuple[str, int], ...]
    lost: tuple[tuple[str, int], ...]
    works: tuple[tuple[datetime, str], ...]


def of_tank(tank: Tank, done: Sequence[Done]) -> TankYear:
    """The year of a tank from its events, in any order."""
    ordered = sorted(done, key=lambda d: d.at)
    changes = [d.event for d in ordered if d.event.event == "water_change"]
    added = [d.event for d in ordered if d.event.event == "livestock_added" or d.event.to_tank == tank.name]
    lost = [d.event for d in ordered if d.event.event == "livestock_lost"]
    machines = [d for d in ordered if d.event.event == "equipment"]
    works = tuple((d.at, said) for d in machines if (said := said_of(d.event)))
    return TankYear(tank.name, len(changes), _litres(tank, changes), _counted(tank, added), _counted(tank, lost), works)


def _litres(tank: Tank, changes: Iterable[Event]) -> float | None:
    if tank.volume is None:
        return None
    whole = converted(tank.volume.value, tank.volume.unit, "L")
    return sum(share_changed(tank, change) for change in changes) * whole


def _counted(tank: Tank, events: Iterable[Event]) -> tuple[tuple[str, int], ...]:
    found: dict[str, int] = {}
    for event in events:
        name = animal_in(event.subject or "", tank) or "animals"
        found[name] = found.get(name, 0) + (event.count or 1)
    return tuple(found.items())
