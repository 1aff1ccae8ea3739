"""Rows of a plot: every reading, one unit, and what is usual; quantiles against numpy's."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.items import Reading
from bot.rules.plots import row, span, usual
from bot.rules.usual import Seen
from bot.team import Limits, Tank

AT = datetime(2026, 3, 1, tzinfo=UTC)
TANK = Tank("Oak", kind="reef", ranges={"alkalinity": Limits(7.5, 9, "dKH")})


def seen(*values, unit="dKH", parameter="alkalinity", **more):
    return [Seen(AT + timedelta(days=n), Reading(parameter, v, unit, **more)) for n, v in enumerate(values)]


@settings(max_examples=40)
@given(st.lists(st.floats(0, 500), min_size=5, max_size=40))
def test_eight_tenths_of_the_readings_lie_in_the_usual_band(values):
    """Outside: numpy.quantile with its customary linear rule (Hyndman and Fan 1996, type 7)."""
    low, high = usual(values)
    assert (low, high) == pytest.approx(tuple(np.quantile(values, [0.1, 0.9])), rel=1e-9, abs=1e-9)


def test_too_few_readings_make_nothing_usual():
    assert usual([8.1, 8.2, 8.3]) is None


def test_readings_in_two_units_stand_in_the_one_that_was_confirmed_last():
    mixed = [*seen(8.0, 8.2), Seen(AT + timedelta(days=9), Reading("alkalinity", 148, "mg/L CaCO3", unconfirmed=True))]
    found = row(TANK, "alkalinity", mixed)
    assert found.unit == "dKH"
    assert [p.confirmed for p in found.points] == [True, True, False]
    assert found.points[2].value == pytest.approx(8.28, abs=0.02)
    assert found.limits == pytest.approx((7.5, 9))


def test_below_and_above_keep_their_sign():
    edges = [
        Seen(AT, Reading("nitrate", 0.25, "mg/L", below=True)),
        Seen(AT, Reading("nitrate", 80, "mg/L", above=True)),
    ]
    assert [p.edge for p in row(TANK, "nitrate", edges).points] == [-1, 1]


def test_no_reading_lies_outside_the_picture():
    found = row(TANK, "alkalinity", seen(8.0, 8.4, 4.7))
    low, high = span(found)
    assert all(low < p.value < high for p in found.points)


def test_nothing_comparable_is_no_row():
    assert row(TANK, "oxygen", []) is None
