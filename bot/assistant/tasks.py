"""A job for later: kept, quoted, and told to the one it is for when it is due."""

from __future__ import annotations

from datetime import date, datetime, time

from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Item, Task
from bot.messages import Outgoing
from bot.store import logbook, reminders
from bot.store.reminders import Reminder
from bot.wording import entries


def take(turn: Turn, item: Item) -> list[Part]:
    """Keeps a task; one with a due time gets a reminder, for its person or who said it."""
    assert isinstance(item, Task)
    fact_id = turn.keep(item)
    if item.due is not None:
        who = turn.team.person(item.who) or turn.who
        reminders.set_reminder(
            turn.db, turn.message_id, "task", _moment(turn, item.due), who.name, who.name, item.tank, fact_id
        )
    return [Part(said=(entries.task(item, _due_words(turn, item)),), tank=item.tank, stored=True)]


def due(turn: Turn, reminder: Reminder) -> list[Part]:
    """Says once that a task is due."""
    reminders.alter_reminder(turn.db, turn.message_id, reminder.id, state="done")
    fact = logbook.fact(turn.db, reminder.fact_id or 0)
    if fact is None or fact.void or not isinstance(fact.item, Task) or not reminder.chat:
        return []
    place = f"{fact.item.tank}: " if fact.item.tank else ""
    told = Outgoing(
        reminder.chat, f"Next {place}{fact.item.text}", unasked=True, sound=isinstance(fact.item.due, datetime)
    )
    return [Part(others=(told,), urgent=told.sound)]


def _moment(turn: Turn, due: date | datetime) -> datetime:
    """A date means the morning of that day."""
    if isinstance(due, datetime):
        return due
    morning = time.fromisoformat(table("conversation")["morning"]["at"])
    return datetime.combine(due, morning, turn.zone)


def _due_words(turn: Turn, item: Task) -> str:
    today = turn.local(turn.now).date()
    if isinstance(item.due, datetime):
        return entries.clock(turn.local(item.due), today)
    return entries.day(item.due, today) if item.due else ""
