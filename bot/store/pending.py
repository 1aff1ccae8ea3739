"""What could not be stored yet because something must be asked first: one open question a chat, the rest wait."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlite_utils import Database

from bot.items import Item
from bot.items_json import from_json
from bot.store.database import instant, one, rows
from bot.store.journal import alter, put


@dataclass(frozen=True)
class Pending:
    """A question. `item`: a Clarify, or what is held back; `options`: answers offered; `data`: the asker's own."""

    id: int
    chat: str
    who: str
    message_id: int
    why: str
    item: Item | None
    options: tuple[str, ...]
    state: str
    asked_at: datetime | None
    asked_again: int
    data: Mapping[str, Any]


def ask(
    db: Database, message_id: int, chat: str, who: str, why: str, item: Mapping[str, Any],
    options: tuple[str, ...] = (), state: str = "open", asked_at: datetime | None = None, **data: Any,
) -> Pending:  # fmt: skip
    """Notes a question; `item` is a Clarify or what is held back, as JSON; {} for neither."""
    row_id = put(
        db, message_id, "pending", chat=chat, who=who, message_id=message_id, why=why, item=dict(item),
        options=list(options), state=state, asked_at=asked_at, data=data,
    )  # fmt: skip
    return pending(db, row_id)


def pending(db: Database, pending_id: int) -> Pending:
    """The question of that number; KeyError where there is none."""
    row = one(db, "select * from pending where id = ?", [pending_id])
    if row is None:
        raise KeyError(pending_id)
    return _row(row)


def find(db: Database, pending_id: int) -> Pending | None:
    """The question of that number, or None."""
    row = one(db, "select * from pending where id = ?", [pending_id])
    return _row(row) if row else None


def unanswered(db: Database, chat: str) -> list[Pending]:
    """The chat's questions without an answer, the open one first, then those that wait their turn."""
    sql = "select * from pending where chat = ? and state in ('open', 'waiting') order by state = 'waiting', id"
    return [_row(r) for r in rows(db, sql, [chat])]


def open_question(db: Database, chat: str) -> Pending | None:
    """The question that was put last and has no answer yet; however many wait behind it."""
    row = one(db, "select * from pending where chat = ? and state = 'open' order by id limit 1", [chat])
    return _row(row) if row else None


def settle(db: Database, message_id: int, pending_id: int, state: str, **values: Any) -> None:
    """Answered, dropped, put to wait, or asked again."""
    alter(db, message_id, "pending", pending_id, state=state, **values)


def _row(row: dict[str, Any]) -> Pending:
    item = json.loads(row["item"])
    return Pending(
        id=row["id"], chat=row["chat"], who=row["who"], message_id=row["message_id"], why=row["why"],
        item=from_json(item) if item else None, options=tuple(json.loads(row["options"])),
        state=row["state"], asked_at=instant(row["asked_at"]) if row["asked_at"] else None,
        asked_again=row["asked_again"], data=json.loads(row["data"]),
    )  # fmt: skip
