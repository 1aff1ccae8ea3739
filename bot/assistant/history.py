"""Questions about the past, answered from the record."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime, time, timedelta

from bot.assistant.turn import Part, Turn
from bot.items import Control, Item, Reading
from bot.store import logbook
from bot.store.logbook import Fact
from bot.wording import history as wording
from bot.wording.history import Entry


def take(turn: Turn, item: Item) -> list[Part]:
    """The answer to a question about the past."""
    assert isinstance(item, Control)
    answer = _ANSWERS.get(item.subject or "", _plain)
    head, *lines = answer(turn, item)
    return [Part(head=head, lines=tuple(lines))]


def _plain(turn: Turn, item: Control) -> list[str]:
    tank = _tank(turn, item)
    if tank is None:
        return [_WHICH]
    today = turn.local(turn.now).date()
    if item.parameter:
        found = logbook.series(turn.db, tank, item.parameter, 6, turn.now)
        return wording.series(tank, item.parameter, _entries(turn, found), today)
    return wording.last_readings(tank, _entries(turn, _latest(turn, tank)), today)


def _last(turn: Turn, item: Control) -> list[str]:
    tank = _tank(turn, item)
    if tank is None:
        return [_WHICH]
    today = turn.local(turn.now).date()
    event = item.reason or ""
    if not item.parameter and event:
        found = logbook.events(turn.db, tank, [event], limit=1)
        return wording.last_event(tank, event.replace("_", " "), next(iter(_entries(turn, found)), None), today)
    return _plain(turn, item)


def _changed(turn: Turn, item: Control) -> list[str]:
    """Everything of the last days but readings that were as always, newest first."""
    tank = _tank(turn, item)
    if tank is None:
        return [_WHICH]
    since = turn.now - timedelta(days=item.days or 7)
    found = [f for kind in ("event", "wait") for f in logbook.events(turn.db, tank, since=since, kind=kind)]
    odd = [f for f in logbook.events(turn.db, tank, since=since, kind="reading") if _odd(f)]
    newest = sorted([*found, *odd], key=lambda f: (f.at, f.id), reverse=True)
    head = f"{tank}, last {item.days or 7:g} days, newest first"
    return wording.listed(head, _entries(turn, newest), turn.local(turn.now).date(), most=20)


def _who_last(turn: Turn, item: Control) -> list[str]:
    tank = _tank(turn, item)
    if tank is None:
        return [_WHICH]
    found = _of_last_visit(turn, tank)
    return wording.visit(tank, _entries(turn, found), turn.local(turn.now).date())


def _touched(turn: Turn, item: Control) -> list[str]:
    """Where a thing (net 3, an animal, a bucket) has been: every fact that names it."""
    thing = (item.reason or "").casefold()
    kinds = ("event", "wait")
    found = [f for k in kinds for f in logbook.events(turn.db, None, kind=k, limit=5000) if _names(f, thing)]
    newest = sorted(found, key=lambda f: (f.at, f.id), reverse=True)
    entries = [
        Entry(turn.local(f.at), f"{f.who}, {getattr(f.item, 'tank', None) or 'no tank'}", f.item) for f in newest
    ]
    return wording.listed(f"{item.reason}, newest first", entries, turn.local(turn.now).date(), most=10)


def _trail(turn: Turn, item: Control) -> list[str]:
    """Every fact of a day at a tank, void ones too, with who and when."""
    tank = _tank(turn, item)
    if tank is None:
        return [_WHICH]
    day = item.date or (item.at.date() if item.at else turn.local(turn.now).date())
    start = datetime.combine(day, time(), turn.zone)
    found = logbook.all_of(turn.db, tank, start, start + timedelta(days=1))
    shown = [Entry(turn.local(f.at), f.who + (" (taken back)" if f.void else ""), f.item) for f in found]
    return wording.listed(f"{tank} {day:%a} {day.day} {day:%b}", shown, turn.local(turn.now).date(), most=40)


def _why(turn: Turn, item: Control) -> list[str]:
    """The dose of that day and the readings before it that it was worked out from."""
    tank = _tank(turn, item)
    if tank is None:
        return [_WHICH]
    day = item.date or (item.at.date() if item.at else None)
    start = datetime.combine(day, time(), turn.zone) if day else None
    until = start + timedelta(days=1) if start else None
    doses = logbook.events(turn.db, tank, ["dose"], start, until, limit=1)
    before = _latest(turn, tank, doses[0].at) if doses else []
    return wording.listed(f"{tank}: the dose, and what was known before it", _entries(turn, [*doses, *before]),
                          turn.local(turn.now).date(), most=8)  # fmt: skip


def _latest(turn: Turn, tank: str, until: datetime | None = None) -> list[Fact]:
    """The newest reading of each parameter at the tank itself."""
    found: dict[str, Fact] = {}
    for fact in logbook.events(turn.db, tank, kind="reading", until=until, limit=80):
        if isinstance(fact.item, Reading) and fact.item.of == "tank":
            found.setdefault(fact.item.parameter, fact)
    return list(found.values())


def _of_last_visit(turn: Turn, tank: str) -> list[Fact]:
    """Facts of the latest day on which something was said at the tank, newest first."""
    found = [f for kind in ("reading", "event", "wait") for f in logbook.events(turn.db, tank, kind=kind, limit=40)]
    if not found:
        return []
    newest = sorted(found, key=lambda f: (f.at, f.id), reverse=True)
    day = turn.local(newest[0].at).date()
    return [f for f in newest if turn.local(f.at).date() == day]


def _who_where(fact: Fact) -> str:
    return f"{fact.who}, {getattr(fact.item, 'tank', None) or 'no tank'}"


def _odd(fact: Fact) -> bool:
    return isinstance(fact.item, Reading) and fact.item.unconfirmed


def _names(fact: Fact, thing: str) -> bool:
    return bool(thing) and thing in str(getattr(fact.item, "subject", "")).casefold()


def _tank(turn: Turn, item: Control) -> str | None:
    return item.tank or (turn.situation.tank if turn.situation else None)


def _entries(turn: Turn, found: Sequence[Fact]) -> list[Entry]:
    return [Entry(turn.local(f.at), f.who, f.item) for f in found]


_WHICH = "Which tank? Send its name with it."
_ANSWERS: dict[str, Callable[[Turn, Control], list[str]]] = {
    "last": _last,
    "changed": _changed,
    "who_last": _who_last,
    "touched": _touched,
    "trail": _trail,
    "why": _why,
}
