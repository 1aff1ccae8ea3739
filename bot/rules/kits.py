"""Test kits: one that has expired is asked about before its value counts; one lot odd in several tanks is suspected."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from bot.facts.load import table


@dataclass(frozen=True)
class Kit:
    """A kit in use. `expiry` is the first day on which it no longer counts, `opened` when it was taken into use."""

    parameter: str
    lot: str
    expiry: date | None = None
    opened: date | None = None


def is_open_too_long(kit: Kit, day: date) -> bool:
    """Whether it was opened so long ago that its reagents may have gone off, whatever the box says."""
    return kit.opened is not None and day > lasts_until(kit.opened)


def lasts_until(opened: date) -> date:
    """The last day on which a kit opened then still counts."""
    return opened + timedelta(days=table("kits")["open"]["lasts"]["value"])


@dataclass(frozen=True)
class ByLot:
    """A test at a tank: with which lot, and whether the value was odd for that tank; `up` says which way."""

    tank: str
    lot: str
    at: datetime
    odd: bool
    up: bool = False


@dataclass(frozen=True)
class Suspicion:
    """A lot that was odd in `odd` of `tested` tanks, while others' tests were as always."""

    lot: str
    odd: int
    tested: int
    others: tuple[str, ...]


def is_expired(kit: Kit, day: date) -> bool:
    """Whether its date has passed; one that names a month holds until that month begins."""
    return kit.expiry is not None and day >= kit.expiry


def suspect(tests: Iterable[ByLot], lot: str) -> Suspicion | None:
    """Whether one lot is odd in several tanks, the same way, and no other lot is. None where that is not so.

    tests   of one parameter within the last weeks; the newest test of each tank and lot counts
    """
    newest = _newest(tests)
    own = [t for t in newest if t.lot == lot]
    odd = max(([t for t in own if t.odd and t.up is way] for way in (True, False)), key=len)
    others = [t for t in newest if t.lot != lot]
    rule = table("kits")["suspect"]
    enough = len(odd) >= rule["tanks"]["value"] and len(odd) >= rule["share"]["value"] / 100 * len(own)
    calm = sum(t.odd for t in others) <= rule["others"]["value"] / 100 * len(others)
    if not enough or not calm:
        return None
    return Suspicion(lot, len(odd), len(own), tuple(dict.fromkeys(t.lot for t in others)))


def _newest(tests: Iterable[ByLot]) -> Sequence[ByLot]:
    found: dict[tuple[str, str], ByLot] = {}
    for test in sorted(tests, key=lambda t: t.at):
        found[test.tank, test.lot] = test
    return tuple(found.values())
