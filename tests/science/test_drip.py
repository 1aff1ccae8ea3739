"""Drips in both models: round trips, directions, drops and millilitres, and what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.science.drip import tank_water_needed_L, value_after_drip
from tests.science.asking import first, refused, value, worked

few = settings(max_examples=25, deadline=None)
litres, salts, shares = st.floats(0.3, 20), st.floats(20, 30), st.floats(0.1, 0.95)


@few
@given(bag_L=litres, bag=salts, share=shares, constant=st.booleans())
def test_the_water_needed_brings_the_bag_to_what_was_wanted(bag_L, bag, share, constant):
    wanted = bag + share * (35 - bag)
    dripped = tank_water_needed_L(bag, 35, wanted, bag_L, constant)
    assert value_after_drip(bag, 35, bag_L, dripped, constant) == pytest.approx(wanted)


@few
@given(bag_L=litres, bag=salts, share=shares)
def test_a_bag_kept_level_needs_less_water_and_nearer_needs_more(bag_L, bag, share):
    wanted = bag + share * (35 - bag)
    growing = tank_water_needed_L(bag, 35, wanted, bag_L, constant=False)
    assert tank_water_needed_L(bag, 35, wanted, bag_L, constant=True) < growing
    assert tank_water_needed_L(bag, 35, (wanted + 35) / 2, bag_L, constant=False) > growing


@few
@given(bag_L=litres, minutes=st.floats(20, 120))
def test_rate_times_time_is_the_water_needed_and_the_time_leads_back(bag_L, minutes):
    drip = {"volume": (bag_L, "L"), "from_": (30, "ppt"), "source": (35, "ppt"), "to": (34, "ppt")}
    answer = worked("drip_rate", time=(minutes, "min"), **drip)
    rate = value(answer, "rate", "mL/min")
    assert rate * minutes / 1000 == pytest.approx(4 * bag_L)
    assert first("drip_rate", rate=(rate, "mL/min"), ask="time", **drip) == pytest.approx(minutes)


@few
@given(gallons=st.floats(0.2, 5))
def test_gallons_and_litres_drip_the_same(gallons):
    us = first("drip_rate", volume=(gallons, "gal"), times=(3, ""), time=(1, "h"))
    assert us == pytest.approx(first("drip_rate", volume=(gallons * 3.785411784, "L"), times=(3, ""), time=(60, "min")))


@few
@given(drops=st.floats(0.2, 10), factor=st.floats(10, 60))
def test_drops_and_millilitres_lead_back_to_one_another(drops, factor):
    rate = first("drip_rate", rate=(drops, "drop/s"), drops_per_mL=(factor, ""))
    assert first("drip_rate", rate=(rate, "mL/min"), drops_per_mL=(factor, ""), ask="drops") == pytest.approx(drops)


def test_a_stream_too_fast_to_count_is_named():
    answer = worked("drip_rate", volume=(1, "gal"), volume_2=(3, "gal"), time=(60, "min"))
    assert any("cannot be counted" in words for words in answer.assumed)


def test_what_was_left_open_is_assumed_aloud():
    answer = worked("drip_rate", volume=(2, "L"))
    assert value(answer, "rate", "mL/min") == pytest.approx(4000 / 60)
    assert any("tripled" in words for words in answer.assumed)
    assert any("60 min" in words for words in answer.assumed)


def test_ph_is_left_out_of_the_sum_and_that_is_said():
    answer = worked("drip_rate", volume=(2, "L"), from_=(7, "pH"), source=(8.2, "pH"))
    assert any("pH" in words for words in answer.assumed)


def test_bag_water_goes_to_waste():
    answer = worked("drip_rate", volume=(2, "L"))
    assert any("not into the tank" in words for words in answer.cautions)


@pytest.mark.parametrize(
    ("inputs", "why"),
    [
        ({"time": (60, "min")}, "how much water"),
        ({"volume": (0, "L"), "time": (60, "min")}, "cannot be"),
        ({"volume": (4, "L"), "volume_2": (3, "L")}, "more than that"),
        ({"volume": (1, "L"), "from_": (30, "ppt"), "source": (35, "ppt"), "to": (36, "ppt")}, "between"),
        ({"volume": (1, "L"), "from_": (30, "ppt"), "source": (30, "ppt"), "to": (30, "ppt")}, "between"),
        ({"volume": (1, "L"), "from_": (30, "ppt"), "source": (78, "degF"), "to": (34, "ppt")}, "not the same"),
        ({"volume": (1, "L"), "from_": (1.25, "SG"), "source": (35, "ppt"), "to": (34, "ppt")}, "cannot be"),
        ({"volume": (1, "L"), "ask": "end"}, "which values"),
        ({"volume": (1, "L"), "ask": "end", "from_": (30, "ppt"), "source": (35, "ppt")}, "how much tank water"),
        ({"volume": (1, "L"), "ask": "time"}, "what rate"),
        ({"rate": (0, "drop/s")}, "never arrives"),
        ({"rate": (-2, "drop/s")}, "never arrives"),
        ({"volume": (1, "L"), "times": (1, "")}, "more than that"),
        ({"volume": (1, "L"), "drops_per_mL": (0, "")}, "cannot be"),
    ],
)
def test_what_cannot_be_dripped_is_refused_with_the_reason(inputs, why):
    assert why in refused("drip_rate", **inputs).lower()
