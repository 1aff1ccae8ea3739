"""A chain of hashes over the record: one link for each message and all that was written under it.

A row changed, taken out or slipped in afterwards breaks its own link and, with it, every later one can be told from the
chain's end. The chain shows tampering; it does not prevent it.
"""

from __future__ import annotations

import hashlib
import json
from typing import Any

from sqlite_utils import Database

from bot.store.database import add, one, rows
from bot.store.schema import STATE

_UNDER_A_MESSAGE = ("fact", "standing", "reversal", "journal")
# Tables of later releases: sealed where they hold something, so that older seals still hold.
_SINCE = ("import_row", "worked", "worked_from")
_START = "0" * 64


def seal(db: Database, message_id: int) -> str:
    """Closes the message: call it last, in the transaction that wrote the message. Returns its hash.

    Whatever else is written under the message afterwards breaks the seal. Sealing twice raises IntegrityError.
    """
    last = one(db, "select hash from seal order by message_id desc limit 1")
    link = _hash(db, message_id, last["hash"] if last else _START)
    add(db, "seal", message_id=message_id, hash=link)
    return link


def broken_seals(db: Database) -> list[int]:
    """The messages whose rows are not what was sealed, in order; also sealed messages that are gone.

    Each link is checked against the stored hash of the one before, so one tampered row is named alone.
    """
    before, broken = _START, []
    for row in db.conn.execute("select message_id, hash from seal order by message_id"):
        if _hash(db, row["message_id"], before) != row["hash"]:
            broken.append(row["message_id"])
        before = row["hash"]
    return broken


def unsealed(db: Database) -> list[int]:
    """Messages without a seal: slipped in behind the chain's back, or written by a program that does not seal."""
    sql = "select id from message m where not exists (select 1 from seal s where s.message_id = m.id) order by id"
    return [row["id"] for row in rows(db, sql)]


def strayed_rows(db: Database) -> list[tuple[str, int]]:
    """Rows of the state tables (waits, roster ...) that differ from what the journal last wrote: (table, number)."""
    return [(table, number) for table in STATE for number in _strayed(db, table)]


def chain_end(db: Database) -> str:
    """The hash of the last link. Kept elsewhere, it proves later that no part of the chain was written anew."""
    last = one(db, "select hash from seal order by message_id desc limit 1")
    return str(last["hash"]) if last else _START


def _strayed(db: Database, table: str) -> list[int]:
    sql = "select row_id, after from journal where id in (select max(id) from journal where tab = ? group by row_id)"
    written = {
        row["row_id"]: json.loads(row["after"]) if row["after"] else None for row in db.conn.execute(sql, [table])
    }
    standing = {row["id"]: row for row in rows(db, f"select * from {table}")}
    return sorted(n for n in written.keys() | standing.keys() if written.get(n) != standing.get(n))


def _hash(db: Database, message_id: int, before: str) -> str:
    under = {table: _rows(db, table, "message_id", message_id) for table in _UNDER_A_MESSAGE}
    under |= {table: found for table in _SINCE if (found := _rows(db, table, "message_id", message_id))}
    whole = [before, _rows(db, "message", "id", message_id), under]
    return hashlib.sha256(json.dumps(whole, ensure_ascii=False, separators=(",", ":")).encode()).hexdigest()


def _rows(db: Database, table: str, column: str, number: int) -> list[list[Any]]:
    return [list(row) for row in db.conn.execute(f"select * from {table} where {column} = ? order by id", [number])]
