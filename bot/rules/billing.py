"""A month's billing: each visit once, with what it took, and what may be an extra; every row names its messages.

A fact is billed in the month in which it happened; told after that month was billed, it comes with the next one. So
nothing is billed twice and nothing is lost, however often a month is asked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal
from math import ceil

from bot.facts.load import table
from bot.items import Event, Item

Month = tuple[int, int]
CENT = Decimal("0.01")


@dataclass(frozen=True)
class Billable:
    """A fact at a client's tank, on the client's clock."""

    id: int
    message_id: int
    client: str
    tank: str
    who: str
    at: datetime
    item: Item

    @property
    def month(self) -> Month:
        """The month in which it happened."""
        return self.at.year, self.at.month


@dataclass(frozen=True)
class Terms:
    """What a client pays: money for each of visit, hour, month, call_out (absent: not agreed); days between visits."""

    prices: Mapping[str, float] = field(default_factory=dict)
    every_days: float | None = None


@dataclass(frozen=True)
class Row:
    """One line of the bill. `flag`: what must be decided or known of it; `amount` None: no price on file."""

    client: str
    day: date
    kind: str
    what: str
    tanks: tuple[str, ...] = ()
    who: tuple[str, ...] = ()
    minutes: float | None = None
    quantity: float | None = None
    unit: str = ""
    amount: Decimal | None = None
    flag: str = ""
    messages: tuple[int, ...] = ()


def rows_of(
    month: Month, facts: Sequence[Billable], terms: Mapping[str, Terms], billed: Mapping[Month, int]
) -> list[Row]:
    """The rows of a month, by client and day.

    facts   those in force, of this month and before, in any order
    billed  the number of the fact by which each month was billed first
    """
    found: list[Row] = []
    for client in sorted({f.client for f in facts}):
        own = [f for f in facts if f.client == client]
        found += _of_client(month, own, terms.get(client, Terms()), billed)
    return found


def total(rows: Iterable[Row]) -> Decimal | None:
    """The sum, to the cent; None where no row has a price."""
    amounts = [r.amount for r in rows if r.amount is not None]
    return sum(amounts, Decimal(0)).quantize(CENT) if amounts else None


def bucket(fact: Billable, billed: Mapping[Month, int]) -> Month:
    """The month in which a fact is billed."""
    month = fact.month
    while month in billed and fact.id > billed[month]:
        month = _next(month)
    return month


def _next(month: Month) -> Month:
    year, number = month
    return (year + 1, 1) if number == 12 else (year, number + 1)


def _of_client(month: Month, facts: Sequence[Billable], terms: Terms, billed: Mapping[Month, int]) -> list[Row]:
    days: dict[date, list[Billable]] = {}
    for fact in sorted(facts, key=lambda f: (f.at, f.id)):
        days.setdefault(fact.at.date(), []).append(fact)
    found: list[Row] = []
    before: date | None = None
    for day, there in days.items():
        first = min(bucket(f, billed) for f in there)
        if first == month:
            found.append(_visit(day, [f for f in there if bucket(f, billed) == month], terms, before, month))
        found += [row for f in there if bucket(f, billed) == month for row in _further(f, month)]
        before = day
    return [*_standing(month, facts, terms, found), *found]


def _standing(month: Month, facts: Sequence[Billable], terms: Terms, found: Sequence[Row]) -> list[Row]:
    """The monthly sum of a contract."""
    price = terms.prices.get("month")
    if price is None:
        return []
    messages = tuple(sorted({m for row in found for m in row.messages}))
    day = date(*month, 1)
    return [Row(facts[0].client, day, "contract", "month by contract", amount=_money(price), messages=messages)]


def _visit(day: date, there: Sequence[Billable], terms: Terms, before: date | None, month: Month) -> Row:
    minutes = _minutes(there)
    extra = bool(before and terms.every_days and (day - before).days < terms.every_days / 2)
    flags = [*(["contract or extra?"] if extra else []), *_late(there[0], month)]
    return Row(
        there[0].client, day, "visit", "call-out" if extra else "visit",
        tuple(dict.fromkeys(f.tank for f in there)), tuple(dict.fromkeys(f.who for f in there)), minutes,
        amount=_price(terms, minutes, extra), flag=", ".join(flags), messages=_messages(there),
    )  # fmt: skip


def _price(terms: Terms, minutes: float, extra: bool) -> Decimal | None:
    """A call-out at its own price; else by the visit, else by the hour in quarters begun."""
    prices = terms.prices
    if extra and "call_out" in prices:
        return _money(prices["call_out"])
    if "visit" in prices:
        return _money(prices["visit"])
    if "hour" in prices:
        step = float(table("billing")["step"]["value"])
        return _money(prices["hour"] * ceil(max(minutes, 1) / step) * step / 60)
    return None


def _money(value: float) -> Decimal:
    return Decimal(str(value)).quantize(CENT, ROUND_HALF_UP)


def _minutes(there: Sequence[Billable]) -> float:
    """What each of those there took from the first to the last word, together."""
    spans: dict[str, tuple[datetime, datetime]] = {}
    for fact in there:
        first, last = spans.get(fact.who, (fact.at, fact.at))
        spans[fact.who] = (min(first, fact.at), max(last, fact.at))
    return sum(((last - first) / timedelta(minutes=1) for first, last in spans.values()), 0.0)


def _further(fact: Billable, month: Month) -> list[Row]:
    """Water, material, parts and animals of one fact; what is seldom part of a contract is flagged."""
    item = fact.item
    if not isinstance(item, Event):
        return []
    kind = _KINDS.get((item.event, item.state or "")) or _KINDS.get((item.event, ""))
    if kind is None:
        return []
    what = item.subject or item.event.replace("_", " ")
    quantity = item.amount if item.amount is not None else item.count
    flags = [*(["contract or extra?"] if kind in _EXTRAS else []), *_late(fact, month)]
    unit = item.unit or ("" if quantity is None else "pieces")
    return [
        Row(fact.client, fact.at.date(), kind, what, (fact.tank,), (fact.who,), None, quantity, unit, None,
            ", ".join(flags), (fact.message_id,))
    ]  # fmt: skip


def _late(fact: Billable, month: Month) -> list[str]:
    return ["of an earlier month"] if fact.month != month else []


def _messages(there: Sequence[Billable]) -> tuple[int, ...]:
    return tuple(sorted({f.message_id for f in there}))


_KINDS = {
    ("water_change", ""): "water",
    ("dose", ""): "material",
    ("filter_service", ""): "material",
    ("livestock_added", ""): "animals",
    ("equipment", "replaced"): "part",
    ("equipment", "fitted"): "part",
    ("equipment", "repaired"): "repair",
}
_EXTRAS = ("animals", "part", "repair")
