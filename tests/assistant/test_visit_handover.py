"""Visits change hands like anything else: asked, not assigned; the office assigns."""

from __future__ import annotations

from datetime import date

from tests.assistant.crew import Day
from tests.assistant.test_round import visits

TUE = date(2026, 3, 10)


def test_a_technician_asks_and_it_is_still_theirs_until_it_is_taken():
    day = Day()
    assert "Yours until Ines takes it" in day.say("tomasz", "give quillow to ines")
    assert visits(day, TUE)["Quillow lobby"] == "tomasz"
    assert "yours today: Quillow lobby" in day.press("ines", "Take it")
    assert visits(day, TUE)["Quillow lobby"] == "ines"


def test_untaken_after_three_minutes_is_told_once_and_can_still_be_taken():
    day = Day()
    day.say("tomasz", "give quillow to ines")
    assert "still yours" in day.wait(minutes=3)["tomasz"]
    assert "tomasz" not in day.wait(minutes=10)
    day.press("ines", "Take it")
    assert visits(day, TUE)["Quillow lobby"] == "ines"


def test_who_cannot_says_so_and_a_second_press_does_nothing():
    day = Day()
    day.say("tomasz", "give quillow to ines")
    assert "It stays with Tomasz" in day.press("ines", "Can't")
    assert "nothing changed" in day.press("ines", "Take it")
    assert visits(day, TUE)["Quillow lobby"] == "tomasz"


def test_a_whole_day_goes_over_at_once():
    day = Day()
    day.say("tomasz", "give my day to ines")
    day.press("ines", "Take it")
    assert set(visits(day, TUE).values()) == {"ines"}


def test_whoever_plans_the_round_assigns():
    day = Day()
    assert "Ines goes today" in day.say("petra", "give quillow to ines")
    assert visits(day, TUE)["Quillow lobby"] == "ines"


def test_a_wait_that_runs_there_goes_as_before():
    day = Day()
    day.say("tomasz", "quillow floating 2 clowns 20 min")
    assert "asked ines" in day.say("tomasz", "give quillow to ines")
    assert not [i for i in day.in_force() if i.kind == "schedule"]
