"""The planned messages of a day: who gets which, when, how much, and when nothing is said."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from bot.assistant import moments
from bot.store import pulse
from tests.assistant.crew import CREW, Day, at


def early() -> Day:
    return Day(start="2026-03-10T06:00")


def test_at_a_quarter_to_seven_everybody_on_the_road_gets_the_own_round():
    cards = early().clock("2026-03-10T06:45")
    assert set(cards) == {"ines", "tomasz"}
    first, second, *_ = cards["tomasz"].splitlines()
    assert first == "Tue, 3 stops, home about 11:30"
    assert second.startswith("1 ") and "08:30" in second
    assert "Bring: " in cards["tomasz"] and len(cards["tomasz"].splitlines()) <= 5


def test_a_card_makes_no_sound_and_comes_once():
    day = early()
    day.clock("2026-03-10T06:45")
    assert {bool(r["sound"]) for r in unasked(day)} == {False}
    assert day.clock("2026-03-10T06:50") == {}


def test_nothing_is_said_before_the_moment_nor_where_there_is_nothing_to_say():
    assert early().clock("2026-03-10T06:44") == {}
    bare = CREW | {"tanks": [{k: v for k, v in t.items() if k != "every_days"} for t in CREW["tanks"]]}
    assert Day(bare, start="2026-03-10T06:00").clock("2026-03-13T23:00") == {}


def test_a_card_that_could_not_go_out_is_left_out_when_it_is_too_late():
    assert "tomasz" in early().clock("2026-03-10T09:00")
    assert early().clock("2026-03-10T13:00") == {}


def test_who_is_away_gets_no_card_and_who_takes_over_does():
    day = early()
    day.say("petra", "tomasz sick today")
    day.press("petra", "Do it")
    cards = day.clock("2026-03-10T06:45")
    assert "tomasz" not in cards and "Tarnwick counter" in cards["ines"]


def test_a_job_with_a_day_stands_on_that_days_card_once():
    day = early()
    day.say("petra", "order 3 strips wed")
    assert "petra" not in day.clock("2026-03-10T06:45")
    assert "order 3 strips" in day.clock("2026-03-11T06:45")["petra"]
    assert "petra" not in day.clock("2026-03-12T06:45")


def test_a_proposal_never_pressed_is_named_in_the_morning():
    day = early()
    day.say("petra", "tomasz off thu")
    assert "Waits for your press: tomasz off" in day.clock("2026-03-11T06:45")["petra"]


def test_the_order_and_the_load_are_behind_the_buttons():
    day = early()
    day.clock("2026-03-10T06:45")
    assert day.press("tomasz", "Map order").splitlines()[0].startswith("1 08:30 ")
    assert "gal salt" in day.press("tomasz", "Load list")


def test_the_load_list_is_what_the_days_changes_use_and_a_little_more():
    day = early()
    day.say("petra", "todo quillow: replace carbon")
    day.say("petra", "todo vantree: replace carbon")
    said = day.say("tomasz", "load list")
    assert said == "Load for Tue 10 Mar:\n49 gal salt\ncarbon x2"  # three of 100 gal, 15 % each, and a tenth more


def test_the_owner_hears_in_the_evening_what_was_not_done():
    day = early()
    day.now = at("2026-03-10T10:00")
    for tank, who in (("quillow", "tomasz"), ("vantree", "tomasz"), ("brindlemoor", "ines")):
        day.say(who, f"{tank} 20% wc")
    card = day.clock("2026-03-10T18:30")["mara"]
    assert card == "Tue closed: 3 of 4 visits, not done: Tarnwick counter"


def test_a_day_that_went_as_planned_is_not_spoken_of():
    day = early()
    day.now = at("2026-03-10T10:00")
    for tank, who in (("quillow", "tomasz"), ("vantree", "tomasz"), ("brindlemoor", "ines"), ("tarnwick", "tomasz")):
        day.say(who, f"{tank} 20% wc")
    assert "mara" not in day.clock("2026-03-10T18:30")


def test_moves_are_told_apart_from_what_was_forgotten():
    day = early()
    day.now = at("2026-03-10T10:00")
    for tank, who in (("quillow", "tomasz"), ("brindlemoor", "ines"), ("tarnwick", "tomasz")):
        day.say(who, f"{tank} 20% wc")
    day.say("petra", "move vantree to thu")
    assert day.clock("2026-03-10T18:30")["mara"] == "Tue closed: 3 of 4 visits, 1 moved (Vantree hall Thu)"


EXCEPTIONS = [
    ("ines", "brindlemoor lost 2 chromis", "Lost: Brindlemoor bar 2 chromis"),
    ("ines", "brindlemoor ph 7.5", "Watch: Brindlemoor bar pH 7.5"),
    ("ines", "brindlemoor ammonia 3 ph 8.2 temp 78 sg 1.025", "Unconfirmed: Brindlemoor bar ammonia 3 mg/L"),
]


@pytest.mark.parametrize("who, text, line", EXCEPTIONS)
def test_each_exception_stands_in_the_owners_card(who, text, line):
    day = early()
    day.now = at("2026-03-10T10:00")
    day.say(who, text)
    card = day.clock("2026-03-10T18:30")["mara"]
    assert line in card and len(card.splitlines()) <= 5
    assert line not in day.clock("2026-03-11T06:45").get("mara", "")


def test_who_left_something_open_is_in_the_card_with_the_reason():
    day = early()
    day.now = at("2026-03-10T10:00")
    day.say("ines", "brindlemoor return pump off")
    day.say("ines", "leaving")
    day.say("ines", "override: pump seized, client knows")
    card = day.clock("2026-03-10T18:30")["mara"]
    assert "Override: Ines, Brindlemoor bar" in card and "pump seized, client knows" in card


def test_on_friday_the_tanks_stand_by_trouble():
    day = Day(start="2026-03-13T10:00")
    day.say("ines", "brindlemoor return pump off")
    day.say("tomasz", "vantree note glass scratched")
    week = [r["text"] for r in unasked(day, after=day.clock("2026-03-13T18:30")) if r["chat"] == "mara"][-1]
    assert week.startswith("Week to Fri 13 Mar: 1 Brindlemoor bar: return pump off since")
    assert week.index("Brindlemoor") < week.index("Vantree")
    assert day.say("mara", "this week") == week


def test_the_month_is_told_on_its_first_working_day_and_when_asked():
    day = Day(start="2026-03-10T10:00")
    day.say("ines", "brindlemoor 20% wc")
    day.say("ines", "brindlemoor lost 3 chromis")
    day.clock("2026-04-01T06:44")
    cards = [r["text"] for r in unasked(day, after=day.clock("2026-04-01T06:45")) if r["chat"] == "mara"]
    assert any(c.startswith("Mar: 1 visit, none late\nLost 3: Brindlemoor bar 3\nWater changed: 20 gal") for c in cards)
    assert day.say("mara", "this month").startswith("Apr: 0 visits")


def test_the_year_says_what_each_override_led_to():
    day = early()
    day.now = at("2026-03-10T10:00")
    day.say("ines", "brindlemoor return pump off")
    day.say("ines", "leaving")
    day.say("ines", "override: pump seized, client knows")
    day.now = at("2026-03-12T10:00")
    day.say("ines", "brindlemoor lost 2 chromis")
    said = day.say("mara", "year card")
    assert said.startswith("2026: ") and "then lost 2 chromis" in said


def test_a_contract_that_ends_is_told_to_the_office_beforehand():
    day = early()
    day.say("petra", "quillow contract ends 9 may")
    assert "Ends soon: Quillow Dental contract Sat 9 May" in day.clock("2026-03-10T06:45")["petra"]
    assert "petra" not in day.clock("2026-03-11T06:45")


@pytest.mark.parametrize(
    "why, line", [("", "passed, 1234 rows"), ("rows differ in fact", "NOT passed, rows differ in fact")]
)
def test_the_month_says_what_became_of_the_last_test_of_a_copy(why, line):
    day = Day(start="2026-03-10T10:00")
    pulse.beat(day.db, "restore_test", at("2026-03-02T02:00"), rows=1234, why=why)
    assert f"Restore test Mon 2 Mar: {line}" in day.say("mara", "this month")


def test_time_stands_against_the_price_the_worst_paid_hour_first():
    day = Day(start="2026-03-10T10:00")
    day.say("petra", "quillow 85 a visit")
    day.say("petra", "brindlemoor 60 per hour")
    for text in ("quillow ph 8.1", "brindlemoor ph 8.1"):
        day.say("ines", text)
        day.now += timedelta(minutes=90)
        day.say("ines", text.replace("8.1", "8.2"))
        day.now += timedelta(minutes=5)
    said = day.say("mara", "this month")
    assert "Time: Quillow Dental 1.5 h for 85.00 · Brindlemoor Hotel 1.5 h for 90.00" in said
    assert len(said.splitlines()) <= 5


def test_what_ends_while_the_office_is_away_is_told_on_its_next_day():
    day = Day(start="2026-03-13T10:00")
    assert day.say("petra", "quillow dental key due back 28 mar").startswith(
        "10:00: Quillow Dental: key ends Sat 28 Mar"
    )
    day.say("petra", "petra off sat to tue")
    day.clock("2026-03-14T06:45")
    assert "Ends soon: Quillow Dental key Sat 28 Mar" in day.clock("2026-03-18T06:45")["petra"]
    assert "petra" not in day.clock("2026-03-19T06:45")


def test_a_new_code_is_not_tied_to_the_end_of_the_old_one():
    day = Day(start="2026-03-10T10:00")
    day.say("petra", "quillow door code 4471# until 24 mar")
    assert "4471" not in str([r["text"] for r in day.drained()])
    day.say("petra", "door code for quillow dental is 9982")
    assert "petra" not in day.clock("2026-03-24T06:45")


def test_without_an_office_the_owner_hears_what_ends():
    nobody = CREW | {"people": [p for p in CREW["people"] if p["role"] != "office"]}
    day = Day(nobody, start="2026-03-10T10:00")
    day.say("mara", "brindlemoor door code 2204 valid until 24 mar")
    assert "Ends soon: Brindlemoor Hotel code today" in day.clock("2026-03-24T06:45")["mara"]


def test_over_the_budget_the_rest_waits_for_the_next_card():
    day = early()
    day.clock("2026-03-10T09:00")
    for n in range(9):
        day.say("petra", f"move quillow to {'wed' if n % 2 else 'today'}")
    told = [r["text"] for r in unasked(day) if r["chat"] == "tomasz"]
    assert len(told) == 6  # his morning card is one of them
    assert day.clock("2026-03-10T18:30")["tomasz"].count("visit moved") == 4


def test_what_makes_a_sound_is_never_held_back():
    day = early()
    day.clock("2026-03-10T09:00")
    for n in range(9):
        day.say("petra", f"move quillow to {'wed' if n % 2 else 'today'}")
    day.say("tomasz", "remind me in 1 hour call mara")
    assert "call mara" in day.wait(hours=1)["tomasz"]


def test_undo_takes_along_what_waits_for_the_card():
    day = early()
    day.clock("2026-03-10T09:00")
    for n in range(6):
        day.say("petra", f"move quillow to {'wed' if n % 2 else 'today'}")
    day.say("petra", "undo")
    assert "tomasz" not in day.clock("2026-03-10T18:30")


def test_the_next_moment_needs_no_row_that_undo_could_take():
    day = early()
    before = moments.next_moment(day.db)
    day.say("petra", "order 3 strips")
    day.say("petra", "undo")
    assert moments.next_moment(day.db) == before == at("2026-03-10T06:45")


def unasked(day: Day, after: object = None) -> list[dict[str, Any]]:
    return [dict(r) for r in day.db.conn.execute("select chat, text, sound from outbox where unasked = 1 order by id")]
