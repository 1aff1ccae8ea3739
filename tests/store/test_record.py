"""The record goes out and comes back byte for byte, and refuses what would spoil it."""

import json
from datetime import UTC, datetime, timedelta

import pytest

from bot.items import Event, Reading
from bot.messages import Incoming
from bot.store.database import open_database, rows
from bot.store.demo import demo_team, load_demo
from bot.store.journal import put
from bot.store.logbook import confirm, keep, void
from bot.store.record import TABLES, Refused, bring_in, exported
from bot.store.reversals import take_back
from bot.store.roster import team_json
from bot.store.said import record
from bot.store.waits import start

NOW = datetime(2026, 6, 15, 12, 0, tzinfo=UTC)


@pytest.fixture
def lived_in():
    """A database in which everything that can happen to a row has happened once."""
    db = open_database(":memory:")
    load_demo(db, NOW)
    first = say(db, "lounge: ph 8.1 =1+1 \u2028 “ä”", 0)
    number = keep(db, first, "odile", Reading("ph", 8.1, "pH", tank="Ferndrake lounge", unconfirmed=True), NOW)
    confirm(db, first, number, "it is", NOW)
    second = say(db, "lost 1 foxface", 1)
    lost = keep(db, second, "odile", Event("livestock_lost", tank="Ferndrake lounge", count=1), NOW)
    void(db, second, lost, "undo", NOW)
    values = {"owner": "odile", "chat": "odile", "started_at": NOW, "due_at": NOW, "state": "running"}
    start(db, second, kind="float", minutes=20.0, next_at=NOW, data={"said": "é"}, **values)
    third = say(db, "drip", 2)
    start(db, third, kind="drip", minutes=60.1, **values)
    take_back(db, say(db, "undo", 3), third, NOW)
    put(db, second, "account", service="telegram", number="12", person="odile")
    return db


def say(db, text, minutes):
    at = NOW + timedelta(minutes=minutes)
    return record(db, Incoming(at=at, who="odile", chat="odile", text=text, ref=f"t{minutes}"))


def text_of(db):
    return "".join(exported(db))


def rebuilt(text):
    db = open_database(":memory:")
    bring_in(db, json.loads(text), "soren", NOW)
    return db


def test_an_export_of_an_import_of_an_export_is_the_same_text(lived_in):
    assert text_of(rebuilt(text_of(lived_in))) == text_of(lived_in)


def test_every_table_of_the_record_comes_back_row_by_row(lived_in):
    again = rebuilt(text_of(lived_in))
    for table in TABLES:
        assert rows(again, f"select * from {table} order by 1") == rows(lived_in, f"select * from {table} order by 1")


def test_a_number_that_was_taken_back_is_not_given_out_again(lived_in):
    again, values = rebuilt(text_of(lived_in)), {"owner": "o", "chat": "o", "due_at": NOW, "state": "running"}
    new = [start(db, 1, kind="float", started_at=NOW, minutes=1.0, **values).id for db in (lived_in, again)]
    assert new[0] == new[1] == 3


def test_the_export_holds_the_team_as_the_contract_writes_it(lived_in):
    data = json.loads(text_of(lived_in))
    assert data["team"] == team_json(lived_in)
    assert data["record"]["fact"][0]["item"]["kind"] in ("reading", "event", "batch")


def test_a_team_alone_goes_in_and_comes_out_the_same():
    db = open_database(":memory:")
    assert "17 tanks" in bring_in(db, {"team": demo_team(NOW)}, "soren", NOW)
    assert team_json(db) == demo_team(NOW)
    assert text_of(rebuilt(text_of(db))) == text_of(db)


def test_a_record_does_not_go_into_a_database_that_has_one(lived_in):
    before = text_of(lived_in)
    with pytest.raises(Refused, match="empty"):
        bring_in(lived_in, json.loads(before), "soren", NOW)
    assert text_of(lived_in) == before


@pytest.mark.parametrize(
    ("spoil", "why"),
    [
        (lambda d: d.pop("team"), "no {"),
        (lambda d: d["record"].update(version=999), "newer"),
        (lambda d: d["team"].update(name="another"), "edited"),
        (lambda d: d["record"]["fact"][0].update(colour="blue"), "colour"),
    ],
)
def test_a_spoilt_file_is_refused_and_leaves_nothing_behind(lived_in, spoil, why):
    data = json.loads(text_of(lived_in))
    spoil(data)
    db = open_database(":memory:")
    with pytest.raises(Refused, match=why):
        bring_in(db, data, "soren", NOW)
    assert rows(db, "select * from message") == []
