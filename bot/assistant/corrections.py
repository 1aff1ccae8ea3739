"""A value that was wrong: the old fact goes out of force, the right one is written, both are shown."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time, timedelta

from bot.assistant import asking, judging
from bot.assistant.turn import Ask, Part, Turn
from bot.items import Correction, Event, Item, Reading, changed
from bot.store import logbook
from bot.store.logbook import Fact
from bot.wording import quantities
from bot.wording import undoing as wording


def take(turn: Turn, item: Item) -> list[Part]:
    """Finds the entry meant and puts the right value in its place."""
    assert isinstance(item, Correction)
    old = find(turn, item)
    if old is None:
        return [Part(head=_not_found(item))]
    return replace_fact(turn, old, _corrected(old.item, item))


def replace_fact(turn: Turn, old: Fact, new: Item) -> list[Part]:
    """Takes `old` out of force and keeps `new` in its place, at the same time of day."""
    logbook.void(turn.db, turn.message_id, old.id, "correction", turn.now)
    asking.drop_about(turn, old.id)
    at = getattr(new, "at", None) or old.at
    said, ask = kept(turn, changed(new, at=turn.local(at)))
    pieces = (f"{wording.piece(old.item)} → {said}",)
    return [Part(said=pieces, tank=getattr(new, "tank", None), at=at, stored=True, ask=ask)]


def kept(turn: Turn, new: Item) -> tuple[str, Ask | None]:
    """Keeps the right value and says how it is quoted; a reading is judged like any other."""
    if isinstance(new, Reading):
        return judging.keep(turn, new)
    turn.keep(new)
    return wording.piece(new), None


def find(turn: Turn, item: Correction) -> Fact | None:
    """The newest entry in force that the correction can mean: of its tank, its kind, its old value, its day."""
    names = [n for n in (item.parameter, item.event) if n]
    since, until = _span(turn, item)
    kind = "reading" if item.parameter else "event"
    tank = item.tank or (turn.situation.tank if turn.situation else None)
    found = logbook.events(turn.db, tank, names, since, until, kind=kind)
    return next((f for f in found if _matches(f, item) and f.message_id != turn.message_id), None)


def _matches(fact: Fact, item: Correction) -> bool:
    value = getattr(fact.item, "value", None) if item.parameter else getattr(fact.item, "amount", None)
    return item.old is None or value is None or abs(value - item.old) <= 1e-6 * max(1.0, abs(item.old))


def _span(turn: Turn, item: Correction) -> tuple[datetime | None, datetime | None]:
    if item.date is None:
        return (item.at - timedelta(hours=1), item.at + timedelta(hours=1)) if item.at else (None, None)
    start = datetime.combine(item.date, time(), turn.zone)
    return start, start + timedelta(days=1)


def _corrected(old: Item, item: Correction) -> Item:
    if isinstance(old, Reading) and item.value is not None:
        same = replace(old, value=item.value, unit=item.unit or old.unit, unconfirmed=False)
        return replace(same, below=False, above=False, low=None, high=None)
    if isinstance(old, Event):
        tank = item.to_tank or old.tank
        amount = item.value if item.value is not None and old.count is None else old.amount
        count = int(item.value) if item.value is not None and old.count is not None else old.count
        return replace(old, tank=tank, amount=amount, count=count, unit=item.unit or old.unit)
    return old


def _not_found(item: Correction) -> str:
    name = quantities.full_name(item.parameter) if item.parameter else (item.event or "entry").replace("_", " ")
    was = f" of {quantities.number(item.old)}" if item.old is not None else ""
    return f"No {name}{was} on record to correct here. Nothing changed: name the tank and the day, or send it as new."
