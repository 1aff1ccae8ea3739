"""With which kit somebody tests, and whether it still counts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from bot.assistant.turn import Turn
from bot.items import Reading, Setting, Stock
from bot.rules import kits as rules
from bot.rules.consequences import stands_for
from bot.rules.kits import Kit
from bot.store import logbook

_MANY = 2000
_TAKEN = ("took", "arrived")


@dataclass(frozen=True)
class Taken:
    """A kit taken into use by somebody; `surely` where it was said, not read off the stock."""

    at: datetime
    who: str
    kit: Kit
    surely: bool = True


def taken(turn: Turn, parameter: str) -> list[Taken]:
    """The kits of a test, as they were taken into use, the newest first."""
    said = logbook.events(turn.db, None, ["kit"], kind="setting", limit=_MANY)
    settings = [(f, f.item) for f in said if isinstance(f.item, Setting)]
    own = [Taken(f.at, f.who, replace(kit_of(item), opened=turn.local(f.at).date())) for f, item in settings]
    moved = logbook.events(turn.db, None, _TAKEN, kind="stock", limit=_MANY)
    stock = [t for f in moved if isinstance(f.item, Stock) and (t := _of_stock(f.at, f.who, f.item, parameter))]
    return [t for t in (*own, *stock) if t.kit.parameter == parameter]


def kit_of(item: Setting) -> Kit:
    """The kit that was named."""
    expiry = item.values.get("expiry")
    day = date.fromisoformat(str(expiry)) if expiry else None
    return Kit(str(item.values["parameter"]), str(item.values["lot"]), day)


def in_use(found: Sequence[Taken], who: str, at: datetime) -> Kit | None:
    """The kit with which that person tested at that time: as said last, else as taken or come in last."""
    before = [t for t in found if t.at <= at]
    own = [t for t in before if t.who == who]
    best = next((t for t in own if t.surely), None) or next(iter(own), None)
    best = best or next((t for t in before if not t.surely), None)
    return best.kit if best else None


def expired(turn: Turn, item: Reading) -> Kit | None:
    """The kit of a test that has expired (`expiry` set) or been open too long (`opened` set); None for a good one."""
    at = item.at or turn.said_at
    kit = in_use(taken(turn, item.parameter), turn.who.name, at)
    day = turn.local(at).date()
    if kit and rules.is_expired(kit, day):
        return replace(kit, opened=None)
    return replace(kit, expiry=None) if kit and rules.is_open_too_long(kit, day) else None


def _of_stock(at: datetime, who: str, item: Stock, parameter: str) -> Taken | None:
    """A kit with its lot that was taken along or came in."""
    is_kit = item.lot and item.action in _TAKEN and "kit" in item.subject
    if not is_kit or not stands_for(item.subject, parameter):
        return None
    return Taken(at, who if item.action == "took" else "", Kit(parameter, str(item.lot), item.expiry), surely=False)
