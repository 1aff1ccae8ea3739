"""What every question about the past needs: the tank that is meant, facts on the team's clock, days."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta

from bot.assistant.turn import Turn
from bot.items import Control, Reading
from bot.store import logbook
from bot.store.logbook import Fact
from bot.understanding.text import Text
from bot.wording.habit import in_habit
from bot.wording.history import Entry

WHICH = "Which tank? Send its name with it."


def tank_of(turn: Turn, item: Control) -> str | None:
    """The tank that is named, else the one in hand."""
    return item.tank or (turn.situation.tank if turn.situation else None)


def tanks_named(turn: Turn) -> list[str]:
    """All tanks that the words of the message could name: those of a site, where its name alone was said."""
    mentions = Text(turn.text, turn.situation).mentions if turn.situation else ()
    return list(dict.fromkeys(name for m in mentions if m.plausible >= 1 and not m.vat for name in m.options))


def today_of(turn: Turn) -> date:
    """Today on the team's clock."""
    return turn.local(turn.now).date()


def entries_of(turn: Turn, found: Sequence[Fact]) -> list[Entry]:
    """Facts on the team's clock, in the units of whoever asks."""
    us = (turn.who.units or turn.team.units) == "us"
    return [Entry(turn.local(f.at), f.who, in_habit(f.item, us), f.void) for f in found]


def day_of(turn: Turn, item: Control) -> tuple[datetime, datetime] | None:
    """The day that is named, from midnight to midnight; None where none is."""
    day = item.date or (item.at.date() if item.at else None)
    if day is None:
        return None
    start = datetime.combine(day, time(), turn.zone)
    return start, start + timedelta(days=1)


def latest(turn: Turn, tank: str, until: datetime | None = None) -> list[Fact]:
    """The newest reading of each parameter at the tank itself."""
    found: dict[str, Fact] = {}
    for fact in logbook.events(turn.db, tank, kind="reading", until=until, limit=80):
        if isinstance(fact.item, Reading) and fact.item.of == "tank":
            found.setdefault(fact.item.parameter, fact)
    return list(found.values())
