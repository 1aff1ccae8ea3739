"""The record only grows: no statement changes it, and a row changed behind the program's back is found."""

import json
import re
import sqlite3
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bot.items import Reading
from bot.store.database import open_database, rows
from bot.store.demo import load_demo
from bot.store.logbook import keep, void
from bot.store.record import bring_in, exported
from bot.store.roster import amend, retire
from bot.store.said import record_import
from bot.store.schema import RECORD, STATE
from bot.store.seal import broken_seals, chain_end, seal, strayed_rows, unsealed

NOW = datetime(2026, 6, 15, 12, 0, tzinfo=UTC)
BOT = Path(__file__).parent.parent.parent / "bot"


def unlocked(db):
    """Takes the database's own guard away, as somebody with an editor for such files would."""
    for table in RECORD:
        for what in ("update", "delete"):
            db.conn.execute(f"drop trigger {table}_no_{what}")


@pytest.fixture
def db():
    database = open_database(":memory:")
    load_demo(database, NOW)
    message = record_import(database, "odile", NOW, "lounge ph 8.1")
    fact = keep(database, message, "odile", Reading("ph", 8.1, "pH", tank="Ferndrake lounge"), NOW)
    void(database, message, fact, "undo", NOW)
    amend(database, message, "tank", "Ferndrake lounge", notes="tongs")
    seal(database, message)
    return database


def test_an_honest_record_has_no_broken_seal(db):
    assert broken_seals(db) == []
    assert unsealed(db) == []
    assert strayed_rows(db) == []


@pytest.mark.parametrize(
    "tampering",
    [
        "update message set text = 'lounge ph 8.2' where id = {last}",
        "update message set at = at + 1 where id = {last}",
        "update fact set value = 8.2 where message_id = {last}",
        "update fact set item = replace(item, '8.1', '8.2') where message_id = {last}",
        "update standing set reason = 'mistake' where message_id = {last}",
        "update journal set after = replace(after, 'tongs', 'gloves') where message_id = {last}",
        "delete from standing where message_id = {last}",
        "update seal set hash = 'x' where message_id = {last}",
        "insert into fact (message_id, kind, at, who, item) values ({last}, 'event', 0, 'x', '{{}}')",
    ],
)
def test_each_way_of_tampering_is_found_at_its_message(db, tampering):
    unlocked(db)
    last = rows(db, "select max(id) as id from message")[0]["id"]
    db.conn.execute(tampering.format(last=last))
    assert broken_seals(db) == [last]


def test_a_tampered_row_in_the_middle_is_named_alone(db):
    unlocked(db)
    db.conn.execute("update fact set value = value + 1 where message_id = 100")
    assert broken_seals(db) == [100]


def test_a_message_taken_out_of_the_middle_breaks_the_chain(db):
    unlocked(db)
    db.conn.execute("delete from seal where message_id = 100")
    assert broken_seals(db) == [101]
    assert unsealed(db) == [100]


def test_a_state_row_changed_without_the_journal_is_found(db):
    db.conn.execute("update roster set data = '{}' where name = 'odile'")
    assert [table for table, _ in strayed_rows(db)] == ["roster"]


def test_a_state_row_changed_through_the_journal_is_not(db):
    message = record_import(db, "soren", NOW, "joss leaves")
    retire(db, message, "person", "joss")
    seal(db, message)
    assert strayed_rows(db) == broken_seals(db) == []


def test_the_seals_survive_an_export_and_its_import(db):
    again = open_database(":memory:")
    bring_in(again, json.loads("".join(exported(db))), "soren", NOW)
    assert broken_seals(again) == []
    assert chain_end(again) == chain_end(db)


SQL = re.compile(r"\b(update|delete\s+from|replace\s+into|insert\s+or\s+replace\s+into)\s+(\{?\w+\}?)", re.IGNORECASE)


def statements():
    """Every (file, verb, table) of an SQL statement in the program that changes or deletes rows."""
    for path in sorted(BOT.rglob("*.py")):
        for verb, table in SQL.findall(path.read_text(encoding="utf-8")):
            if verb.islower():
                yield path.name, " ".join(verb.split()), table


def test_no_statement_changes_or_deletes_a_row_of_the_record():
    assert [s for s in statements() if s[2] in RECORD] == []


def test_statements_on_a_table_named_at_run_time_stand_where_they_are_guarded():
    assert {(file, verb) for file, verb, table in statements() if table == "{table}"} <= {
        ("database.py", "update"),
        ("journal.py", "delete from"),
    }


ALLOWED = {"what": "undo", "fate": "fine"}  # columns that hold only words of a list
OF_TYPE = {"INTEGER": 1, "REAL": 0.0, "TEXT": "[]"}


def some_row(db, table):
    """Any row at all, where the table has none yet."""
    if not rows(db, f"select 1 from {table} limit 1"):
        columns = [c for c in rows(db, "select * from pragma_table_info(?)", [table]) if c["notnull"]]
        values = [ALLOWED.get(c["name"], OF_TYPE[c["type"]]) for c in columns]
        names = ", ".join(c["name"] for c in columns)
        db.conn.execute("pragma foreign_keys = off")
        db.conn.execute(f"insert into {table} ({names}) values ({', '.join('?' * len(values))})", values)


@pytest.mark.parametrize("table", RECORD)
def test_the_database_itself_refuses_to_change_or_delete_a_row_of_the_record(db, table):
    some_row(db, table)
    for attempt in (f"update {table} set message_id = 1", f"delete from {table}"):
        with pytest.raises(sqlite3.IntegrityError, match="only grows"):
            db.conn.execute(attempt.replace("message_id", "who") if table == "message" else attempt)


def test_only_state_tables_stand_in_the_journal(db):
    assert {row["tab"] for row in rows(db, "select distinct tab from journal")} <= set(STATE)
