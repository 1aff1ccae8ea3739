"""Rows of an old log in the record: once each, as they stood, gone with one undo."""

import io
import json
import random
from datetime import UTC, datetime

import pytest

from bot.assistant.importing import carry_out, dry_run
from bot.items import Reading
from bot.store.database import one, open_database, rows, writing
from bot.store.demo import load_demo, load_demo_team
from bot.store.logbook import series
from bot.store.record import bring_in, exported
from bot.store.reversals import put_back, take_back
from bot.store.roster import load_team
from bot.store.said import record_import
from bot.store.seal import broken_seals, seal, strayed_rows
from bot.store.spreadsheet import csv_files

NOW = datetime(2026, 6, 15, 12, 0, tzinfo=UTC)
LOG = """Date,Tank,pH,NO3,Notes
2024-03-25,mwr,8.2,<5,wiped glass
2024-04-01,mwr,82,6,
2024-04-08,Old tank,8.1,n/d,
x,mwr,8.2,7,
"""


@pytest.fixture
def db():
    database = open_database(":memory:")
    load_demo_team(database, NOW)
    return database


def bring(db, text=LOG):
    with writing(db):
        message = record_import(db, "bettina", NOW, "old-log.csv", "old-log.csv")
        said = carry_out(db, message, "bettina", text, NOW)
        seal(db, message)
    return message, said


def in_force(db):
    sql = (
        "select count(*) as n from fact f where coalesce((select what from standing s where s.fact_id = f.id"
        " order by s.id desc limit 1), '') <> 'void'"
    )
    return one(db, sql)["n"]


def test_readings_stand_in_the_logbook_at_their_own_time(db):
    bring(db)
    found = series(db, "Merriwick waiting room", "nitrate")
    assert [(f.item.value, f.item.below, f.at.date().isoformat(), f.who) for f in found] == [
        (6, False, "2024-04-01", "bettina"),
        (5, True, "2024-03-25", "bettina"),
    ]


def test_every_source_row_is_kept_with_its_fate(db):
    bring(db)
    kept = rows(db, "select number, text, fate, faults from import_row order by id")
    assert [(r["number"], r["fate"]) for r in kept] == [
        (2, "fine"),
        (3, "doubtful"),
        (4, "fine"),
        (5, "unreadable"),
    ]
    assert kept[1]["text"].split("\t") == ["2024-04-01", "mwr", "82", "6", ""]
    assert json.loads(kept[3]["faults"]) == ["no date: x"]


def test_each_fact_leads_to_its_row(db):
    bring(db)
    for row in rows(db, "select * from import_row where first_fact is not null"):
        facts = rows(db, "select * from fact where id between ? and ?", [row["first_fact"], row["last_fact"]])
        assert facts
        assert {f["message_id"] for f in facts} == {row["message_id"]}


def test_the_same_file_twice_adds_nothing(db):
    bring(db)
    before = one(db, "select count(*) as n from fact")["n"]
    look = dry_run(db, LOG, NOW)
    assert look.new == 0
    assert look.options == ()
    assert bring(db)[1] == ["Nothing new in this file: every row is in the record already."]
    assert one(db, "select count(*) as n from fact")["n"] == before


def test_a_longer_copy_of_the_file_adds_only_its_new_rows_whatever_parts_its_cells(db):
    bring(db)
    longer = (LOG + "2024-04-15,mwr,8.3,8,\n").replace(",", ";")
    assert dry_run(db, longer, NOW).new == 1
    assert bring(db, longer)[1] == ["Imported 1 row: 2 entries."]


def test_one_undo_takes_the_whole_batch_back_and_it_can_come_again(db):
    message, _ = bring(db)
    tanks = [t.name for t in load_team(db).tanks]
    assert "Old tank" in tanks
    undo = record_import(db, "bettina", NOW, "undo")
    take_back(db, undo, message, NOW)
    assert in_force(db) == 0
    assert "Old tank" not in [t.name for t in load_team(db).tanks]
    assert dry_run(db, LOG, NOW).new == 4
    put_back(db, record_import(db, "bettina", NOW, "put back"), message, NOW)
    assert in_force(db) == 6
    assert dry_run(db, LOG, NOW).new == 0


def test_a_dry_run_stores_nothing(db):
    before = "".join(exported(db))
    dry_run(db, LOG, NOW)
    assert "".join(exported(db)) == before


def test_the_batch_is_sealed_and_survives_an_export(db):
    bring(db)
    assert broken_seals(db) == strayed_rows(db) == []
    again = open_database(":memory:")
    bring_in(again, json.loads("".join(exported(db))), "soren", NOW)
    assert "".join(exported(again)) == "".join(exported(db))
    assert broken_seals(again) == []
    assert dry_run(again, LOG, NOW).new == 0


def test_a_row_changed_behind_the_programs_back_breaks_the_seal(db):
    message, _ = bring(db)
    db.conn.execute("drop trigger import_row_no_update")
    db.conn.execute("update import_row set text = replace(text, '82', '8.2')")
    assert broken_seals(db) == [message]


def test_our_own_export_can_be_brought_in_by_another_team():
    theirs, ours = open_database(":memory:"), open_database(":memory:")
    load_demo(theirs, NOW)
    load_demo_team(ours, NOW)
    bring(ours, "".join(csv_files(theirs)["readings.csv"]))
    for tank in load_team(theirs).tanks:
        for parameter in tank.panel:
            wanted = [(f.at, f.item.value, f.item.unit) for f in series(theirs, tank.name, parameter, 500)]
            found = [(f.at, f.item.value, f.item.unit) for f in series(ours, tank.name, parameter, 500)]
            assert found == wanted, (tank.name, parameter)


def test_five_thousand_rows_are_looked_at_in_less_than_ten_seconds(db):
    chance, out = random.Random(1), io.StringIO()
    out.write("Date,Tank,Temp F,pH,SG,NO3 ppm,Alk dKH,Ca\n")
    names = [tank.name for tank in load_team(db).tanks]
    for n in range(5000):
        values = (chance.gauss(78, 1), chance.gauss(8.2, 0.1), chance.gauss(1.0255, 0.0005), abs(chance.gauss(9, 3)))
        tail = (chance.gauss(8.4, 0.4), chance.gauss(425, 12))
        shown = "{:.1f},{:.2f},{:.4f},{:.1f},{:.1f},{:.0f}".format(*values, *tail)
        out.write(f"{n % 12 + 1}/{n % 28 + 1}/{2015 + n // 500},{chance.choice(names)},{shown}\n")
    began = datetime.now(UTC)
    look = dry_run(db, out.getvalue(), NOW)
    assert (datetime.now(UTC) - began).total_seconds() < 10
    assert look.new > 4990
    assert all(isinstance(item, Reading) for line in look.plan.lines for item in line.items)
