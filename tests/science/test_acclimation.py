"""Floating bags: round trips between measurements and time, directions, an honest range, and what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.science.acclimation import bag_time_constant_min, minutes_to_near, time_constant_min
from tests.science.asking import first, refused, value, worked

few = settings(max_examples=25, deadline=None)
gaps, taus = st.floats(2, 12), st.floats(5, 60)


@few
@given(gap=gaps, share=st.floats(0.1, 0.9), tau=taus)
def test_two_measurements_give_the_time_constant_they_were_made_with(gap, share, tau):
    assert time_constant_min(gap, gap * share, minutes_to_near(gap, gap * share, tau)) == pytest.approx(tau)


@few
@given(gap=gaps, volume=st.floats(0.3, 10))
def test_a_larger_gap_or_bag_takes_longer_and_the_range_holds_the_middle(gap, volume):
    def answer(gap=gap, volume=volume):
        return worked("float_time", volume=(volume, "L"), change=(gap, "delta_degC"))

    middle, low, high = (value(answer(), name, "min") for name in ("time", "shortest", "longest"))
    assert low < middle < high
    assert value(answer(gap=gap * 1.2), "time", "min") > middle
    assert value(answer(volume=volume * 1.5), "time", "min") > middle


@few
@given(bag=st.floats(60, 70), minutes=st.floats(5, 60), tau=taus)
def test_the_end_after_a_time_leads_back_to_that_time(bag, minutes, tau):
    where = {"from_": (bag, "degF"), "to": (78, "degF"), "time_constant": (tau, "min")}
    end = first("float_time", time=(minutes, "min"), ask="end", **where)
    back = first("float_time", within=(78 - end, "delta_degF"), **where)
    assert back == pytest.approx(minutes)


@few
@given(quarts=st.floats(1, 8))
def test_quarts_and_litres_of_bag_take_the_same(quarts):
    us = first("float_time", volume=(quarts, "qt"), from_=(68, "degF"), to=(77, "degF"))
    metric = first("float_time", volume=(quarts * 0.946352946, "L"), from_=(20, "degC"), to=(25, "degC"))
    assert us == pytest.approx(metric)


def test_warming_and_cooling_take_the_same():
    cold = first("float_time", volume=(2, "L"), from_=(20, "degC"), to=(25, "degC"))
    assert cold == pytest.approx(first("float_time", volume=(2, "L"), from_=(30, "degC"), to=(25, "degC")))


def test_a_bag_grows_slower_than_its_volume():
    assert bag_time_constant_min(8, "middle") < 3 * bag_time_constant_min(1, "middle")


def test_a_bag_that_is_near_already_needs_no_more_minutes():
    near = {"from_": (70, "degF"), "to": (78, "degF"), "temperature_2": (77.5, "degF"), "time": (20, "min")}
    assert first("float_time", within=(1, "delta_degF"), **near) == 0


def test_the_thermometer_and_the_suppliers_sheet_are_named():
    answer = worked("float_time", volume=(2, "L"), from_=(68, "degF"), to=(77, "degF"))
    assert any("thermometer" in words and "supplier" in words for words in answer.cautions)
    assert any("range" in words for words in answer.assumed)


@pytest.mark.parametrize(
    ("inputs", "why"),
    [
        ({"from_": (68, "degF"), "to": (77, "degF")}, "how much water"),
        ({"volume": (2, "L"), "from_": (78, "degF"), "to": (78, "degF")}, "no difference"),
        ({"volume": (2, "L"), "to": (78, "degF")}, "how warm is the bag"),
        ({"volume": (2, "L"), "from_": (78, "degF")}, "how warm is the tank"),
        ({"volume": (0, "L"), "from_": (68, "degF"), "to": (78, "degF")}, "cannot be"),
        ({"volume": (2, "L"), "from_": (68, "L"), "to": (78, "degF")}, "temperature"),
        ({"volume": (2, "L"), "change": (-5, "delta_degF")}, "above 0"),
        ({"from_": (70, "degF"), "to": (78, "degF"), "temperature_2": (69, "degF"), "time": (10, "min")}, "nearer"),
        ({"from_": (70, "degF"), "to": (78, "degF"), "temperature_2": (79, "degF"), "time": (10, "min")}, "nearer"),
        ({"from_": (70, "degF"), "to": (78, "degF"), "time_constant": (0, "min")}, "cannot be"),
        ({"volume": (2, "L"), "from_": (700, "degF"), "to": (78, "degF")}, "cannot be"),
    ],
)
def test_what_cannot_be_floated_is_refused_with_the_reason(inputs, why):
    assert why in refused("float_time", **inputs).lower()
