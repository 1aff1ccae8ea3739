"""The one entrance for all doors: one happening in, one transaction, the answers in the outbox."""

from __future__ import annotations

from sqlite_utils import Database

from bot.messages import Happening
from bot.store.database import writing


def handle(db: Database, happening: Happening) -> int | None:
    """Works one happening off: facts, waits, questions and the answers to send go down together.

    Returns the number of the message under which everything was noted; None for one delivered before.
    """
    with writing(db):
        return None
