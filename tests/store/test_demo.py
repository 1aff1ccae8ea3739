"""The demo team's past: plausible, ending yesterday whatever the day, the same on every load."""

import json
import runpy
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from bot.items import Event, Reading, Situation
from bot.items_json import from_json
from bot.store.database import one, open_database, rows
from bot.store.demo import FOLDER, load_demo
from bot.store.logbook import events, series
from bot.store.roster import load_team
from bot.understanding.read import read

HOME = ZoneInfo("America/New_York")
NOON = datetime(2026, 6, 15, 12, 0, tzinfo=HOME)


@pytest.fixture(scope="module")
def db():
    database = open_database(":memory:")
    load_demo(database, NOON)
    return database


@pytest.mark.parametrize("days", range(7))
def test_the_past_ends_yesterday_on_any_day_of_the_week(days):
    db = open_database(":memory:")
    now = NOON + timedelta(days=days)
    load_demo(db, now)
    last = datetime.fromtimestamp(one(db, "select max(at) as at from message")["at"], HOME)
    assert last.date() == now.date() - timedelta(days=1)


@pytest.mark.parametrize("now", [NOON, datetime(2031, 11, 2, 3, 0, tzinfo=UTC)])
def test_visits_keep_their_weekday(now):
    db = open_database(":memory:")
    load_demo(db, now)
    for tank in load_team(db).tanks:
        changes = events(db, tank.name, ["water_change"])
        days = {fact.at.astimezone(HOME).strftime("%a").lower() for fact in changes}
        assert days == ({tank.weekday} if tank.weekday else set()), tank.name


def test_there_are_three_months_of_it(db):
    for tank in load_team(db).tanks:
        past = series(db, tank.name, "temperature", 200)
        assert past[0].at - past[-1].at > timedelta(days=80), tank.name
    assert one(db, "select count(*) as n from fact where kind = 'reading'")["n"] > 1000
    assert events(db, None, ["livestock_lost"])
    assert any(e.item.state == "broken" for e in events(db, None, ["equipment"]))
    assert events(db, None, kind="batch")


def test_every_reading_is_one_that_the_tank_is_set_up_for(db):
    team = load_team(db)
    for row in rows(db, "select distinct tank, name from fact where kind = 'reading'"):
        assert row["name"] in {*team.tank(row["tank"]).panel, "ammonia", "nitrite"}, row


def test_nothing_stays_open_but_what_the_story_leaves_open(db):
    equipment = [fact.item for fact in events(db, "Dovetree conservatory", ["equipment"])]
    assert [(item.state, item.open, item.closes) for item in equipment] == [
        ("replaced", False, True),
        ("broken", True, False),
    ]


def test_the_order_on_file_runs_on_the_day_of_the_demo(db):
    (order,) = load_team(db).tank("Quarantine North").orders
    assert order["by"] == "veterinarian"
    assert order["date"] < NOON.date().isoformat() < order["until"]


def test_the_written_past_is_what_its_script_writes():
    script = runpy.run_path(str(FOLDER / "write_history.py"))
    assert (FOLDER / "history.jsonl").read_text(encoding="utf-8") == script["as_lines"]()


def test_each_line_is_read_as_the_readings_and_changes_that_stand_with_it(db):
    team = load_team(db)
    tanks, vats = tuple(t.name for t in team.tanks), tuple(v.name for v in team.vats)
    for line in map(json.loads, (FOLDER / "history.jsonl").read_text(encoding="utf-8").splitlines()):
        wanted = [i for i in map(from_json, line["items"]) if is_measured(i)]
        found = read(line["text"], Situation(NOON, tanks=tanks, vats=vats))
        assert [i for i in found.items if is_measured(i)] == wanted, line["text"]


def is_measured(item):
    return isinstance(item, Reading) or (isinstance(item, Event) and item.event == "water_change")


def test_loading_takes_less_than_a_second():
    began = datetime.now(UTC)
    load_demo(open_database(":memory:"), NOON)
    assert datetime.now(UTC) - began < timedelta(seconds=1)
