"""Leaving: tests that are due and were not made are asked about once; the next stop; how the day was."""

from __future__ import annotations

from bot.items import Control
from tests.assistant.crew import CREW, Day, at

PANEL = ["temperature", "ph", "salinity", "nitrate"]
LISTED = CREW | {"tanks": [CREW["tanks"][0] | {"panel": PANEL}, *CREW["tanks"][1:]]}


def visited(text: str, team: object = LISTED) -> Day:
    day = Day(team, start="2026-03-10T08:30")  # type: ignore[arg-type]
    day.say("tomasz", "here quillow")
    day.say("tomasz", text)
    day.wait(minutes=30)
    return day


def test_a_due_test_that_is_missing_is_asked_about_once():
    day = visited("temp 78 ph 8.2 sg 1.0255")
    assert "Not tested today, Quillow lobby: NO3 (due)" in day.say("tomasz", "leaving")
    assert "Left out today: Quillow lobby NO3" in day.press("tomasz", "Skip")
    assert "Not tested" not in day.say("tomasz", "leaving")
    (skipped,) = [i for i in day.in_force() if isinstance(i, Control) and i.action == "skip"]
    assert skipped.reason == "nitrate"


def test_the_number_can_be_sent_instead_of_a_press_and_goes_to_the_tank_that_was_left():
    day = visited("temp 78 ph 8.2 sg 1.0255")
    day.say("tomasz", "leaving")
    assert day.say("tomasz", "no3 12").startswith("Quillow lobby")
    assert {i.parameter for i in day.in_force() if i.kind == "reading"} == set(PANEL)


def test_add_puts_the_tank_in_hand_again():
    day = visited("temp 78 ph 8.2 sg 1.0255")
    day.say("tomasz", "leaving")
    assert "in hand again" in day.press("tomasz", "Add")
    assert day.say("tomasz", "no3 12").startswith("Quillow lobby")


def test_with_all_tests_made_nothing_is_asked():
    assert "Not tested" not in visited("temp 78 ph 8.2 sg 1.0255 no3 12").say("tomasz", "leaving")


def test_nothing_is_asked_where_nothing_was_done():
    assert "Not tested" not in visited("note the door sticks").say("tomasz", "leaving")


def test_a_test_that_is_due_only_each_month_is_not_asked_for_each_visit():
    listed = LISTED["tanks"][0] | {"tests": {"nitrate": 30}}
    day = visited("temp 78 ph 8.2 sg 1.0255 no3 12", LISTED | {"tanks": [listed]})
    day.say("tomasz", "leaving")
    day.now = at("2026-03-24T08:30")
    day.say("tomasz", "quillow temp 78 ph 8.2 sg 1.0255")
    assert "Not tested" not in day.say("tomasz", "leaving")
    day.now = at("2026-04-21T08:30")
    day.say("tomasz", "quillow temp 78 ph 8.2 sg 1.0255")
    assert "NO3" in day.say("tomasz", "leaving")


def test_leaving_names_the_next_stop_with_the_drive_in_it():
    day = visited("temp 78 ph 8.2 sg 1.0255 no3 12")
    assert "Next: Tarnwick counter 09:15" in day.say("tomasz", "leaving")


def test_the_days_end_says_hours_stops_and_what_is_left():
    day = visited("temp 78 ph 8.2 sg 1.0255 no3 12")
    day.say("tomasz", "leaving")
    day.clock("2026-03-10T12:00")
    day.say("tomasz", "tarnwick sg 1.0255")
    day.wait(minutes=12)
    said = day.say("tomasz", "done for today")
    assert "Day: 3 h 42 min, 2 stops, 2 tanks" in said
    assert "Not done: Vantree hall" in said and "Next: " not in said


def test_the_day_does_not_end_while_something_is_open():
    day = visited("return pump off")
    said = day.say("tomasz", "done for today")
    assert said.startswith("Not safe yet") and "Day: " not in said


def texted(day, *lines):
    """What the bot answers to the last of the lines, each at its time of the day."""
    for clock, text in lines:
        day.now = at(f"2026-03-10T{clock}")
        answer = day.say("ines", text)
    return answer


def test_a_visit_after_another_counts_from_its_own_arrival():
    first = (("07:00", "map order"), ("08:30", "here quillow"), ("08:50", "quillow 20% wc"))
    answer = texted(Day(start="2026-03-10T07:00"), *first, ("09:30", "here brindlemoor"), ("09:58", "leaving"))
    assert answer.startswith("Brindlemoor bar closed 09:58 (28 min)")


def test_a_first_visit_does_not_count_what_was_asked_at_home():
    visit = (("08:30", "here quillow"), ("09:00", "quillow 20% wc"), ("09:00", "leaving"))
    answer = texted(Day(start="2026-03-10T07:40"), ("07:40", "map order"), *visit)
    assert answer.startswith("Quillow lobby closed 09:00 (30 min)")


def test_the_day_does_not_end_without_a_word_of_what_was_left_open_elsewhere():
    visits = (("08:30", "quillow return pump off"), ("08:40", "here brindlemoor"), ("08:40", "brindlemoor ph 8.1"))
    answer = texted(Day(start="2026-03-10T08:30"), *visits, ("08:40", "done for today"))
    assert answer.startswith("Not safe yet: Quillow lobby return pump off")
