"""Un-ionised ammonia: round trips and directions, the water that was not said, and what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.items import Quantity
from bot.science.ammonia import ph_for_share, unionised_share
from bot.science.working import Known
from tests.science.asking import first, refused, value, worked

few = settings(max_examples=40, deadline=None)
phs, temps, salts = st.floats(6, 9.5), st.floats(5, 30), st.floats(0, 40)


@few
@given(ph=phs, temp_C=temps, salinity=salts)
def test_a_share_leads_back_to_its_ph(ph, temp_C, salinity):
    assert ph_for_share(unionised_share(ph, temp_C, salinity), temp_C, salinity) == pytest.approx(ph)


@few
@given(ph=phs, temp_C=temps, salinity=st.floats(0, 35))
def test_higher_ph_or_warmer_water_frees_more_and_salt_less(ph, temp_C, salinity):
    share = unionised_share(ph, temp_C, salinity)
    assert unionised_share(ph + 0.1, temp_C, salinity) > share
    assert unionised_share(ph, temp_C + 1, salinity) > share
    assert unionised_share(ph, temp_C, salinity + 3) < share


@few
@given(total=st.floats(0.05, 20), ph=phs, temp_C=temps, salinity=salts)
def test_the_total_for_a_limit_gives_the_limit_again(total, ph, temp_C, salinity):
    where = {"ph": (ph, "pH"), "temperature": (temp_C, "degC"), "salinity": (salinity, "ppt")}
    nh3 = first("free_ammonia", ammonia=(total, "mg/L"), **where)
    assert first("free_ammonia", to=(nh3, "mg/L"), ask="ammonia", **where) == pytest.approx(total)


@few
@given(temp_C=temps)
def test_fahrenheit_and_celsius_give_the_same(temp_C):
    def nh3(temperature):
        return first("free_ammonia", ammonia=(1, "mg/L"), ph=(8, "pH"), temperature=temperature, water="fresh")

    assert nh3((temp_C, "degC")) == pytest.approx(nh3((temp_C * 1.8 + 32, "degF")))


def test_where_the_water_was_not_said_both_figures_stand_side_by_side():
    answer = worked("free_ammonia", ammonia=(1, "mg/L"), ph=(8.2, "pH"), temperature=(78, "degF"))
    assert any("fresh water" in words for words in answer.assumed)
    assert value(answer, "un-ionised ammonia in sea water", "mg/L") < answer.figures[0].value


def test_a_reef_is_sea_water_without_being_asked():
    known = Known(tank="Fern hall", tank_kind="reef")
    answer = worked("free_ammonia", known, ammonia=(1, "mg/L"), ph=(8.2, "pH"), temperature=(25, "degC"))
    assert answer.figures[0].value == pytest.approx(0.0659, rel=0.02)
    assert any("35 ppt" in words for words in answer.assumed)


def test_the_tanks_readings_are_used_and_named():
    known = Known(
        tank="Fern hall",
        readings={
            "ammonia": Quantity(0.5, "mg/L"), "ph": Quantity(8.1, "pH"), "temperature": Quantity(78, "degF"),
            "salinity": Quantity(35, "ppt"),
        },
    )  # fmt: skip
    answer = worked("free_ammonia", known)
    assert answer.figures[0].name == "un-ionised ammonia"
    assert sum("Fern hall" in words for words in answer.assumed) == 4


@pytest.mark.parametrize(
    ("inputs", "why"),
    [
        ({"ammonia": (1, "mg/L"), "temperature": (25, "degC")}, "ph"),
        ({"ammonia": (1, "mg/L"), "ph": (8, "pH")}, "how warm"),
        ({"ammonia": (1, "mg/L"), "ph": (82, "pH"), "temperature": (25, "degC")}, "cannot be"),
        ({"ammonia": (500, "mg/L"), "ph": (8, "pH"), "temperature": (25, "degC")}, "between 0 and 50"),
        ({"ammonia": (-1, "mg/L"), "ph": (8, "pH"), "temperature": (25, "degC")}, "cannot be"),
        ({"ammonia": (1, "mg/L"), "ph": (8, "pH"), "temperature": (78, "degC")}, "temperature"),
        ({"ammonia": (1, "mg/L"), "ph": (8, "pH"), "temperature": (25, "degC"), "salinity": (1.25, "SG")}, "cannot be"),
        ({"ammonia": (1, "dKH"), "ph": (8, "pH"), "temperature": (25, "degC")}, "concentration"),
        ({"ammonia": (1, "mg/L"), "to": (2, "mg/L"), "ask": "ph", "temperature": (25, "degC")}, "never reached"),
        ({"to": (0, "mg/L"), "ask": "ammonia", "ph": (8, "pH"), "temperature": (25, "degC")}, "above 0"),
    ],
)
def test_what_cannot_be_worked_out_is_refused_with_the_reason(inputs, why):
    assert why in refused("free_ammonia", **inputs).lower()
