"""Every change of a state table, with the row before and after, under the message that caused it.

Undo is the journal read backwards. A row that someone else has changed since is left as it is and reported.
"""

from __future__ import annotations

import json
from datetime import datetime
from typing import Any

from sqlite_utils import Database

from bot.store.database import add, change, instant, one, rows


def put(db: Database, message_id: int, table: str, /, **values: Any) -> int:
    """Inserts a row into a state table; returns its id."""
    row_id = add(db, table, **values)
    _note(db, message_id, table, row_id, None, _row(db, table, row_id))
    return row_id


def alter(db: Database, message_id: int, table: str, row_id: int, /, **values: Any) -> None:
    """Changes a row of a state table."""
    before = _row(db, table, row_id)
    change(db, table, row_id, **values)
    after = _row(db, table, row_id)
    if before != after:
        _note(db, message_id, table, row_id, before, after)


def first_noted(db: Database, table: str, row_id: int) -> datetime:
    """When a row of a state table was first written."""
    sql = "select m.at from journal j join message m on m.id = j.message_id where tab = ? and row_id = ?"
    row = one(db, f"{sql} order by j.id limit 1", [table, row_id])
    return instant(row["at"] if row else 0.0)


def changes(
    db: Database, table: str, message_id: int
) -> list[tuple[int, dict[str, Any] | None, dict[str, Any] | None]]:
    """What a message changed of a state table: each row's number, the row before and after, in order."""
    found = [e for e in reversed(_entries(db, message_id)) if e["tab"] == table]
    return [(int(e["row_id"]), _loaded(e["before"]), _loaded(e["after"])) for e in found]


def later_changes(db: Database, table: str, row_id: int, message_id: int) -> list[int]:
    """The messages that changed a row after that message did, the newest first; what time brought is left out."""
    sql = (
        "select distinct message_id from journal j join message m on m.id = j.message_id"
        " where tab = ? and row_id = ? and message_id > ? and m.kind <> 'tick' order by message_id desc"
    )
    return [int(row["message_id"]) for row in rows(db, sql, [table, row_id, message_id])]


def revert(db: Database, message_id: int, cause_id: int, own_only: bool = False) -> list[dict[str, Any]]:
    """Takes back what message `cause_id` changed, newest first, as changes of `message_id`.

    Rows changed again by a later message stay as they are: they are returned, for the caller to name. Which tank a
    chat has in hand (the conversation) is not part of what a person takes back. `own_only` leaves out what the
    message had itself taken back (an edit takes back the earlier wording).
    """
    left_alone = []
    for entry in _entries(db, cause_id):
        if entry["tab"] == "conversation" or (own_only and entry["undoes"]):
            continue
        if _changed_since(db, entry, message_id):
            left_alone.append(entry)
        else:
            _restore(db, message_id, entry)
    return left_alone


def _entries(db: Database, message_id: int) -> list[dict[str, Any]]:
    return rows(db, "select * from journal where message_id = ? order by id desc", [message_id])


def _changed_since(db: Database, entry: dict[str, Any], undoing_id: int) -> bool:
    later = one(
        db,
        "select 1 from journal j join message m on m.id = j.message_id where tab = ? and row_id = ? and j.id > ?"
        " and j.message_id not in (?, ?) and m.kind <> 'tick' limit 1",
        [entry["tab"], entry["row_id"], entry["id"], entry["message_id"], undoing_id],
    )
    return later is not None and _row(db, entry["tab"], entry["row_id"]) != _loaded(entry["after"])


def _restore(db: Database, message_id: int, entry: dict[str, Any]) -> None:
    table, row_id = entry["tab"], entry["row_id"]
    now, then = _row(db, table, row_id), _loaded(entry["before"])
    if then is None:
        db.conn.execute(f"delete from {table} where id = ?", [row_id])
    elif now is None:
        add(db, table, **then)
    else:
        change(db, table, row_id, **{k: v for k, v in then.items() if k != "id"})
    _note(db, message_id, table, row_id, now, then, entry["id"])


def _row(db: Database, table: str, row_id: int) -> dict[str, Any] | None:
    return one(db, f"select * from {table} where id = ?", [row_id])


def _loaded(text: str | None) -> dict[str, Any] | None:
    return json.loads(text) if text else None


def _note(
    db: Database, message_id: int, table: str, row_id: int,
    before: dict[str, Any] | None, after: dict[str, Any] | None, undoes: int | None = None,
) -> None:  # fmt: skip
    add(db, "journal", message_id=message_id, tab=table, row_id=row_id, before=before, after=after, undoes=undoes)
