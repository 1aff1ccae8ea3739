"""Questions about the past, answered from the record: short, dated, and the rest behind [More]."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime

from bot.assistant import animals, history_changes, history_contacts, history_trail
from bot.assistant.history_parts import WHICH, entries_of, latest, tank_of, today_of
from bot.assistant.turn import Part, Turn
from bot.items import Control, Item, Reading
from bot.messages import Button
from bot.store import logbook, worked
from bot.store.logbook import Fact
from bot.wording import history as wording

_PAGE = 6


def take(turn: Turn, item: Item) -> list[Part]:
    """The answer to a question about the past."""
    assert isinstance(item, Control)
    number = worked.keep(turn.db, turn.message_id, item.tank, turn.said_at, item, {}) if _is_long(turn, item) else 0
    return _page(turn, item, number, 0)


def press_more(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[More] under a long answer: "hy:12:5", from its sixth line on."""
    asked = worked.find(turn.db, int(args[0]))
    return _page(turn, asked.item, asked.id, int(args[1])) if asked and isinstance(asked.item, Control) else []


def _page(turn: Turn, item: Control, number: int, start: int) -> list[Part]:
    lines = _lines(turn, item)[start:]
    left = len(lines) - _PAGE
    if left <= 0 or not number:
        return [Part(head="\n".join(lines), buttons=_tasks(turn, item))]
    shown = _PAGE - 1
    more = Button("More", f"hy:{number}:{start + shown}")
    return [Part(head="\n".join([*lines[:shown], f"and {left + 1} more"]), buttons=(more,))]


def _tasks(turn: Turn, item: Control) -> tuple[Button, ...]:
    """[Make 2 tasks] under the tanks that got water of a batch and were not tested since."""
    tanks = history_contacts.untested(turn, item) if item.subject == "batch" else []
    return (Button(f"Make {len(tanks)} task{'s' * (len(tanks) != 1)}", f"ht:{item.number or ''}"),) if tanks else ()


def _is_long(turn: Turn, item: Control) -> bool:
    return len(_lines(turn, item)) > _PAGE


def _lines(turn: Turn, item: Control) -> list[str]:
    """The whole answer; a question about a tank without one asks back."""
    answer, needs_tank = _ANSWERS.get(item.subject or "", (_trend, True))
    return [WHICH] if needs_tank and tank_of(turn, item) is None else answer(turn, item)


def _trend(turn: Turn, item: Control) -> list[str]:
    """The latest values of a test, or the last of each."""
    tank = str(tank_of(turn, item))
    if item.parameter:
        found = logbook.series(turn.db, tank, item.parameter, _how_many(item), turn.now)
        since = [f for f in found if item.days is None or (turn.now - f.at).days <= item.days]
        return wording.series(tank, item.parameter, entries_of(turn, since), today_of(turn))
    return wording.last_readings(tank, entries_of(turn, latest(turn, tank)), today_of(turn))


def _how_many(item: Control) -> int:
    return min(item.number or (40 if item.days else 6), 40)


def _last(turn: Turn, item: Control) -> list[str]:
    """The last value of a test with its day and person, or when something was last done."""
    tank = str(tank_of(turn, item))
    event = (item.reason or "").replace(" ", "_")
    if item.parameter and not item.number:
        found = [f for f in logbook.series(turn.db, tank, item.parameter, 5, turn.now) if _is_sure(f)]
        return wording.last_value(tank, item.parameter, entries_of(turn, found[:1]), today_of(turn))
    if not item.parameter and event:
        found = logbook.events(turn.db, tank, [event], limit=1)
        return wording.last_event(tank, event.replace("_", " "), entries_of(turn, found), today_of(turn))
    return _trend(turn, item)


def _is_sure(fact: Fact) -> bool:
    return isinstance(fact.item, Reading) and not fact.item.unconfirmed


def _who_last(turn: Turn, item: Control) -> list[str]:
    """Who was there last and what was done, in at most three lines."""
    tank = str(tank_of(turn, item))
    return wording.visit(tank, entries_of(turn, _of_last_visit(turn, tank)), today_of(turn))


def _of_last_visit(turn: Turn, tank: str) -> list[Fact]:
    """Facts of the latest day on which something was said at the tank, newest first."""
    found = [f for kind in ("reading", "event", "wait") for f in logbook.events(turn.db, tank, kind=kind, limit=60)]
    newest = sorted(found, key=lambda f: (f.at, f.id), reverse=True)
    days: list[datetime] = [turn.local(f.at) for f in newest[:1]]
    return [f for f in newest if days and turn.local(f.at).date() == days[0].date()]


_ANSWERS: dict[str, tuple[Callable[[Turn, Control], list[str]], bool]] = {
    "last": (_last, True),
    "trend": (_trend, True),
    "who_last": (_who_last, True),
    "changed": (history_changes.changed, True),
    "touched": (history_contacts.touched, False),
    "batch": (history_contacts.batch, False),
    "lives": (animals.living, True),
    "trail": (history_trail.trail, True),
    "why": (history_trail.why, True),
}
"""What each question asks for, and whether it is about one tank."""
