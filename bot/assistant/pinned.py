"""The card pinned in a chat, silently kept as things stand: in a private chat what runs and what is left of the day,
in a tank's topic what is open there. Worked out from the record each time; only what was last shown is noted.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from sqlite_utils import Database

from bot.assistant import calendar, jobs, route, running, today, watch
from bot.assistant.calendar import Calendar
from bot.assistant.due import THE_BOT
from bot.assistant.subjects import SUBJECTS
from bot.assistant.turn import Turn
from bot.facts.load import table
from bot.store import waits
from bot.store.roster import load_team
from bot.team import Person, Tank
from bot.wording import pinned as wording
from bot.wording.entries import clock


@dataclass(frozen=True)
class Card:
    """What should stand pinned in a chat (and topic) now."""

    chat: str
    topic: str | None
    text: str


def cards(db: Database, now: datetime) -> list[Card]:
    """All cards as they should stand now; none where there is nothing to show."""
    turn = Turn(db, 0, now, now, THE_BOT, "", load_team(db), SUBJECTS)
    plan = calendar.now(turn)
    own = [Card(p.name, None, text) for p in turn.team.people if (text := _own(turn, plan, p))]
    return [*own, *_topics(turn, plan)]


def _own(turn: Turn, plan: Calendar, person: Person) -> str | None:
    """What runs by due time, open gates among it, and what is left of the day."""
    day = turn.local(turn.now).date()
    rows = waits.open_waits(turn.db, owner=person.name)
    shown = [running.of(turn, row) for row in rows[: int(table("pings")["status"]["lines"])]]
    lines = [wording.line(clock(it.shown.due, day), it.shown.full, it.row.state == "gate") for it in shown]
    found = route.route(plan, person.name, day)
    left = today.counted(found) if found.halts else None
    return wording.card(day, lines, len(rows) - len(lines), left)


def _topics(turn: Turn, plan: Calendar) -> Iterator[Card]:
    """The open points of each tank that has a topic; nothing about people."""
    group = turn.team.data.get("group")
    todo = jobs.still_open(turn) if group else []
    for tank in turn.team.tanks:
        if group and tank.data.get("topic"):
            lines = _points(turn, tank)
            work = [job.text for job in todo if job.tank == tank.name and job.due is None][:3]
            following = plan.next_visit(tank)
            text = wording.topic(tank.name, lines, work, following.day if following else None, plan.today)
            yield Card(str(group), str(tank.data["topic"]), text)


def _points(turn: Turn, tank: Tank) -> list[str]:
    return [p.text for p in watch.points(turn, tank.name) if p.kind != "note"][:3]
