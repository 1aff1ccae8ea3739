"""Raw updates of the chat service: stored before they are confirmed, worked off in order, once each."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from sqlite_utils import Database

from bot.store.database import change, epoch, rows, writing


def take_in(db: Database, updates: Iterable[tuple[str, Mapping[str, Any]]], at: datetime) -> int:
    """Stores (chat, update) pairs in one transaction, those already known left out; returns how many were new."""
    sql = "insert or ignore into inbox (update_id, chat, raw, received_at) values (?, ?, ?, ?)"
    before = db.conn.total_changes
    with writing(db):
        for chat, update in updates:
            raw = json.dumps(update, ensure_ascii=False, separators=(",", ":"))
            db.conn.execute(sql, [update["update_id"], chat, raw, epoch(at)])
    return db.conn.total_changes - before


def open_updates(db: Database, limit: int = 500) -> list[dict[str, Any]]:
    """Updates not yet worked off, in the order they came in; `raw` is read back into a dictionary."""
    found = rows(db, "select * from inbox where done_at is null order by id limit ?", [limit])
    return [row | {"raw": json.loads(row["raw"])} for row in found]


def count_open(db: Database) -> int:
    """How many updates are not yet worked off."""
    return int(db.conn.execute("select count(*) from inbox where done_at is null").fetchone()[0])


def next_in_each_chat(db: Database, most: int = 20) -> list[dict[str, Any]]:
    """Updates not yet worked off, the first few of each chat, in turns: nobody waits behind another's flood."""
    place = "row_number() over (partition by chat order by id) as place"
    inner = f"select *, {place} from inbox where done_at is null"
    found = rows(db, f"select * from ({inner}) where place <= ? order by place, id", [most])
    return [row | {"raw": json.loads(row["raw"])} for row in found]


def blank(db: Database, row_id: int) -> None:
    """Forgets what the update said (a stranger's words, a code); its number stays, against a second delivery."""
    change(db, "inbox", row_id, raw="{}")


def worked_off(db: Database, row_id: int, at: datetime) -> None:
    """The update's effects are stored; call it in the same transaction."""
    change(db, "inbox", row_id, done_at=at)


def set_aside(db: Database, row_id: int, at: datetime, error: str) -> None:
    """The update cannot be understood by the program itself: kept with the error, out of the way of the rest."""
    change(db, "inbox", row_id, done_at=at, error=error)


def purge(db: Database, before: datetime) -> None:
    """Forgets updates worked off before that time; their effects are in the record."""
    db.conn.execute("delete from inbox where done_at < ? and error is null", [epoch(before)])
