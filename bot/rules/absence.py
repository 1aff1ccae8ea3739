"""Who takes the stops of somebody who is away: every promise kept where there is any way to keep them all.

A stop may wait for a later day within its promise, or somebody else takes it on its own day. What may wait, waits:
the colleagues' day stays as it is. Only what nobody has room for is left, and is named.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

MOST_TRIES = 20_000


@dataclass(frozen=True)
class Need:
    """A stop of the one who is away: `later` are the days after `day` on which it would still be in time."""

    site: str
    tanks: tuple[str, ...]
    minutes: float
    day: date
    later: tuple[date, ...] = ()


@dataclass(frozen=True)
class Room:
    """Minutes that somebody has left on a day. `spare`: asked only where nobody else can (the owner)."""

    who: str
    day: date
    free_min: float
    spare: bool = False


@dataclass(frozen=True)
class Place:
    """Where a stop goes: to whom, and on which day."""

    need: Need
    who: str
    day: date

    @property
    def is_moved(self) -> bool:
        """Whether it is not on its own day."""
        return self.day != self.need.day


@dataclass(frozen=True)
class Proposal:
    """Where each stop goes, and those that nobody has room for."""

    places: tuple[Place, ...] = ()
    left: tuple[Need, ...] = ()


def propose(needs: Sequence[Need], rooms: Sequence[Room], own: str) -> Proposal:
    """The first way found that leaves the fewest stops without anybody; `own` is who is away, and may come later."""
    search = _Search(rooms, own)
    search.place(sorted(needs, key=lambda n: (len(n.later), -n.minutes)), [], [])
    places = sorted(search.places, key=lambda p: (p.day, list(needs).index(p.need)))
    return Proposal(tuple(places), tuple(search.left))


@dataclass
class _Search:
    rooms: Sequence[Room]
    own: str
    places: list[Place] = field(default_factory=list)
    left: list[Need] = field(default_factory=list)
    fewest: int | None = None
    tries: int = 0

    def place(self, rest: Sequence[Need], places: list[Place], left: list[Need]) -> None:
        self.tries += 1
        if self.fewest is not None and (len(left) >= self.fewest or self.tries > MOST_TRIES):
            return
        if not rest:
            self.places, self.left, self.fewest = places, left, len(left)
            return
        need = rest[0]
        for room in self._ways(need, places):
            self.place(rest[1:], [*places, Place(need, room.who, room.day)], left)
        self.place(rest[1:], places, [*left, need])

    def _ways(self, need: Need, places: Sequence[Place]) -> Iterator[Room]:
        """Later by whoever usually goes, later by others, today by others, by the owner; the most room first."""
        taken = _taken(places)
        fitting = [
            room
            for room in self.rooms
            if (room.day in need.later or (room.day == need.day and room.who != self.own))
            and room.free_min - taken.get((room.who, room.day), 0.0) >= need.minutes
        ]
        yield from sorted(
            fitting,
            key=lambda r: (
                r.spare, r.day == need.day, r.who != self.own, r.day, taken.get((r.who, r.day), 0.0) - r.free_min,
            ),
        )  # fmt: skip


def _taken(places: Sequence[Place]) -> Mapping[tuple[str, date], float]:
    taken: dict[tuple[str, date], float] = {}
    for place in places:
        key = (place.who, place.day)
        taken[key] = taken.get(key, 0.0) + place.need.minutes
    return taken
