"""What a message can mean: the shared words of every room.

Each item is one thing that a technician said, in the terms of the machine-readable face (`read`).
A field left at its default means "not said". Everything is frozen; functions elsewhere make new ones.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any, ClassVar, cast


@dataclass(frozen=True)
class Quantity:
    """A number with its unit; `unit` is one of the canonical names in facts/units.toml, or ""."""

    value: float
    unit: str


@dataclass(frozen=True)
class Reading:
    """A measured value of `parameter` in `unit`, at `tank` (or its source, batch, bag, sump)."""

    kind: ClassVar[str] = "reading"
    parameter: str
    value: float
    unit: str
    tank: str | None = None
    vat: str | None = None
    below: bool = False
    above: bool = False
    low: float | None = None
    high: float | None = None
    about: bool = False
    basis: str | None = None
    of: str = "tank"
    at: datetime | None = None
    unconfirmed: bool = False
    batch: int | None = None

    @property
    def beyond(self) -> bool:
        """Above all that the kit shows, and no number said: "off the chart"; `value` 0 is no value then."""
        return self.above and not self.value


@dataclass(frozen=True)
class Event:
    """Something done or seen; `event` is one of water_change, top_off, feeding, ... (contract 1)."""

    kind: ClassVar[str] = "event"
    event: str
    tank: str | None = None
    vat: str | None = None
    amount: float | None = None
    unit: str | None = None
    count: int | None = None
    subject: str | None = None
    from_tank: str | None = None
    to_tank: str | None = None
    state: str | None = None
    at: datetime | None = None
    open: bool = False
    closes: bool = False
    batch: int | None = None


@dataclass(frozen=True)
class Question:
    """A calculation or judgement asked for; `inputs` maps the names of contract 2 to quantities or words."""

    kind: ClassVar[str] = "question"
    topic: str
    inputs: Mapping[str, Quantity | str] = field(default_factory=dict)
    tank: str | None = None
    vat: str | None = None
    text: str | None = None


@dataclass(frozen=True)
class Wait:
    """An unattended wait; `minutes` None means the default length of its kind."""

    kind: ClassVar[str] = "wait"
    wait: str
    tank: str | None = None
    vat: str | None = None
    minutes: float | None = None
    started: datetime | None = None
    amount: float | None = None
    unit: str | None = None
    subject: str | None = None
    step: str | None = None


@dataclass(frozen=True)
class Control:
    """An order to the bot itself, or the answer to what it asked."""

    kind: ClassVar[str] = "control"
    action: str
    tank: str | None = None
    answers: tuple[str, ...] = ()
    number: int | None = None
    wait: str | None = None
    parameter: str | None = None
    minutes: float | None = None
    days: float | None = None
    who: str | None = None
    reason: str | None = None
    subject: str | None = None
    at: datetime | None = None
    date: date | None = None


@dataclass(frozen=True)
class Correction:
    """A later word about an entry said in an earlier message: the right value, and the old one where said."""

    kind: ClassVar[str] = "correction"
    parameter: str | None = None
    event: str | None = None
    value: float | None = None
    unit: str | None = None
    old: float | None = None
    tank: str | None = None
    to_tank: str | None = None
    subject: str | None = None
    at: datetime | None = None
    date: date | None = None


@dataclass(frozen=True)
class Task:
    """A job to do later."""

    kind: ClassVar[str] = "task"
    text: str
    tank: str | None = None
    due: datetime | date | None = None
    who: str | None = None
    every_days: float | None = None


@dataclass(frozen=True)
class Setting:
    """Something a team sets up in words: `subject` says what (tank, client, person, range, nickname ...)."""

    kind: ClassVar[str] = "setting"
    subject: str
    tank: str | None = None
    values: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Stock:
    """A movement or count of supplies; `action` is took, used, opened, arrived, count, ordered or asked.

    `pack` is the box, bag or kit that the amount counts, where the text names one; `due` the day asked about.
    """

    kind: ClassVar[str] = "stock"
    subject: str
    action: str
    amount: float | None = None
    unit: str | None = None
    place: str | None = None
    lot: str | None = None
    expiry: date | None = None
    tank: str | None = None
    at: datetime | None = None
    pack: str | None = None
    due: date | None = None


@dataclass(frozen=True)
class Batch:
    """New water made or fetched; `subject` is salt, fresh, sea or water (as its vat), `vat` where it stands.

    Of water that stands there: dumped, level (`amount` is left), clear, cloudy, strip_clear, strip_colour; asked, and
    forecast for the day of `at`. `salt_g` is the mass of mix that went in.
    """

    kind: ClassVar[str] = "batch"
    subject: str
    vat: str | None = None
    amount: float | None = None
    unit: str | None = None
    source: str | None = None
    number: int | None = None
    salinity: float | None = None
    salinity_unit: str | None = None
    at: datetime | None = None
    salt_g: float | None = None


@dataclass(frozen=True)
class Schedule:
    """A change of the plan: `subject` is visit, off, sick, holiday, closed ...; dates and rules beside it."""

    kind: ClassVar[str] = "schedule"
    subject: str
    tank: str | None = None
    who: str | None = None
    due: datetime | date | None = None
    to: datetime | date | None = None
    every_days: float | None = None
    weekday: str | None = None
    minutes: float | None = None


@dataclass(frozen=True)
class Clarify:
    """A part that must be asked back before anything of it is stored."""

    kind: ClassVar[str] = "clarify"
    why: str
    part: str
    tank: str | None = None
    parameter: str | None = None
    value: float | None = None
    unit: str | None = None
    options: tuple[str, ...] = ()
    about: Item | None = None


Item = Reading | Event | Question | Wait | Control | Correction | Task | Setting | Stock | Batch | Schedule | Clarify
KINDS: dict[str, type] = {
    each.kind: each
    for each in (
        Reading, Event, Question, Wait, Control, Correction, Task, Setting, Stock, Batch, Schedule, Clarify,
    )
}  # fmt: skip


@dataclass(frozen=True)
class Situation:
    """All that the reader knows beside the text: whose habit, which names exist, what is in hand."""

    now: datetime
    units: str = "us"
    tank: str | None = None
    tanks: tuple[str, ...] = ()
    vats: tuple[str, ...] = ()
    nicknames: Mapping[str, str] = field(default_factory=dict)
    panel: tuple[str, ...] = ()
    people: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()
    reply_to: Item | None = None


@dataclass(frozen=True)
class Understood:
    """What a message meant: its items in the order said, and the words nobody understood."""

    items: tuple[Item, ...] = ()
    unread: tuple[str, ...] = ()


def changed(item: Item, **values: Any) -> Item:
    """The item with some of its fields changed; TypeError for a field that its kind has not."""
    return replace(cast(Any, item), **values)  # type: ignore[no-any-return]
