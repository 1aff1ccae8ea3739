"""Opens the one file of a team and brings it up to date; one writer, one transaction at a time."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from bot.store.schema import MIGRATIONS


class NewerFile(Exception):
    """The file was written by a newer release than this one."""


def open_database(path: str | Path) -> Database:
    """The database at `path` (":memory:" for none on disk), with every migration applied.

    Write-ahead log, full synchronisation and foreign keys are on. Raises NewerFile for a file of a later release.
    """
    conn = sqlite3.connect(str(path), isolation_level=None, check_same_thread=False, cached_statements=512)
    for pragma in ("journal_mode = wal", "synchronous = full", "foreign_keys = on", "busy_timeout = 5000"):
        conn.execute(f"pragma {pragma}")
    conn.row_factory = sqlite3.Row
    db = Database(conn, execute_plugins=False)
    migrate(db)
    return db


def open_reading(path: str | Path) -> Database:
    """A second connection to the file, which can only read: for long looks beside the one writer."""
    conn = sqlite3.connect(f"file:{path}?mode=ro", uri=True, isolation_level=None)
    conn.row_factory = sqlite3.Row
    conn.execute("pragma busy_timeout = 5000")
    return Database(conn, execute_plugins=False)


def migrate(db: Database, upto: int | None = None) -> int:
    """Applies the migrations that the file lacks, each in its own transaction; returns the version reached."""
    version = int(db.conn.execute("pragma user_version").fetchone()[0])
    if version > len(MIGRATIONS):
        raise NewerFile(
            f"the file has version {version}, this release knows {len(MIGRATIONS)}: install the newer release"
        )
    for number, migration in enumerate(MIGRATIONS[version:upto], start=version + 1):
        with writing(db):
            migration(db)
            db.conn.execute(f"pragma user_version = {number}")
    return int(db.conn.execute("pragma user_version").fetchone()[0])


@contextmanager
def writing(db: Database) -> Iterator[None]:
    """One transaction, begun at once; a second `writing` inside joins the first."""
    if db.conn.in_transaction:
        yield
        return
    db.conn.execute("begin immediate")
    try:
        yield
    except BaseException:
        db.conn.rollback()
        raise
    db.conn.commit()


def rows(db: Database, sql: str, args: Sequence[Any] = ()) -> list[dict[str, Any]]:
    """All rows of a query as dictionaries."""
    found = db.conn.execute(sql, args)
    names = [column[0] for column in found.description]
    return [dict(zip(names, row, strict=True)) for row in found]


def one(db: Database, sql: str, args: Sequence[Any] = ()) -> dict[str, Any] | None:
    """The first row of a query, or None."""
    row = db.conn.execute(sql, args).fetchone()
    return dict(row) if row else None


def add(db: Database, table: str, **values: Any) -> int:
    """Inserts a row, dictionaries and lists as JSON; returns its id. Only for tables that no journal watches."""
    names = ", ".join(values)
    marks = ", ".join("?" * len(values))
    done = db.conn.execute(f"insert into {table} ({names}) values ({marks})", [_stored(v) for v in values.values()])
    return int(done.lastrowid or 0)


def change(db: Database, table: str, row_id: int, **values: Any) -> None:
    """Changes a row of a table that no journal watches (inbox, outbox)."""
    sets = ", ".join(f"{name} = ?" for name in values)
    db.conn.execute(f"update {table} set {sets} where id = ?", [*map(_stored, values.values()), row_id])


def epoch(when: datetime) -> float:
    """Seconds since 1970 in UTC; `when` must know its zone."""
    return when.timestamp()


def instant(seconds: float) -> datetime:
    """The instant, in UTC."""
    return datetime.fromtimestamp(seconds, UTC)


def _stored(value: Any) -> Any:
    if isinstance(value, datetime):
        return epoch(value)
    if isinstance(value, dict | list | tuple):
        return json.dumps(value, ensure_ascii=False, separators=(",", ":"))
    return value
