"""What is in stock just now, folded from the record; what is low, and who hears of it when."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from bot.assistant import evening, forecast, people
from bot.assistant.turn import Part, Turn
from bot.items import Stock
from bot.messages import Button
from bot.rules import stock as rules
from bot.rules.stock import Entry, Level, Outlook
from bot.rules.supplies import key_of, supply
from bot.store import reminders
from bot.store import stock as store
from bot.store.logbook import Fact
from bot.store.reminders import Reminder
from bot.wording import supplies as wording

ORDER_LIST = Button("Order list", "ol")
KIND = "supplies"


def own(turn: Turn) -> dict[str, dict[str, Any]]:
    """What the team set of its supplies."""
    return dict(turn.team.data.get("supplies") or {})


def us(turn: Turn) -> bool:
    """Whether this person reads pounds."""
    return (turn.who.units or turn.team.units) == "us"


def levels(turn: Turn, since: datetime | None = None) -> dict[str, Level]:
    """Every supply that was ever moved or counted, as it stands."""
    began = store.began(turn.db)
    if began is None:
        return {}
    moved = store.movements(turn.db, None)
    tests = {k.removesuffix(" kit") for k in _keys(moved)} | {"chlorine"}
    found = rules.levels(_entries(turn, [*moved, *store.acts(turn.db, tests, since or began)]), own(turn))
    return {key: level for key, level in found.items() if key in _keys(moved)}


def level(turn: Turn, key: str) -> Level:
    """One supply as it stands; empty where nothing is known of it."""
    return levels(turn).get(key) or Level(supply(key, own(turn)))


def outlook(turn: Turn, of: Level) -> Outlook:
    """How long it lasts; salt at what the planned visits will take, where that is more."""
    planned = forecast.salt_a_day_g(turn) if of.of.key == "salt" else 0.0
    return rules.outlook(of, turn.local(turn.now), planned)


def low(turn: Turn) -> list[Outlook]:
    """What runs out before a delivery and the reserve, the soonest first."""
    return rules.low_first([outlook(turn, level) for level in levels(turn).values()])


def entries_between(turn: Turn, tests: Iterable[str], first: datetime, last: datetime) -> list[Entry]:
    """What used supplies up in a span of time."""
    return _entries(turn, store.acts(turn.db, tests, first, last))


def watch(turn: Turn) -> None:
    """From the first word about stock on, it is looked at every evening."""
    if not reminders.set_ones(turn.db, KIND):
        reminders.set_reminder(turn.db, turn.message_id, KIND, evening.next_one(turn), told=[])


def due(turn: Turn, reminder: Reminder) -> list[Part]:
    """The evening's look: what has newly come under its line is told once; on Fridays all that is to order."""
    found, to = low(turn), _orders(turn)
    told = set(reminder.data.get("told", ()))
    keys = [f.level.of.key for f in found]
    new = [f for f in found if f.level.of.key not in told]
    if store.began(turn.db) is None:
        reminders.alter_reminder(turn.db, turn.message_id, reminder.id, state="done")
        return []
    data = {"told": keys if to else [k for k in keys if k in told]}
    reminders.alter_reminder(turn.db, turn.message_id, reminder.id, at=evening.next_one(turn), data=data)
    shown = found if evening.is_list_day(turn) else new
    words = wording.running_out(shown, turn.local(turn.now).date())
    return [Part(others=(people.told(turn, to, words, (ORDER_LIST,)),))] if shown and to else []


def _orders(turn: Turn) -> str | None:
    """Who orders: the office, else the owner; nobody on a day off."""
    known = (*turn.team.with_role("office"), *turn.team.with_role("owner"))
    return next((p.name for p in known if not people.is_off(turn, p.name)), None)


def _keys(moved: Iterable[Fact]) -> set[str]:
    return {key_of(f.item.subject) for f in moved if isinstance(f.item, Stock) and f.item.action != "asked"}


def _entries(turn: Turn, found: Iterable[Fact]) -> list[Entry]:
    return [Entry(turn.local(f.at), f.who, f.item, f.id) for f in found]
