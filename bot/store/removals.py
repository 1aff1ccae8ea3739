"""Messages to be taken out of a chat again: what was typed with a door code in it, and a code that was shown."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlite_utils import Database

from bot.store.database import add, change, epoch, rows


def plan(db: Database, chat: str, ref: str, at: datetime) -> None:
    """Has the message that the chat knows as `ref` taken out at that time."""
    add(db, "removal", chat=chat, ref=ref, at=at)


def due(db: Database, now: datetime, limit: int = 20) -> list[dict[str, Any]]:
    """What is to be taken out by now, the oldest first."""
    sql = "select * from removal where done_at is null and at <= ? order by at, id limit ?"
    return rows(db, sql, [epoch(now), limit])


def done(db: Database, row_id: int, at: datetime) -> None:
    """Taken out, or found impossible (too old, already gone)."""
    change(db, "removal", row_id, done_at=at)
