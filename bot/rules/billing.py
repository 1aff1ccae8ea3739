"""A month's billing: each visit once, with what it took, and what may be an extra; every row names its messages.

A fact is billed in the month in which it happened; told after that month was billed, it comes with the next one. Taken
back or corrected after its month was billed, it stays there as it was billed and is credited with the next one. So
nothing is billed twice and nothing is lost, however often a month is asked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal
from math import ceil

from bot.facts.load import table
from bot.items import Event, Item

Month = tuple[int, int]
CENT = Decimal("0.01")


@dataclass(frozen=True)
class Billable:
    """A fact at a client's tank, on the client's clock.

    voided     the newest fact there was when it was taken out of force; None: it is in force
    voided_in  the message that took it out of force
    """

    id: int
    message_id: int
    client: str
    tank: str
    who: str
    at: datetime
    item: Item
    voided: int | None = None
    voided_in: int | None = None

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

    facts   of this month and before, in any order; those out of force too, where they may have been billed
    billed  the number of the fact by which each month was billed first
    """
    found: list[Row] = []
    for client in sorted({f.client for f in facts}):
        own, agreed = [f for f in facts if f.client == client], terms.get(client, Terms())
        found += _of_client(month, _standing_after(own, month, billed), agreed, billed)
        found += _credits(month, own, agreed, billed)
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


def credited(fact: Billable, billed: Mapping[Month, int]) -> Month | None:
    """The month in which a fact taken back is credited, its own where it was never billed; None for one in force."""
    if fact.voided is None:
        return None
    month = bucket(fact, billed)
    while month in billed and fact.voided >= billed[month]:
        month = _next(month)
    return month


def _standing_after(facts: Sequence[Billable], month: Month, billed: Mapping[Month, int]) -> list[Billable]:
    """The facts that the bills up to that month rest on: in force, or taken back only after it was billed."""
    return [f for f in facts if (back := credited(f, billed)) is None or back > month]


def _next(month: Month) -> Month:
    year, number = month
    return (year + 1, 1) if number == 12 else (year, number + 1)


def _credits(month: Month, facts: Sequence[Billable], terms: Terms, billed: Mapping[Month, int]) -> list[Row]:
    """What was billed in an earlier month and is no longer so by what was taken back since."""
    back = [f for f in facts if credited(f, billed) == month and bucket(f, billed) < month]
    after = _standing_after(facts, month, billed)
    before = [*after, *back]
    found: list[Row] = []
    for earlier in sorted({bucket(f, billed) for f in back}):
        left = _of_client(earlier, after, terms, billed, now=month)
        for row in _of_client(earlier, before, terms, billed):
            found += _credit(row, left, earlier, back)
    return found


def _credit(row: Row, left: Sequence[Row], month: Month, back: Sequence[Billable]) -> list[Row]:
    """The credit for a row that has gone, or for what a visit has become cheaper by."""
    if row.kind == "contract" or row in left:
        return []
    now = next((r for r in left if r.kind == row.kind == "visit" and r.day == row.day), None)
    less = None if row.amount is None else row.amount - (now.amount or Decimal(0) if now else Decimal(0))
    if now and (less is None or less <= 0):
        return []
    why = {f.voided_in for f in back if f.message_id in row.messages and f.voided_in}
    return [
        replace(
            row, kind="credit", what=f"{row.what}, {'shorter' if now else 'taken back'}",
            minutes=_less(row.minutes, now.minutes if now else 0), quantity=_less(row.quantity, 0),
            amount=None if less is None else -less, flag=f"credit for {month[0]}-{month[1]:02}",
            messages=tuple(sorted({*row.messages, *why})),
        )
    ]  # fmt: skip


def _less(billed: float | None, now: float | None) -> float | None:
    return None if billed is None else (now or 0) - billed


def _of_client(
    month: Month, facts: Sequence[Billable], terms: Terms, billed: Mapping[Month, int], now: Month | None = None
) -> list[Row]:
    """The rows of one client; with `now`, visits as they are known when that month is billed, late words and all."""
    days: dict[date, list[Billable]] = {}
    for fact in sorted(facts, key=lambda f: (f.at, f.id)):
        days.setdefault(fact.at.date(), []).append(fact)
    found: list[Row] = []
    before: date | None = None
    for day, there in days.items():
        first = min(bucket(f, billed) for f in there)
        if first == month or (now and first < now):
            known = there if now else [f for f in there if bucket(f, billed) == month]
            found.append(_visit(day, known, terms, before, month))
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
