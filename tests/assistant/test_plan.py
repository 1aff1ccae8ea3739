"""A visit planned by chat: clock times, what it gains, short of time, anew when a step runs late, step by step."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest

from tests.assistant.crew import Day
from tests.effort import calls_of


def at_quillow(who: str = "tomasz") -> Day:
    day = Day(start="2026-03-10T09:40")
    day.say(who, "here quillow")
    return day


def clocks(text: str) -> list[str]:
    """The times of the steps, each with its hour."""
    times, hour = [], "09"
    for found in re.findall(r"(\d\d)?:(\d\d) ", text.partition("\n")[2]):
        hour = found[0] or hour
        times.append(f"{hour}:{found[1]}")
    return times


def test_the_plan_says_when_one_is_out_and_each_step_with_its_time():
    said = at_quillow().say("tomasz", "plan")
    first, *rest = said.splitlines()
    assert re.fullmatch(r"Out 1\d:\d\d if you start now \(09:40\): \d+ min gained", first)
    assert len(rest) <= 3 and rest[0].startswith("09:40 look · :43 test")
    assert clocks(said) == sorted(clocks(said))


def test_without_a_tank_in_hand_it_is_asked_for():
    assert "Plan which visit?" in Day().say("tomasz", "plan")


def test_short_of_time_it_says_what_is_left_out_and_is_out_by_then():
    said = at_quillow().say("tomasz", "only 40 min today")
    assert said.startswith("Out 10:") and "Left out: " in said
    assert said.split()[1] <= "10:20"
    assert "test" in said and "pack" in said


def test_too_little_time_is_said_and_not_pretended():
    assert "Not within 5 min, with what must be" in at_quillow().say("tomasz", "only 5 min today")


def test_what_was_done_is_not_planned_again():
    day = at_quillow()
    day.wait(minutes=10)
    day.say("tomasz", "temp 78.4 ph 8.2 sg 1.0255")
    said = day.say("tomasz", "plan")
    assert "test" not in said and "look ·" not in said.replace("feed, look", "") and "power off" in said


def test_a_step_that_runs_late_moves_the_door_and_says_so_once():
    day = at_quillow()
    day.say("tomasz", "plan")
    day.press("tomasz", "Go")
    day.wait(minutes=40)
    late = day.say("tomasz", "temp 78.4 ph 8.2 sg 1.0255")
    assert re.search(r"Next: out 1\d:\d\d now \(was 1\d:\d\d\)", late)
    assert "was" not in day.say("tomasz", "fed")


def test_a_plan_that_nobody_took_is_not_followed():
    day = at_quillow()
    day.say("tomasz", "plan")
    day.wait(minutes=60)
    assert "Next: out" not in day.say("tomasz", "temp 78.4 ph 8.2 sg 1.0255")


def test_a_part_is_left_out_by_press():
    day = at_quillow()
    day.say("tomasz", "plan")
    assert "Leave out what?" in day.press("tomasz", "Leave out")
    assert "Left out: filter" in day.press("tomasz", "Filter")


def test_why_names_the_hands_and_the_waits():
    day = at_quillow()
    day.say("tomasz", "plan")
    said = day.press("tomasz", "Why")
    assert "no order is out sooner" in said and "10 min before siphon" in said


def test_a_job_of_the_tank_is_a_step_of_the_visit():
    day = Day(start="2026-03-10T09:40")
    day.say("petra", "todo quillow: replace carbon")
    day.say("tomasz", "here quillow")
    assert "replace carbon" in day.say("tomasz", "plan")


def test_bags_afloat_go_on_from_when_they_were_put_in():
    day = at_quillow()
    day.say("tomasz", "floating 2 clowns 20 min")
    day.wait(minutes=5)
    said = day.say("tomasz", "plan")
    assert "drip" in said and "float ·" not in said


def test_where_no_order_keeps_the_limits_the_most_urgent_comes_first():
    day = at_quillow()
    day.say("tomasz", "temp 78.4 ph 8.2 sg 1.0255")
    day.say("tomasz", "return pump off")
    day.now += timedelta(minutes=58)
    assert "First: power on" in day.say("tomasz", "plan")


def test_somebody_who_learns_gets_one_step_at_a_time_with_why():
    day = at_quillow("kofi")
    assert day.say("kofi", "plan") == "Quillow lobby, step 1 of 13: look"
    assert "step 2 of 13: test" in day.press("kofi", "Next")
    assert "before hands go in" in day.press("kofi", "Why")
    assert "step 3 of 13" in day.say("kofi", "next")


@pytest.mark.parametrize("text", ["plan", "only 40 min today"])
def test_a_plan_is_little_work(text):
    day = at_quillow()
    _, calls = calls_of(lambda: day.say("tomasz", text))
    assert calls < 500_000
