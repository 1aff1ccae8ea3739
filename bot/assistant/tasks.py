"""A job for later: kept, quoted, told when its hour comes, done when somebody says so.

A job with an hour pings whoever it is for; one with a day, or for a tank, stands on the cards of that day and visit.
That it was done is a fact of its own beside it: so a job that comes again keeps its past, and undo is exact.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta

from bot.assistant import acts, jobs
from bot.assistant.turn import Part, Turn
from bot.items import Control, Item, Task
from bot.messages import Outgoing
from bot.rules import jobs as rules
from bot.store import logbook, reminders
from bot.store.reminders import Reminder
from bot.wording import entries
from bot.wording import jobs as wording


def take(turn: Turn, item: Item) -> list[Part]:
    """Keeps a task; one with an hour gets a reminder, for its person or whoever said it."""
    assert isinstance(item, Task)
    fact_id = turn.keep(item)
    if isinstance(item.due, datetime):
        who = turn.team.person(item.who) or turn.who
        reminders.set_reminder(turn.db, turn.message_id, "task", item.due, who.name, who.name, item.tank, fact_id)
    return [Part(said=(entries.task(item, _due_words(turn, item)),), tank=item.tank, stored=True)]


def due(turn: Turn, reminder: Reminder) -> list[Part]:
    """Says once that a task is due; one that comes again is set again."""
    reminders.alter_reminder(turn.db, turn.message_id, reminder.id, state="done")
    fact = logbook.fact(turn.db, reminder.fact_id or 0)
    if fact is None or fact.void or not isinstance(fact.item, Task) or not reminder.chat:
        return []
    if fact.item.every_days:
        _set_again(turn, reminder, fact.item.every_days)
    elif not any(job.fact_id == fact.id for job in jobs.still_open(turn)):
        return []
    place = f"{fact.item.tank}: " if fact.item.tank else ""
    told = Outgoing(reminder.chat, f"Next {place}{fact.item.text}", unasked=True, sound=True)
    return [Part(others=(told,), urgent=True)]


def done(turn: Turn, item: Item) -> list[Part]:
    """ "done order salt": the job that the words mean; "done" alone, or of something else, is about a wait."""
    assert isinstance(item, Control)
    found = rules.named(jobs.still_open(turn), item.subject or "") if not item.wait else []
    if not found:
        return acts.done(turn, item)
    own = [job for job in found if job.who in (turn.who.name, None)] or found
    jobs.finish(turn, own[0])
    again = rules.due_day(rules.Job(**{**vars(own[0]), "done": turn.local(turn.said_at).date()}))
    today = turn.local(turn.now).date()
    return [Part(said=(wording.done(own[0], again, today),), tank=own[0].tank, stored=True)]


def done_in_words(turn: Turn) -> list[Part] | None:
    """ "done lamp vantree": the words of one open job and that it is done, where nothing else is meant by them."""
    words = wording.without_done(turn.text)
    found = rules.named(jobs.still_open(turn), words) if words else []
    if not found or turn.situation is None or _is_entry(turn):
        return None
    return done(turn, Control("done", subject=words))


def _is_entry(turn: Turn) -> bool:
    """Whether the words are read as work or a reading anyway: then the job is closed by that."""
    understood = turn.understood
    return any(item.kind in ("event", "reading", "wait", "batch") for item in understood.items)


def _set_again(turn: Turn, reminder: Reminder, every_days: float) -> None:
    """The same hour on the team's clock, so many days on."""
    local = turn.local(reminder.at).replace(tzinfo=None) + timedelta(days=round(every_days))
    at = local.replace(tzinfo=turn.zone)
    reminders.set_reminder(
        turn.db, turn.message_id, "task", at, reminder.who, reminder.chat, reminder.tank, reminder.fact_id
    )


def _due_words(turn: Turn, item: Task) -> str:
    today = turn.local(turn.now).date()
    if isinstance(item.due, datetime):
        return entries.clock(turn.local(item.due), today)
    return entries.day(item.due, today) if isinstance(item.due, date) else ""
