"""What people said, in the order it came in. Nothing here is ever changed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from sqlite_utils import Database

from bot.messages import Edited, Happening, Incoming, Pressed
from bot.store.database import add, epoch, instant, one, rows

_KIND = {Incoming: "said", Edited: "edited", Pressed: "pressed"}


def record(db: Database, happening: Happening, earlier: int | None = None) -> int | None:
    """Notes what came in and returns its number; None where the same message was delivered before."""
    if isinstance(happening, Incoming) and message_of(db, happening.chat, happening.ref):
        return None
    values = {k: v for k, v in vars(happening).items() if k in _COLUMNS and v is not None}
    kind = _KIND.get(type(happening), "tick")
    defaults = {"chat": "", "who": "", "text": getattr(happening, "data", ""), "stored_at": epoch(happening.at)}
    return add(db, "message", **defaults | values, kind=kind, earlier=earlier)


def words_of(db: Database, message_id: int) -> str:
    """What a person wrote; nothing where a button was pressed."""
    row = message(db, message_id)
    return str(row["text"]) if row["kind"] in ("said", "edited") else ""


def record_import(db: Database, who: str, at: datetime, text: str, file: str | None = None) -> int:
    """Notes that someone brought in a file (a team, an old log); everything read from it stands under this number."""
    return add(db, "message", kind="import", chat="", who=who, at=at, stored_at=at, text=text, file=file)


def message_of(db: Database, chat: str, ref: str | None) -> dict[str, Any] | None:
    """The message that the chat knows as `ref`."""
    if ref is None:
        return None
    return one(db, "select * from message where chat = ? and ref = ? and kind = 'said'", [chat, ref])


def message(db: Database, message_id: int) -> dict[str, Any]:
    """The message of that number; KeyError where there is none."""
    row = one(db, "select * from message where id = ?", [message_id])
    if row is None:
        raise KeyError(message_id)
    return row


def find(db: Database, message_id: int) -> dict[str, Any] | None:
    """The message of that number, or None."""
    return one(db, "select * from message where id = ?", [message_id])


def latest_wording(db: Database, message_id: int) -> int:
    """The number under which the words of a message stand since it was edited last; its own where it never was."""
    first = message(db, message_id)["earlier"] or message_id
    row = one(db, "select max(id) as id from message where earlier = ? and kind = 'edited'", [first])
    return int(row["id"]) if row and row["id"] else int(first)


def written_at(row: dict[str, Any]) -> datetime:
    """When the message was written, as far as is known: the stated time of writing, else its arrival."""
    return instant(row["sent_at"] or row["at"])


def came_at(row: dict[str, Any]) -> datetime:
    """When the message arrived."""
    return instant(row["at"])


_COLUMNS = ("at", "who", "chat", "text", "ref", "reply_to", "sent_at", "photo", "file", "topic")


def back_from(db: Database, who: str, message_id: int) -> Iterator[tuple[datetime, bool]]:
    """When the person wrote before that message, newest first, and whether that was a leaving."""
    leaving = "exists (select 1 from fact f where f.message_id = m.id and f.kind = 'control' and f.name = 'leaving')"
    sql = f"select m.*, {leaving} as left from message m where m.who = ? and m.id < ? and m.kind = 'said'"
    for row in rows(db, f"{sql} order by m.id desc limit 200", [who, message_id]):
        yield written_at(row), bool(row["left"])


def arrivals(db: Database, who: str, message_id: int, limit: int = 200) -> list[tuple[datetime, int]]:
    """When the person's messages came, up to that one, newest first, with their numbers.

    Where the bot was away or slow, when the chat service got them counts, not when they were worked off.
    """
    columns, order = "id, coalesce(sent_at, at) as at", "order by id desc limit ?"
    sql = f"select {columns} from message where who = ? and id <= ? and kind = 'said' {order}"
    return [(instant(row["at"]), int(row["id"])) for row in rows(db, sql, [who, message_id, limit])]


def last_before(db: Database, who: str, message_id: int) -> datetime | None:
    """When the person was last heard of before that message, by word or press."""
    row = one(db, "select max(at) as at from message where who = ? and id < ?", [who, message_id])
    return instant(row["at"]) if row and row["at"] is not None else None


def first_since(db: Database, who: str, since: datetime) -> datetime | None:
    """When the person was first heard of from that moment on."""
    row = one(db, "select min(at) as at from message where who = ? and at >= ?", [who, epoch(since)])
    return instant(row["at"]) if row and row["at"] is not None else None
