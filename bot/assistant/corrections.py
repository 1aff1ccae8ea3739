"""A value that was wrong: the old fact goes out of force, the right one is written, both are shown."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time, timedelta

from bot.assistant import asking, judging
from bot.assistant.turn import Ask, Part, Turn
from bot.items import Batch, Correction, Event, Item, Reading, Situation, Stock, changed
from bot.rules.batches import litres
from bot.rules.conversation import in_hand_for
from bot.rules.words import alike
from bot.store import logbook
from bot.store.logbook import Fact
from bot.understanding.read import read
from bot.wording import quantities
from bot.wording import undoing as wording


def take(turn: Turn, item: Item) -> list[Part]:
    """Finds the entry meant and puts the right value in its place."""
    assert isinstance(item, Correction)
    found = find(turn, item) if item.parameter or item.event else _meant(turn, item)
    if len(found) > 1:
        return [Part(head=wording.which(item.value or 0.0, [f.item for f in found]))]
    if not found:
        return [Part(head=_not_found(item))]
    (old,) = found
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


def find(turn: Turn, item: Correction) -> list[Fact]:
    """The newest entry in force that the correction can mean: of its tank, its kind, its old value, its day."""
    names = [n for n in (item.parameter, item.event) if n]
    since, until = _span(turn, item)
    kinds = ["reading"] if item.parameter else ["event"] if item.event else ["reading", "event", "batch"]
    tank = item.tank or (turn.situation.tank if turn.situation else None)
    if not item.parameter and not item.event and _is_batch(turn, item):
        kinds, tank = ["batch"], None
    if item.event == "stock":
        kinds, names, tank = ["stock"], [], None
    found = [f for kind in kinds for f in logbook.events(turn.db, tank, names, since, until, kind=kind)]
    newest = sorted(found, key=lambda f: (f.at, f.id), reverse=True)
    return [f for f in newest if _matches(f, item) and f.message_id != turn.message_id][:1]


def _is_batch(turn: Turn, item: Correction) -> bool:
    """Whether the last entry of this person is new water, and an amount is put right."""
    last = logbook.events(turn.db, None, limit=1, kind="batch")
    return bool(last) and item.unit in (None, "gal", "L") and last[0].who == turn.who.name and _matches(last[0], item)


def _matches(fact: Fact, item: Correction) -> bool:
    value = _number(fact.item)
    if isinstance(fact.item, Stock) and not alike(item.subject or "", fact.item.subject):
        return False
    return item.old is None or (value is not None and abs(value - item.old) <= 1e-6 * max(1.0, abs(item.old)))


def _meant(turn: Turn, item: Correction) -> list[Fact]:
    """What a correction that names nothing ("sorry 15") can mean: the numbers of one's last entry just now that may be
    so; with the old value said, the newest that was so."""
    if item.old is not None or item.date or item.at:
        return find(turn, item)
    last = turn.replied or logbook.last_said_of_a_tank(turn.db, turn.who.name, turn.message_id)
    facts = logbook.facts_of(turn.db, [last]) if last else []
    facts = [*facts, *logbook.in_place_of(turn.db, facts)]
    lately = [f for f in facts if turn.replied or turn.now - f.at <= in_hand_for()]
    return [f for f in lately if not f.void and _may_be(turn, f.item, item)]


def _may_be(turn: Turn, old: Item, item: Correction) -> bool:
    """Whether the new value can stand in the place of the entry's number."""
    if _number(old) is None or item.value is None:
        return False
    if isinstance(old, Reading):
        words = f"{quantities.full_name(old.parameter)} {item.value:g} {item.unit or ''}"
        understood = read(words, Situation(turn.local(turn.now), units=turn.team.units, tank=old.tank))
        return [getattr(i, "parameter", None) for i in understood.items if isinstance(i, Reading)] == [old.parameter]
    count = getattr(old, "count", None) is not None
    return (
        item.value.is_integer() and not item.unit
        if count
        else item.value <= _WHOLE or getattr(old, "unit", None) != "%"
    )


_WHOLE = 100
"""Per cent: no more can be changed."""


def _number(item: Item) -> float | None:
    """The number of an entry: what was read, how much, how many."""
    found = (getattr(item, name, None) for name in ("value", "amount", "count"))
    return (
        next((float(n) for n in found if n is not None), None)
        if isinstance(item, Reading | Event | Stock | Batch)
        else None
    )


def _span(turn: Turn, item: Correction) -> tuple[datetime | None, datetime | None]:
    if item.date is None:
        return (item.at - timedelta(hours=1), item.at + timedelta(hours=1)) if item.at else (None, None)
    start = datetime.combine(item.date, time(), turn.zone)
    return start, start + timedelta(days=1)


def _corrected(old: Item, item: Correction) -> Item:
    if isinstance(old, Reading) and item.value is not None:
        same = replace(old, value=item.value, unit=item.unit or old.unit, unconfirmed=False)
        return replace(same, below=False, above=False, low=None, high=None)
    if isinstance(old, Batch):
        return _of_batch(old, item)
    if isinstance(old, Stock):
        return replace(old, amount=item.value, unit=item.unit or old.unit)
    if isinstance(old, Event):
        tank = item.to_tank or old.tank
        amount = item.value if item.value is not None and old.count is None else old.amount
        count = int(item.value) if item.value is not None and old.count is not None else old.count
        return replace(old, tank=tank, amount=amount, count=count, unit=item.unit or old.unit)
    return old


def _of_batch(old: Batch, item: Correction) -> Batch:
    """Another amount of new water takes its salt along."""
    new = replace(old, amount=item.value, unit=item.unit or old.unit)
    was, now = litres(old.amount, old.unit), litres(new.amount, new.unit)
    return replace(new, salt_g=old.salt_g * now / was) if old.salt_g and was and now else new


def _not_found(item: Correction) -> str:
    name = quantities.full_name(item.parameter) if item.parameter else (item.event or "entry").replace("_", " ")
    was = f" of {quantities.number(item.old)}" if item.old is not None else ""
    return f"No {name}{was} on record to correct here. Nothing changed: name the tank and the day, or send it as new."
