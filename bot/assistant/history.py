"""Questions about the past, answered from the record: short, dated, and the rest behind [More]."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from bot.assistant import animals, history_changes, history_contacts, history_trail
from bot.assistant.history_parts import WHICH, day_of, entries_of, latest, tank_of, tanks_named, today_of
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Control, Event, Item, Reading
from bot.messages import Button
from bot.rules.words import alike
from bot.store import logbook, worked
from bot.store.logbook import Fact
from bot.wording import history as wording

_PAGE = 6
_OF_EACH = 2
"""So many lines of each tank where a site with several is asked about."""


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
    if needs_tank and item.tank is None and (site := tanks_named(turn)):
        return [line for name in site for line in answer(turn, replace(item, tank=name))[:_OF_EACH]]
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
    tank, day = str(tank_of(turn, item)), day_of(turn, item)
    if item.parameter and day:
        return wording.of_day(tank, item.parameter, entries_of(turn, _on_day(turn, tank, item)), day[0].date())
    if item.parameter and not item.number:
        found = [f for f in logbook.series(turn.db, tank, item.parameter, 5, turn.now) if _is_sure(f)]
        return wording.last_value(tank, item.parameter, entries_of(turn, found[:1]), today_of(turn))
    if not item.parameter and item.reason:
        found = _last_done(turn, tank, item.reason)
        return wording.last_event(tank, item.reason.replace("_", " "), entries_of(turn, found), today_of(turn))
    return _trend(turn, item)


def _on_day(turn: Turn, tank: str, item: Control) -> list[Fact]:
    since, until = day_of(turn, item) or (turn.now, turn.now)
    found = logbook.events(turn.db, tank, [item.parameter or ""], since, until, kind="reading")
    return [f for f in found if isinstance(f.item, Reading) and f.item.of == "tank"]


def _last_done(turn: Turn, tank: str, what: str) -> list[Fact]:
    """When a kind of event was last said, or a thing was last seen to: "change carbon" by its carbon."""
    found = logbook.events(turn.db, tank, [what.replace(" ", "_")], limit=1)
    deeds = table("conversation")["last_done"]["deeds"].split()
    thing = " ".join(w for w in what.casefold().split() if w not in deeds and w not in tank.casefold())
    return (
        found
        or [
            f
            for f in logbook.events(turn.db, tank)
            if isinstance(f.item, Event) and f.item.event != "note" and alike(thing, f.item.subject or "")
        ][:1]
    )


def _extreme(turn: Turn, item: Control) -> list[str]:
    """The highest and the lowest value of a test and its mean, of what somebody stands by."""
    tank, day = str(tank_of(turn, item)), turn.now - timedelta(days=item.days or _LONG_DAYS)
    found = logbook.events(turn.db, tank, [item.parameter or ""], day, turn.now, 5000, kind="reading")
    sure = [f for f in found if _is_sure(f) and isinstance(f.item, Reading) and f.item.of == "tank"]
    return wording.extremes(tank, item.parameter or "", entries_of(turn, sure), today_of(turn), item.days)


_LONG_DAYS = 3650.0


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
    "extremes": (_extreme, True),
    "who_last": (_who_last, True),
    "changed": (history_changes.changed, True),
    "touched": (history_contacts.touched, False),
    "batch": (history_contacts.batch, False),
    "lives": (animals.living, True),
    "trail": (history_trail.trail, True),
    "why": (history_trail.why, True),
}
"""What each question asks for, and whether it is about one tank."""
