"""How much the bot says unasked: so many messages a working day and person; what is over waits for the next card.

Pings, alerts and what a colleague asks make a sound and are never held back. A message that waits is a reminder: undo
of what caused it takes it along.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, time

from bot.assistant import moments
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.messages import Outgoing
from bot.store import reminders
from bot.store.database import epoch, one
from bot.store.reminders import Reminder

KIND = "digest"


def is_over(turn: Turn, message: Outgoing, urgent: bool) -> bool:
    """Whether it must wait: unasked, silent, not urgent, and the person has had the day's share."""
    person = turn.team.person(message.to)
    if person is None or not message.unasked or message.sound or urgent:
        return False
    midnight = datetime.combine(turn.local(turn.now).date(), time(), turn.zone)
    sql = "select count(*) as said from outbox where chat = ? and unasked = 1 and urgent = 0 and created_at >= ?"
    row = one(turn.db, sql, [message.to, epoch(midnight)])
    return bool(row and row["said"] >= table("cards")["budget"][person.role])


def hold(turn: Turn, message: Outgoing) -> None:
    """Keeps it for the next card."""
    at = moments.next_moment(turn.db) or turn.now
    reminders.set_reminder(turn.db, turn.message_id, KIND, at, message.to, message.to, text=message.text)


def due(turn: Turn, reminder: Reminder) -> list[Part]:
    """All that waited for this person, in one message; where an earlier one has said it, nothing is left."""
    waiting = [r for r in reminders.set_ones(turn.db, KIND) if r.chat == reminder.chat]
    lines = _taken(turn, waiting)
    return [Part(others=(Outgoing(reminder.chat or "", "\n".join(lines), unasked=True),))] if lines else []


def with_held(turn: Turn, parts: Sequence[Part]) -> list[Part]:
    """The cards, each person's first one with what waited for them under it."""
    found: list[Part] = []
    for part in parts:
        others = []
        for message in part.others:
            waiting = [r for r in reminders.set_ones(turn.db, KIND) if r.chat == message.to]
            lines = _taken(turn, waiting)
            others.append(replace(message, text="\n".join((message.text, *lines))) if lines else message)
        found.append(replace(part, others=tuple(others)))
    return found


def _taken(turn: Turn, waiting: Sequence[Reminder]) -> list[str]:
    most = int(table("cards")["lines"]["value"])
    for each in waiting:
        reminders.alter_reminder(turn.db, turn.message_id, each.id, state="done")
    lines = [str(each.data["text"]).replace("\n", " · ") for each in waiting]
    return lines[:most] + ([f"and {len(lines) - most} more"] if len(lines) > most else [])
