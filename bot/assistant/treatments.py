"""A treatment under way: its level against the order, its course's clock, what a change took out; as ordered."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from typing import Any

from bot.assistant.turn import Part, Turn
from bot.items import Event, Reading, Understood
from bot.rules import medicines
from bot.rules import treatments as rules
from bot.rules.scales import level_of, middle
from bot.rules.usual import share_changed
from bot.science.inputs import converted
from bot.store import logbook
from bot.store.logbook import Fact
from bot.team import Tank
from bot.wording import treatments as wording

Order = Mapping[str, Any]
_RANK = 15


def look(turn: Turn, understood: Understood, parts: list[Part]) -> list[Part]:
    """What a message's tests, doses and changes mean for a course that runs at their tank."""
    facts = [f for f in logbook.facts_of(turn.db, [turn.message_id]) if not f.void]
    found: list[Part] = []
    for fact in facts:
        tank = turn.tank(getattr(fact.item, "tank", None))
        if tank is not None:
            found += _of_fact(turn, tank, fact)
    return found


def _of_fact(turn: Turn, tank: Tank, fact: Fact) -> list[Part]:
    today = turn.local(turn.now).date()
    match fact.item:
        case Reading(of="tank", unconfirmed=False) as item:
            named = next((n for n in _medicines_on(tank, today) if rules.test_of(n) == item.parameter), None)
            order = rules.running(tank.orders, today, named) if named else None
            return [_tested(turn, tank, fact, item, order)] if order else []
        case Event(event="dose") as item:
            order = rules.running(tank.orders, today, medicines.named(item.subject or "") or "none")
            return _dosed(turn, tank, fact, item, order) if order else []
        case Event(event="water_change") as item:
            order = rules.running(tank.orders, today)
            return _thinned(turn, tank, item, order) if order and _was_dosed(turn, tank, order) else []
    return []


def _medicines_on(tank: Tank, today: date) -> list[str]:
    """The medications of the orders in force."""
    in_force = [o for o in tank.orders if medicines.in_force(o, today) and not o.get("ended")]
    return [name for o in in_force if (name := medicines.named(str(o.get("treatment", ""))))]


def _tested(turn: Turn, tank: Tank, fact: Fact, item: Reading, order: Order) -> Part:
    """The level against the order, and against what was given since the last test; the day of the course."""
    level, target = level_of(item), rules.target_of(order)
    course = _course(turn, tank, order, item.parameter)
    line = wording.course(str(order.get("treatment")), course, level)
    if rules.is_over(level, target) and target is not None:
        return Part(head=wording.over(tank.name, str(order["treatment"]), level, target), urgent=True)
    expected = _expected(turn, tank, order, item.parameter, fact.at)
    if expected is not None and rules.is_missing(level, expected):
        return Part(lines=(line,), remark=(_RANK, wording.missing(level, expected)))
    return Part(lines=(line,))


def _course(turn: Turn, tank: Tank, order: Order, parameter: str) -> rules.Course:
    since = _since(turn, order)
    tests = reversed(logbook.events(turn.db, tank.name, [parameter], since, kind="reading"))
    sure = [(f.at, f.item) for f in tests if isinstance(f.item, Reading) and not f.item.unconfirmed]
    levels = [rules.Level(at, level_of(item)) for at, item in sure]
    came = logbook.events(turn.db, tank.name, ["livestock_added"], since)
    moved = [f for f in logbook.events(turn.db, None, ["livestock_moved"], since) if _to(f) == tank.name]
    newcomers = sorted(f.at for f in (*came, *moved))
    return rules.course(order, levels, [f.at for f in _doses(turn, tank, order, since)], newcomers, turn.now)


def _to(fact: Fact) -> str | None:
    return getattr(fact.item, "to_tank", None)


def _since(turn: Turn, order: Order) -> datetime:
    """The midnight before the order."""
    day = datetime.fromisoformat(str(order.get("date") or "1970-01-02")[:10])
    return datetime.combine(day.date(), time(), turn.zone)


def _doses(turn: Turn, tank: Tank, order: Order, since: datetime) -> list[Fact]:
    named = medicines.named(str(order.get("treatment", "")))
    found = logbook.events(turn.db, tank.name, ["dose"], since)
    return sorted((f for f in found if medicines.named(_subject(f)) == named), key=lambda f: f.at)


def _subject(fact: Fact) -> str:
    return str(getattr(fact.item, "subject", None) or "")


def _was_dosed(turn: Turn, tank: Tank, order: Order) -> bool:
    return bool(_doses(turn, tank, order, _since(turn, order)))


def _expected(turn: Turn, tank: Tank, order: Order, parameter: str, at: datetime) -> float | None:
    """The level that the last test and the doses and changes since lead to expect; None where the strength is not on
    file, or nothing was given since.
    """
    tests = [
        f
        for f in logbook.series(turn.db, tank.name, parameter, 10, at)
        if f.at < at and f.message_id != turn.message_id
    ]
    last = next((f for f in tests if isinstance(f.item, Reading) and not f.item.unconfirmed), None)
    since = last.at if last else _since(turn, order)
    level = middle(last.item) or 0.0 if last and isinstance(last.item, Reading) else 0.0
    doses = [f for f in _doses(turn, tank, order, since) if f.at < at]
    changes = logbook.events(turn.db, tank.name, ["water_change"], since, at)
    if not doses or tank.volume is None:
        return None
    volume_L = converted(tank.volume.value, tank.volume.unit, "L")
    for fact in sorted((*doses, *changes), key=lambda f: f.at):
        item = fact.item
        assert isinstance(item, Event)
        mg = rules.given_mg(item.amount or 0.0, item.unit or "", order) if item.event == "dose" else 0.0
        if mg is None:
            return None
        level = (level + mg / volume_L) * (1 - share_changed(tank, item))
    return level


def _dosed(turn: Turn, tank: Tank, fact: Fact, item: Event, order: Order) -> list[Part]:
    """A dose under an order: more than the order says is stopped, and one without a test of today is remarked on."""
    test = rules.test_of(medicines.named(str(order.get("treatment", ""))))
    expected = _expected(turn, tank, order, test, fact.at + timedelta(seconds=1)) if test else None
    target = rules.target_of(order)
    if expected is not None and target is not None and rules.is_over(expected, target):
        head = wording.too_much(tank.name, str(order["treatment"]), expected, target)
        return [Part(head=head, urgent=True)]
    if test and len(_doses(turn, tank, order, _since(turn, order))) > 1 and not _tested_today(turn, tank, test):
        return [Part(remark=(_RANK, wording.untested(test)))]
    return [Part(lines=(wording.by_order(order),))]


def _tested_today(turn: Turn, tank: Tank, parameter: str) -> bool:
    found = logbook.last_confirmed(turn.db, tank.name, parameter)
    return found is not None and turn.local(found.at).date() == turn.local(turn.now).date()


def _thinned(turn: Turn, tank: Tank, item: Event, order: Order) -> list[Part]:
    """What a change took out of a treated tank, and what the order's level needs in the new water."""
    share = share_changed(tank, item)
    target = rules.target_of(order)
    if not share or target is None or tank.volume is None:
        return []
    volume_L = converted(tank.volume.value, tank.volume.unit, "L")
    words = wording.thinned(order, share, target * share, target * share * volume_L)
    return [Part(remark=(_RANK, words))]
