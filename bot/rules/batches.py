"""New water at the shop, from what was said of it: what stands in which vat, what went where, what is left.

Everything is derived from entries in the order in which they held; nothing of it is kept anywhere else.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any

from bot.facts.load import table
from bot.items import Batch, Event, Item, Quantity
from bot.rules.scales import on_scale
from bot.science.inputs import Unanswerable, in_unit

MADE = ("salt", "sea", "fresh")
SEEN = ("clear", "cloudy", "strip_clear", "strip_colour")
DRAWN_BY = ("water_change", "top_off")


@dataclass(frozen=True)
class Entry:
    """Something said about water: a batch made, a draw from it, a look at it."""

    at: datetime
    who: str
    item: Item
    message_id: int = 0


@dataclass(frozen=True)
class Draw:
    """What a tank took; `litres` None where its amount cannot be told (per cent of a tank of unknown volume)."""

    at: datetime
    tank: str | None
    litres: float | None
    who: str


@dataclass(frozen=True)
class NewWater:
    """A batch. `carried_L` was left in the vat when it was made; `closed`: another one took its place, or it was
    dumped. `target_PSU` is what it was mixed to, `salt_g_L` the mass of mix in a litre of it.
    """

    number: int
    vat: str | None
    subject: str
    source: str | None
    at: datetime
    who: str
    added_L: float
    carried_L: float = 0.0
    left_L: float = 0.0
    target_PSU: float | None = None
    draws: tuple[Draw, ...] = ()
    closed: datetime | None = None
    salt_g_L: float = 0.0
    seen: tuple[tuple[datetime, str], ...] = field(default=())

    @property
    def made_L(self) -> float:
        """All that stood in the vat when it was made, litres."""
        return self.added_L + self.carried_L

    @property
    def use_by(self) -> datetime:
        """Until when it keeps."""
        return self.at + timedelta(days=table("batches")[self.subject]["keep"]["value"])

    @property
    def is_there(self) -> bool:
        """Whether anything of it is left."""
        return self.closed is None and self.left_L > 0.05

    def last_seen(self, *names: str) -> str | None:
        """The latest of these looks at it ("clear", "cloudy")."""
        return next((what for _, what in reversed(self.seen) if what in names), None)


Volume = Callable[[str | None], float | None]


def fold(entries: Iterable[Entry], volume_L: Volume, room_L: Volume) -> tuple[NewWater, ...]:
    """Every batch as it stands after all entries, oldest first.

    volume_L   gives the water of a tank, litres; None where it is not known
    room_L     gives what a vat holds when full: more than that never stands in it
    """
    found: dict[int, NewWater] = {}
    for entry in sorted(entries, key=lambda e: (e.at, e.message_id)):
        if isinstance(entry.item, Batch):
            _of_batch(found, entry, entry.item, room_L)
        elif isinstance(entry.item, Event) and entry.item.event in DRAWN_BY:
            _drawn(found, entry, entry.item, volume_L)
    return tuple(found.values())


def current(waters: Sequence[NewWater], vat: str | None) -> NewWater | None:
    """The batch that stands in a vat, or stood there last and is used up; None where none was made or all is dumped."""
    of_vat = [w for w in waters if w.vat == vat and w.closed is None]
    return of_vat[-1] if of_vat else None


def numbered(waters: Sequence[NewWater], number: int | None) -> NewWater | None:
    """The batch of that number."""
    return next((w for w in waters if w.number == number), None)


def litres(amount: float | None, unit: str | None, volume_L: float | None = None) -> float | None:
    """An amount of water in litres; per cent of `volume_L`; None where it cannot be told."""
    if amount is None or not unit:
        return None
    if unit == "%":
        return None if volume_L is None else volume_L * amount / 100
    try:
        return in_unit(Quantity(amount, unit), "L", "amount")
    except Unanswerable:
        return None


def suits(subject: str, tank_kind: str | None, event: str) -> bool | None:
    """Whether such water belongs into such a tank; None where the kind of the tank does not say (brackish, none)."""
    if event == "top_off":
        return subject == "fresh"
    waters = table("waters")
    if tank_kind in waters["fresh"]["kinds"]:
        return subject == "fresh"
    return subject != "fresh" if tank_kind in waters["sea"]["kinds"] else None


def step_of(subject: str, source: str | None) -> str | None:
    """The row of waits.toml by which the water rests; None where it may be used at once."""
    steps: dict[str, str] = table("batches")[subject]["step"]
    return steps.get(source or "any", steps.get("any"))


def is_small(drawn_L: float | None, volume_L: float | None) -> bool:
    """Whether so little is drawn for the tank that the water need not match."""
    share = table("batches")["small"]["value"] / 100
    return drawn_L is not None and volume_L is not None and drawn_L < share * volume_L


def target_PSU(item: Batch) -> float | None:
    """What a batch was mixed to, ppt."""
    if item.salinity is None:
        return None
    return on_scale("salinity", item.salinity, item.salinity_unit or "ppt")


def _of_batch(found: dict[int, NewWater], entry: Entry, item: Batch, room_L: Volume) -> None:
    if item.subject in MADE and item.number is not None:
        _made(found, entry, item, room_L(item.vat))
        return
    here = numbered(tuple(found.values()), item.number) or current(tuple(found.values()), item.vat)
    if here is None:
        return
    found[here.number] = _ABOUT.get(item.subject, _looked_at)(here, entry, item)


def _made(found: dict[int, NewWater], entry: Entry, item: Batch, room: float | None) -> None:
    before = current(tuple(found.values()), item.vat) if item.vat else None
    added = litres(item.amount, item.unit) or 0.0
    carried = before.left_L if before else 0.0
    carried = carried if room is None else max(min(carried, room - added), 0.0)
    if before:
        found[before.number] = replace(before, closed=entry.at, left_L=0.0)
    assert item.number is not None
    salt = (item.salt_g or 0.0) + (carried * before.salt_g_L if before else 0.0)
    found[item.number] = NewWater(
        item.number, item.vat, item.subject, item.source, entry.at, entry.who, added, carried, added + carried,
        target_PSU(item), salt_g_L=salt / (added + carried) if added + carried else 0.0,
    )  # fmt: skip


def _dumped(here: NewWater, entry: Entry, item: Batch) -> NewWater:
    return replace(here, left_L=0.0, closed=entry.at)


def _level(here: NewWater, entry: Entry, item: Batch) -> NewWater:
    left = litres(item.amount, item.unit)
    return here if left is None else replace(here, left_L=left)


def _looked_at(here: NewWater, entry: Entry, item: Batch) -> NewWater:
    return replace(here, seen=(*here.seen, (entry.at, item.subject)))


_ABOUT: dict[str, Any] = {"dumped": _dumped, "level": _level}


def _drawn(found: dict[int, NewWater], entry: Entry, item: Event, volume_L: Volume) -> None:
    waters = tuple(found.values())
    here = numbered(waters, item.batch) if item.batch is not None else current(waters, item.vat)
    if here is None or not (item.vat or item.batch):
        return
    taken = litres(item.amount, item.unit, volume_L(item.tank))
    draw = Draw(entry.at, item.tank, taken, entry.who)
    found[here.number] = replace(here, draws=(*here.draws, draw), left_L=max(here.left_L - (taken or 0.0), 0.0))
