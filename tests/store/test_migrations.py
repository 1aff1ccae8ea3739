"""An older file is brought up to date on opening, with nothing lost; a newer one is refused with a reason."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from sqlite_utils import Database

from bot.items import Reading
from bot.store import logbook
from bot.store.database import NewerFile, add, migrate, open_database, rows, writing
from bot.store.schema import MIGRATIONS
from tests.assistant.team import START


def _file_of_the_first_release(path: Path) -> None:
    conn = sqlite3.connect(path, isolation_level=None)
    conn.row_factory = sqlite3.Row
    db = Database(conn, execute_plugins=False)
    migrate(db, upto=1)
    with writing(db):
        cause = add(db, "message", kind="said", chat="ana", ref="1", who="ana", at=1.0, stored_at=1.0, text="ph 8.1")
        logbook.keep(db, cause, "ana", Reading("ph", 8.1, "pH", tank="Elm lobby"), START)
    conn.close()


def test_a_file_written_by_the_first_migration_opens_with_all_that_was_in_it(tmp_path: Path) -> None:
    path = tmp_path / "old.db"
    _file_of_the_first_release(path)
    db = open_database(path)
    assert db.conn.execute("pragma user_version").fetchone()[0] == len(MIGRATIONS)
    assert [f.item for f in logbook.series(db, "Elm lobby", "ph")] == [Reading("ph", 8.1, "pH", tank="Elm lobby")]
    assert [r["text"] for r in rows(db, "select text from message")] == ["ph 8.1"]


def test_opening_twice_changes_nothing_more(tmp_path: Path) -> None:
    path = tmp_path / "twice.db"
    schemas = []
    for _ in range(2):
        db = open_database(path)
        schemas.append(rows(db, "select name, sql from sqlite_master order by name"))
        db.close()
    assert schemas[0] == schemas[1]


def test_a_file_of_a_later_release_is_refused_with_the_reason(tmp_path: Path) -> None:
    path = tmp_path / "new.db"
    db = open_database(path)
    db.conn.execute(f"pragma user_version = {len(MIGRATIONS) + 1}")
    db.close()
    with pytest.raises(NewerFile, match="install the newer release"):
        open_database(path)


def test_a_migration_that_fails_half_way_leaves_the_file_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "half.db"
    _file_of_the_first_release(path)
    conn = sqlite3.connect(path, isolation_level=None)
    before = conn.execute("select count(*) from sqlite_master").fetchone()
    db = Database(conn, execute_plugins=False)

    def breaks(db: Database) -> None:
        db.conn.execute("create table half (id integer)")
        raise RuntimeError("half-way")

    with pytest.raises(RuntimeError), writing(db):
        breaks(db)
    assert conn.execute("select count(*) from sqlite_master").fetchone() == before


def test_write_ahead_log_full_synchronisation_and_foreign_keys_are_on(tmp_path: Path) -> None:
    db = open_database(tmp_path / "on.db")
    asked = [db.conn.execute(f"pragma {p}").fetchone()[0] for p in ("journal_mode", "synchronous", "foreign_keys")]
    assert asked == ["wal", 2, 1]
