"""Copies while the database is in use: whole, checked, thinned out, put back."""

import sqlite3
from contextlib import closing
from datetime import UTC, datetime, timedelta

import pytest

from bot.store.backup import NotACopy, check, copies, make_copy, put_back, rehearse, thin_out
from bot.store.database import open_database, rows
from bot.store.record import bring_in
from bot.store.schema import MIGRATIONS

NOW = datetime(2026, 3, 2, 14, 0, tzinfo=UTC)


@pytest.fixture
def path(tmp_path):
    db = open_database(tmp_path / "team.db")
    bring_in(db, {"team": {"name": "t", "people": [{"name": "ana"}]}}, "set up", NOW)
    db.close()
    return tmp_path / "team.db"


def names(path):
    db = open_database(path)
    try:
        return [row["name"] for row in rows(db, "select name from roster where kind = 'person' order by id")]
    finally:
        db.close()


def test_a_copy_holds_what_was_committed_and_nothing_half_done(path, tmp_path):
    db = open_database(path)
    db.conn.execute("begin immediate")
    db.conn.execute("insert into roster (kind, name, data) values ('person', 'half', '{}')")
    copy = make_copy(path, tmp_path / "copies", NOW)
    db.conn.commit()
    assert copy.name == "copy-20260302T140000Z.db" and copy.stat().st_mode & 0o777 == 0o600
    assert names(copy) == ["ana"]
    assert [p.name for p in (tmp_path / "copies").glob("*.part*")] == []
    db.close()


def test_a_copy_is_put_back_and_the_present_file_kept(path, tmp_path):
    copy = make_copy(path, tmp_path / "copies", NOW)
    db = open_database(path)
    db.conn.execute("update roster set name = 'changed' where name = 'ana'")
    db.close()
    kept = put_back(copy, path, NOW)
    assert names(path) == ["ana"] and names(kept) == ["changed"]


def test_changes_still_in_the_log_beside_the_file_are_kept_too(path, tmp_path):
    copy = make_copy(path, tmp_path / "copies", NOW)
    db = open_database(path)
    db.conn.execute("pragma wal_autocheckpoint = 0")
    db.conn.execute("update roster set name = 'in the log' where name = 'ana'")
    kept = put_back(copy, path, NOW)
    assert names(kept) == ["in the log"] and names(path) == ["ana"]
    db.close()


def damaged(path, how):
    content = path.read_bytes()
    if how == "cut short":
        path.write_bytes(content[: len(content) // 2])
    elif how == "overwritten":
        path.write_bytes(content[:4096] + b"\xff" * 8192 + content[12288:])
    elif how == "no database":
        path.write_bytes(b"hello\n" * 1000)
    elif how == "of a later release":
        db = open_database(path)
        db.conn.execute(f"pragma user_version = {len(MIGRATIONS) + 1}")
        db.close()
    else:
        path.unlink()
    return path


HOW = ["cut short", "overwritten", "no database", "of a later release", "gone"]


@pytest.mark.parametrize("how", HOW)
def test_a_file_that_cannot_stand_for_the_database_is_refused_and_nothing_changes(path, tmp_path, how):
    copy = damaged(make_copy(path, tmp_path / "copies", NOW), how)
    with pytest.raises(NotACopy):
        check(copy)
    with pytest.raises(NotACopy):
        put_back(copy, path, NOW)
    assert names(path) == ["ana"]
    assert sorted(p.name for p in tmp_path.iterdir()) == ["copies", "team.db"]


def test_a_damaged_database_gives_no_copy_that_looks_like_a_good_one(path, tmp_path):
    damaged(path, "overwritten")
    with pytest.raises(Exception, match=r"damaged|malformed|not a database"):
        make_copy(path, tmp_path / "copies", NOW)
    assert copies(tmp_path / "copies") == []


def test_of_two_years_of_daily_copies_days_weeks_and_months_stay(tmp_path):
    for day in range(730):
        at = NOW - timedelta(days=day)
        (tmp_path / at.strftime("copy-%Y%m%dT%H%M%SZ.db")).touch()
    thin_out(tmp_path)
    kept = [at for at, _ in copies(tmp_path)]
    assert kept[:7] == [NOW - timedelta(days=d) for d in range(7)]
    assert len(kept) <= 7 + 5 + 12
    assert len({at.strftime("%Y-%m") for at in kept}) == 12
    assert thin_out(tmp_path) == []


def test_other_files_in_the_folder_are_left_alone(tmp_path):
    for name in ("copy-of-my-notes.db", "notes.txt"):
        (tmp_path / name).touch()
    assert copies(tmp_path) == [] and thin_out(tmp_path) == []
    assert len(list(tmp_path.iterdir())) == 2


def test_a_rehearsal_finds_every_row_of_the_copy_again_and_leaves_nothing_behind(path, tmp_path):
    copy = make_copy(path, tmp_path / "copies", NOW)
    found = rehearse(copy, NOW)
    assert found.why == "" and found.rows > 0
    assert list(copy.parent.iterdir()) == [copy]


def test_a_rehearsal_of_a_damaged_or_altered_copy_says_why(path, tmp_path):
    copy = make_copy(path, tmp_path / "copies", NOW)
    with closing(sqlite3.connect(copy)) as conn, conn:
        conn.execute("drop trigger message_no_update")
        conn.execute("update message set text = 'something else'")
    assert "seal" in rehearse(copy, NOW).why
    copy.write_bytes(b"no database" * 500)
    assert rehearse(copy, NOW).why != ""
