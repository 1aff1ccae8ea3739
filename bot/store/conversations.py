"""What a chat is about: the tank in hand, when it was last spoken of, who speaks."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlite_utils import Database

from bot.store.database import epoch, instant, one, rows
from bot.store.journal import alter, put


@dataclass(frozen=True)
class Conversation:
    """The state of a chat. `tank` is what is in hand; `tank_at` when it was last named or used."""

    chat: str
    id: int | None = None
    who: str | None = None
    tank: str | None = None
    tank_at: datetime | None = None
    last_at: datetime | None = None
    data: Mapping[str, Any] = field(default_factory=dict)


def conversation(db: Database, chat: str) -> Conversation:
    """The chat's state; an empty one where nothing was said yet."""
    row = one(db, "select * from conversation where chat = ?", [chat])
    if row is None:
        return Conversation(chat)
    times = {k: instant(row[k]) if row[k] is not None else None for k in ("tank_at", "last_at")}
    return Conversation(**(row | times | {"data": json.loads(row["data"])}))


def carry_on(db: Database, message_id: int, chat: str, **values: Any) -> None:
    """Changes columns of the chat's state."""
    known = conversation(db, chat)
    if known.id is None:
        put(db, message_id, "conversation", chat=chat, **values)
    else:
        alter(db, message_id, "conversation", known.id, **values)


def spoken_from(db: Database, who: str, at: datetime) -> list[str]:
    """The chats of others from which a person speaks at that time ("this is tomasz")."""
    sql = "select chat from conversation where json_extract(data, '$.speaker.who') = ? and chat <> ?"
    sql += " and json_extract(data, '$.speaker.until') > ? order by id"
    return [row["chat"] for row in rows(db, sql, [who, who, epoch(at)])]


def in_use(db: Database, tanks: Collection[str], since: datetime) -> list[Conversation]:
    """The chats that have one of the tanks in hand and used it since then, the latest first."""
    marks = ", ".join("?" * len(tanks))
    sql = f"select chat from conversation where tank in ({marks}) and tank_at >= ? order by tank_at desc"
    return [conversation(db, row["chat"]) for row in rows(db, sql, [*tanks, epoch(since)])]


def in_hand_at(db: Database, chat: str, tanks: Collection[str], since: datetime) -> list[datetime]:
    """When the chat's messages left one of the tanks in hand, since then, the earliest first."""
    known = conversation(db, chat)
    sql = (
        "select coalesce(m.sent_at, m.at) as at from journal j join message m on m.id = j.message_id"
        " where j.tab = 'conversation' and j.row_id = ? and m.at >= ?"
        f" and json_extract(j.after, '$.tank') in ({', '.join('?' * len(tanks))}) order by 1"
    )
    return [instant(row["at"]) for row in rows(db, sql, [known.id, epoch(since), *tanks])] if known.id else []
