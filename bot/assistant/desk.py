"""The one entrance for all doors: one happening in, one transaction, the answers in the outbox."""

from __future__ import annotations

from sqlite_utils import Database

from bot.assistant import due, incoming, practice, presses
from bot.assistant.subjects import SUBJECTS
from bot.messages import Edited, Happening, Incoming, Pressed
from bot.store.database import writing
from bot.store.seal import seal


def handle(db: Database, happening: Happening) -> int | None:
    """Works one happening off: facts, waits, questions and the answers to send go down together.

    Returns the number of the message under which everything was noted; None for one delivered before, or from
    somebody who is not on the team's list.
    """
    with writing(db):
        message_id = _taken(db, happening)
        if message_id is not None:
            seal(db, message_id)
        return message_id


def _taken(db: Database, happening: Happening) -> int | None:
    if practice.holds(db, happening):
        return practice.take(db, happening, handle, due.next_moment)
    match happening:
        case Incoming():
            return incoming.take(db, happening, SUBJECTS)
        case Edited():
            return incoming.take_edit(db, happening, SUBJECTS)
        case Pressed():
            return presses.take(db, happening, SUBJECTS)
        case _:
            practice.let_pass(db, happening.at, handle, due.next_moment)
            return due.take(db, happening, SUBJECTS)
