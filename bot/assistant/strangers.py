"""Somebody who is not on the team's list: one neutral line, and nothing of the team."""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlite_utils import Database

from bot.messages import Outgoing
from bot.store import outbox
from bot.store.database import epoch, one
from bot.wording.strangers import NEUTRAL


def turn_away(db: Database, chat: str, now: datetime) -> None:
    """Says the neutral line, at most once a day in a chat; stores nothing of what was said."""
    since = epoch(now - timedelta(days=1))
    sql = "select 1 from outbox where chat = ? and text = ? and created_at > ? limit 1"
    if one(db, sql, [chat, NEUTRAL, since]) is None:
        outbox.post(db, Outgoing(chat, NEUTRAL), now)
