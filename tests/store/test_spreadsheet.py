"""CSV a table: readable by anyone, harmless in a spreadsheet."""

import csv
from datetime import UTC, datetime

import pytest

from bot.items import Event, Reading
from bot.messages import Incoming
from bot.store.database import open_database
from bot.store.demo import load_demo
from bot.store.logbook import confirm, keep, void
from bot.store.said import record
from bot.store.spreadsheet import csv_files, neutralised

NOW = datetime(2026, 6, 15, 12, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def tables():
    db = open_database(":memory:")
    load_demo(db, NOW)
    said = "=SUM(A1) lounge -1.5C, no2 <0.25"
    message = record(db, Incoming(at=NOW, who="odile", chat="odile", text=said, ref="x"))
    keep(db, message, "odile", Reading("temperature", -1.5, "degC", tank="Ferndrake lounge"), NOW)
    odd = Reading("nitrite", 0.25, "mg/L", tank="Ferndrake lounge", below=True, unconfirmed=True)
    number = keep(db, message, "odile", odd, NOW)
    confirm(db, message, number, "@once", NOW)
    void(db, message, keep(db, message, "odile", Event("note", subject="+1 day"), NOW), "undo", NOW)
    return {name: list(csv.DictReader(lines)) for name, lines in csv_files(db).items()}


def test_times_are_iso_in_the_teams_zone(tables):
    assert tables["readings.csv"][-1]["time"] == "2026-06-15T08:00:00-04:00"
    assert all(datetime.fromisoformat(row["time"]).tzinfo for row in tables["readings.csv"])


def test_numbers_keep_their_sign_and_text_loses_its_formula(tables):
    cold, odd = tables["readings.csv"][-2:]
    assert (cold["value"], cold["unit"]) == ("-1.5", "degC")
    assert cold["words"] == "'=SUM(A1) lounge -1.5C, no2 <0.25"
    assert (odd["below"], odd["unconfirmed"], odd["confirmed"]) == ("yes", "yes", "yes")
    assert tables["events.csv"][-1]["subject"] == "'+1 day"
    assert tables["changes.csv"][0]["reason"] == "'@once"


def test_what_was_taken_back_is_there_and_says_so(tables):
    assert [row["in_force"] for row in tables["events.csv"][-2:]] == ["yes", "no"]


def test_every_reading_has_its_unit_and_leads_to_its_words(tables):
    messages = {row["message"]: row["words"] for row in tables["messages.csv"]}
    assert len(tables["readings.csv"]) > 1000
    for row in tables["readings.csv"]:
        assert row["unit"]
        assert messages[row["message"]] == row["words"]


def test_the_team_is_there(tables):
    assert [len(tables[f"{name}.csv"]) for name in ("people", "clients", "tanks", "vats")] == [5, 9, 17, 2]


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@a", "\tx", "\rx"])
def test_a_cell_that_would_be_a_formula_is_made_harmless(text):
    assert neutralised(text) == "'" + text


@pytest.mark.parametrize("text", ["", "ph 8.2", "1+1", "'=1"])
def test_other_text_is_left_alone(text):
    assert neutralised(text) == text
