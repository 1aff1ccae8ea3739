"""The robust line: right on the published example, not moved by an outlier, honest about what it cannot know."""

import random
from math import inf

import pytest

from bot.rules.trend import Trend, days_until, trend

# Sen 1968, the worked example of the paper: slope 4, 93 % limits 3.71 and 4.38 (figures also in scipy's own tests).
SEN_DAYS, SEN_VALUES = (1, 2, 3, 4, 10, 12, 18), (9, 15, 19, 20, 45, 55, 78)


def test_the_line_is_that_of_the_published_example():
    found = trend(SEN_DAYS, SEN_VALUES, sure=1.8119)
    assert found.slope == 4.0
    assert found.least == pytest.approx(3.71, abs=0.06)
    assert found.most == pytest.approx(4.38, abs=0.06)
    assert found.level == 78.0  # the median of the residuals 5, 7, 7, 4, 5, 7, 6 above the line at day 18


def test_one_wild_reading_does_not_turn_the_line():
    days, values = list(range(0, 70, 7)), [8.0 - 0.02 * day for day in range(0, 70, 7)]
    wild = [*values[:4], 83.0, *values[5:]]
    assert trend(days, wild).slope == pytest.approx(trend(days, values).slope, rel=0.15)


@pytest.mark.parametrize("count", [2, 3, 4])
def test_with_fewer_than_five_readings_nothing_is_sure(count):
    found = trend(range(count), range(count))
    assert not found.is_sure
    assert days_until(found, 0, 10) is None


def test_readings_of_one_moment_have_no_trend():
    assert trend([3, 3, 3], [1, 2, 3]) is None
    assert trend([], []) is None


def test_a_level_line_is_sure_of_nothing():
    assert not trend(range(8), [8.1] * 8).is_sure


def test_noise_alone_seldom_looks_like_a_drift():
    chance = random.Random(4)
    sure = sum(trend(range(8), [chance.gauss(0, 1) for _ in range(8)]).is_sure for _ in range(2000))
    assert sure / 2000 < 0.07


def test_the_limits_hold_the_true_slope_nineteen_times_in_twenty():
    chance = random.Random(5)
    lines = [trend(range(10), [0.3 * day + chance.gauss(0, 1) for day in range(10)]) for _ in range(2000)]
    assert sum(line.least <= 0.3 <= line.most for line in lines) / 2000 == pytest.approx(0.95, abs=0.02)


def test_days_until_the_limit_come_with_their_soonest_and_latest():
    line = Trend(slope=-0.05, least=-0.1, most=-0.025, level=8.5)
    assert days_until(line, 7.5, 9.0) == pytest.approx((20.0, 10.0, 40.0))


@pytest.mark.parametrize(
    ("line", "low", "high"),
    [
        (Trend(0.1, 0.05, 0.2, 8.5), 7.5, None),
        (Trend(-0.1, -0.2, -0.05, 7.0), 7.5, 9.0),
        (Trend(0.1, -0.05, 0.2, 8.5), 7.5, 9.0),
        (Trend(0.1, -inf, inf, 8.5), 7.5, 9.0),
        (Trend(0.0, 0.0, 0.0, 8.5), 7.5, 9.0),
    ],
    ids=["no limit that way", "already out", "not sure", "too few", "level"],
)
def test_no_day_is_named_where_none_can_be_known(line, low, high):
    assert days_until(line, low, high) is None
