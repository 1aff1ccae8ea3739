"""Time has passed: every wait and reminder whose moment has come is dealt with, each once."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from sqlite_utils import Database

from bot.assistant import away, borrowed, budget, cards, moments, practice, quarantine
from bot.assistant.turn import Part, Subjects, Turn
from bot.messages import Tick
from bot.store import outbox, reminders, said, waits
from bot.store.reminders import Reminder
from bot.store.roster import load_team
from bot.team import Person

THE_BOT = Person(name="", role="bot")


def take(db: Database, tick: Tick, subjects: Subjects) -> int | None:
    """Works off everything due by now; None where nothing was."""
    away.note(db, tick)
    due_waits, due_reminders = waits.due(db, tick.at), reminders.due(db, tick.at)
    come = moments.come(db, tick.at)
    noon = quarantine.next_moment(db)
    looks = noon is not None and noon <= tick.at
    if not due_waits and not due_reminders and not come and not looks:
        return None
    turn = _turn(db, tick, subjects)
    parts = subjects.due_waits(turn, due_waits) if due_waits else []
    for each in (r for r in due_reminders if r.kind != budget.KIND):
        parts += subjects.due[each.kind](turn, each)
    _post(turn, [*parts, *(quarantine.missed(turn) if looks else [])])
    _post(turn, [*(cards.parts(turn, come) if come else []), *_held(turn, due_reminders)], is_card=True)
    return turn.message_id


def _held(turn: Turn, due_reminders: Sequence[Reminder]) -> list[Part]:
    """What waited for a card and found none."""
    waiting = {r.id for r in reminders.set_ones(turn.db, budget.KIND)}
    return [p for r in due_reminders if r.id in waiting for p in budget.due(turn, r)]


def _turn(db: Database, tick: Tick, subjects: Subjects) -> Turn:
    message_id = said.record(db, tick)
    assert message_id is not None
    return Turn(
        db=db,
        message_id=message_id,
        now=tick.at,
        said_at=tick.at,
        who=THE_BOT,
        chat="",
        team=load_team(db),
        subjects=subjects,
    )


def _post(turn: Turn, parts: list[Part], is_card: bool = False) -> None:
    for part in parts:
        for each in (copy for other in part.others for copy in borrowed.heard_there(turn, other)):
            if not is_card and budget.is_over(turn, each, part.urgent):
                budget.hold(turn, each)
            else:
                outbox.post(turn.db, away.with_line(turn, each), turn.now, turn.message_id, urgent=part.urgent)


def next_moment(db: Database) -> datetime | None:
    """When to look again."""
    found = (waits.next_due(db), moments.next_moment(db), practice.next_moment(db), quarantine.next_moment(db))
    return min(filter(None, found), default=None)
