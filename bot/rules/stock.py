"""Stock from entries: what is where, what was used a day, when it runs out, what to order. Nothing of it is kept."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from math import ceil

from bot.facts.load import table
from bot.items import Item, Stock
from bot.rules.supplies import Own, Supply, Use, key_of, quantity, supply, uses_of

SHOP = "shop"


@dataclass(frozen=True)
class Entry:
    """Something on record that moves stock: a word about stock, or an act that uses it up."""

    at: datetime
    who: str
    item: Item
    id: int = 0


@dataclass(frozen=True)
class Drift:
    """A count beside what was reckoned: `off` below 0 is missing."""

    at: datetime
    place: str
    counted: float
    off: float


@dataclass(frozen=True)
class Spent:
    """What was used, when, where and by whom."""

    at: datetime
    amount: float
    tank: str | None
    who: str


@dataclass(frozen=True)
class Level:
    """A supply as it stands: `places` hold what is known of shop and vans; `due` what was ordered and is not in yet."""

    of: Supply
    places: Mapping[str, float] = field(default_factory=dict)
    spent: tuple[Spent, ...] = ()
    drifts: tuple[Drift, ...] = ()
    due: float = 0.0
    due_on: date | None = None
    since: datetime | None = None

    @property
    def total(self) -> float | None:
        """All that there is; None where nobody ever counted it."""
        return sum(max(amount, 0.0) for amount in self.places.values()) if self.places else None


@dataclass(frozen=True)
class Outlook:
    """How long a supply lasts: used `per_day`, `days` left, run out on `out`, to be ordered by `order_by`.

    `low`: it lasts no longer than delivery and reserve, and no order covers that. `planned`: reckoned by what the
    planned visits will take, since that is more than was used.
    """

    level: Level
    per_day: float
    days: float | None
    out: date | None
    order_by: date | None
    low: bool
    planned: bool = False


def levels(entries: Iterable[Entry], own: Own) -> dict[str, Level]:
    """Every supply that was ever moved, counted or used, by its key."""
    found: dict[str, Level] = {}
    for entry in sorted(entries, key=lambda e: (e.at, e.id)):
        if isinstance(entry.item, Stock):
            _moved(found, entry, entry.item, own)
        else:
            for use in uses_of(entry.item, own):
                _used(found, entry, use, own)
    return found


def outlook(level: Level, now: datetime, planned_a_day: float = 0.0) -> Outlook:
    """How long it lasts at the use of the last weeks, or at what is planned where that is more."""
    used, total, today = rate(level, now), level.total, now.date()
    per_day = max(used, planned_a_day)
    if not per_day or total is None:
        return Outlook(level, per_day, None, None, None, False)
    days = min(total / per_day, _LONGEST_DAYS)
    out = today + timedelta(days=int(days))
    order_by = out - timedelta(days=ceil(level.of.lead_days))
    low = total + level.due <= line(level, per_day)
    return Outlook(level, per_day, days, out, order_by, low, planned_a_day > used)


_LONGEST_DAYS = 36_500  # further than a calendar's end is no date


def line(level: Level, per_day: float) -> float:
    """The reorder line: what is used until a delivery is there, and the reserve."""
    return per_day * (level.of.lead_days + level.of.reserve_days)


def rate(level: Level, now: datetime) -> float:
    """Use a day: of the last fortnight, else of the last weeks; never reckoned from less than a week."""
    rows = table("supplies")["rate"]
    for window in (rows["short"]["value"], rows["long"]["value"]):
        since = now - timedelta(days=window)
        used = sum(s.amount for s in level.spent if s.at > since)
        if used:
            known = (now - level.since).total_seconds() / 86400 if level.since else window
            return float(used / min(max(known, rows["least"]["value"]), window))
    return 0.0


def to_order(found: Outlook) -> int:
    """Packs that last over delivery, reserve and the usual time between orders; 0 where enough is there or due."""
    if found.level.total is None or not found.per_day:
        return 0
    of = found.level.of
    goal = found.per_day * (of.lead_days + of.reserve_days + float(table("supplies")["cover"]["value"]))
    missing = goal - found.level.total - found.level.due
    return max(ceil(missing / of.pack - 1e-9), 0)


def expected(level: Level, place: str) -> float | None:
    """What should be at a place; None where nothing was ever counted or brought there."""
    return level.places.get(place)


def _level(found: dict[str, Level], key: str, own: Own) -> Level:
    return found.setdefault(key, Level(supply(key, own)))


def _moved(found: dict[str, Level], entry: Entry, item: Stock, own: Own) -> None:
    key = key_of(item.subject)
    level = _level(found, key, own)
    amount = quantity(item, level.of)
    if amount is not None and item.action in _MOVES:
        found[key] = _MOVES[item.action](level, entry, item, amount)


def _counted(level: Level, entry: Entry, item: Stock, amount: float) -> Level:
    place = place_of(item, entry.who)
    before = level.places.get(place)
    drift = (Drift(entry.at, place, amount, amount - before),) if before is not None else ()
    since = level.since or entry.at
    return replace(level, places={**level.places, place: amount}, drifts=(*level.drifts, *drift), since=since)


def _arrived(level: Level, entry: Entry, item: Stock, amount: float) -> Level:
    place = place_of(item, entry.who) if item.place else SHOP
    places = {**level.places, place: level.places.get(place, 0.0) + amount}
    due = max(level.due - amount, 0.0)
    return replace(level, places=places, due=due, due_on=level.due_on if due else None, since=level.since or entry.at)


def _took(level: Level, entry: Entry, item: Stock, amount: float) -> Level:
    """From the shop into the van. What shows its use nowhere else counts as used when it is taken."""
    van, places = entry.who, dict(level.places)
    if not level.of.counted:
        return _spent(level, entry, amount, None, SHOP)
    if SHOP in places:
        places[SHOP] -= amount
    places[van] = places.get(van, 0.0) + amount
    return replace(level, places=places, since=level.since or entry.at)


def _told_used(level: Level, entry: Entry, item: Stock, amount: float) -> Level:
    return _spent(level, entry, amount, item.tank, entry.who if entry.who in level.places else SHOP)


def _ordered(level: Level, entry: Entry, item: Stock, amount: float) -> Level:
    on = entry.at.date() + timedelta(days=ceil(level.of.lead_days))
    return replace(level, due=level.due + amount, due_on=on)


_MOVES = {"count": _counted, "arrived": _arrived, "took": _took, "used": _told_used, "ordered": _ordered}


def place_of(item: Stock, who: str) -> str:
    """The place of a count: the speaker's van, unless the shop was named."""
    return who if item.place == "van" else SHOP


def _used(found: dict[str, Level], entry: Entry, use: Use, own: Own) -> None:
    level = _level(found, use.key, own)
    place = SHOP if use.shop or entry.who not in level.places else entry.who
    found[use.key] = _spent(level, entry, use.amount, use.tank, place)


def _spent(level: Level, entry: Entry, amount: float, tank: str | None, place: str) -> Level:
    spent = (*level.spent, Spent(entry.at, amount, tank, entry.who))
    if place not in level.places:
        return replace(level, spent=spent)
    return replace(level, spent=spent, places={**level.places, place: level.places[place] - amount})


def low_first(views: Iterable[Outlook]) -> list[Outlook]:
    """The supplies at or under their reorder line, the soonest to run out first."""
    return sorted((v for v in views if v.low), key=lambda v: (v.days or 0.0, v.level.of.name))
