"""The sheet of all tanks: each week's worst test, trouble first."""

from datetime import UTC, datetime, timedelta

from bot.items import Reading
from bot.rules.sheet import ALARM, FINE, OUTSIDE, lines
from bot.rules.usual import Seen
from bot.team import Tank

NOW = datetime(2026, 3, 10, tzinfo=UTC)
TANKS = (Tank("Calm", kind="reef"), Tank("Old trouble", kind="reef"), Tank("New trouble", kind="reef"))


def seen(days, parameter, value, unit="mg/L"):
    return Seen(NOW - timedelta(days=days), Reading(parameter, value, unit))


def test_the_worst_of_a_week_gives_the_letter():
    week = [seen(1, "ph", 8.2, "pH"), seen(2, "nitrate", 40), seen(3, "temperature", 33, "degC")]
    [line] = lines(TANKS[:1], {"Calm": week}, NOW, 4)
    assert [c.level for c in line.cells] == [0, 0, 0, ALARM]
    assert line.cells[-1].letter == "T"


def test_fine_outside_and_untested_differ():
    [line] = lines(TANKS[:1], {"Calm": [seen(1, "nitrate", 40), seen(8, "nitrate", 8)]}, NOW, 3)
    assert [c.level for c in line.cells] == [0, FINE, OUTSIDE]


def test_the_heavier_and_the_later_trouble_comes_first():
    found = lines(TANKS, {"Old trouble": [seen(20, "nitrate", 40)], "New trouble": [seen(1, "nitrate", 40)]}, NOW, 4)
    assert [line.tank for line in found] == ["New trouble", "Old trouble", "Calm"]


def test_what_lies_before_the_weeks_is_not_on_it():
    [line] = lines(TANKS[:1], {"Calm": [seen(40, "nitrate", 40)]}, NOW, 4)
    assert line.trouble == 0
