"""Oxygen: against TEOS-10's toolbox, round trips, directions, altitude, and what is refused."""

from __future__ import annotations

import gsw
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.science.oxygen import oxygen_at_saturation_umol_kg, pressure_at_altitude_kPa, pressure_factor
from bot.science.working import Known
from tests.science.asking import first, refused, worked

few = settings(max_examples=25, deadline=None)
temps, salts = st.floats(1, 35), st.floats(0, 40)


@pytest.mark.outside("oxygen", "gsw (TEOS-10)")
@pytest.mark.parametrize("salinity", [0, 5, 15, 35])
@pytest.mark.parametrize("temp_C", [2, 12, 22, 32])
def test_saturation_agrees_with_the_teos10_toolbox(temp_C, salinity):
    assert oxygen_at_saturation_umol_kg(temp_C, salinity) == pytest.approx(gsw.O2sol_SP_pt(salinity, temp_C), rel=2e-4)


@few
@given(temp_C=temps, salinity=salts, percent=st.floats(10, 150))
def test_per_cent_and_milligrams_lead_back_to_one_another(temp_C, salinity, percent):
    water = {"temperature": (temp_C, "degC"), "salinity": (salinity, "ppt")}
    mg_L = first("oxygen", oxygen=(percent, "%"), **water)
    if mg_L <= 25:
        assert first("oxygen", oxygen=(mg_L, "mg/L"), **water) == pytest.approx(percent)


@few
@given(temp_C=temps, salinity=salts)
def test_warmer_saltier_or_higher_holds_less(temp_C, salinity):
    def full(temp_C=temp_C, salinity=salinity, metres=0):
        return first("oxygen", temperature=(temp_C, "degC"), salinity=(salinity, "ppt"), altitude=(metres, "m"))

    assert full(temp_C=temp_C + 1) < full()
    assert full(salinity=salinity + 1) < full()
    assert full(metres=500) < full()


@few
@given(temp_C=temps, feet=st.floats(0, 9000))
def test_fahrenheit_and_feet_give_the_same_as_celsius_and_metres(temp_C, feet):
    us = first("oxygen", temperature=(temp_C * 1.8 + 32, "degF"), altitude=(feet, "ft"))
    assert us == pytest.approx(first("oxygen", temperature=(temp_C, "degC"), altitude=(feet * 0.3048, "m")))


def test_one_atmosphere_changes_nothing_and_half_of_it_about_half():
    assert pressure_factor(20, 101.325) == pytest.approx(1)
    assert pressure_factor(20, 50.66) == pytest.approx(0.49, abs=0.01)


def test_denver_has_five_sixths_of_an_atmosphere():
    assert pressure_at_altitude_kPa(1609) == pytest.approx(83.4, abs=0.2)


def test_salt_water_is_not_answered_with_the_fresh_table():
    fresh, sea = (first("oxygen", temperature=(25, "degC"), water=water) for water in ("fresh", "sea"))
    assert sea / fresh == pytest.approx(0.82, abs=0.01)


def test_what_was_left_open_is_assumed_aloud():
    answer = worked("oxygen", temperature=(25, "degC"))
    assert any("fresh water" in words for words in answer.assumed)
    assert any("101.325" in words for words in answer.assumed)


def test_the_local_pressure_on_record_is_used_and_named():
    answer = worked("oxygen", Known(pressure_kPa=84), temperature=(25, "degC"))
    assert any("84" in words and "on record" in words for words in answer.assumed)


@pytest.mark.parametrize(
    ("inputs", "why"),
    [
        ({"temperature": (60, "degC")}, "outside"),
        ({"temperature": (-1, "degC")}, "outside"),
        ({"temperature": (25, "degC"), "oxygen": (80, "mg/L")}, "cannot be"),
        ({"temperature": (25, "degC"), "oxygen": (-1, "mg/L")}, "cannot be"),
        ({"temperature": (25, "degC"), "oxygen": (85, "degF")}, "concentration"),
        ({"temperature": (25, "degC"), "salinity": (90, "ppt")}, "cannot be"),
        ({"temperature": (25, "degC"), "pressure": (760, "kPa")}, "cannot be"),
        ({"temperature": (25, "degC"), "altitude": (30000, "m")}, "altitude"),
        ({"temperature": (25, "degC"), "altitude": (3, "L")}, "altitude"),
        ({"temperature": (25, "degC"), "ask": "percent"}, "how much oxygen"),
    ],
)
def test_what_cannot_be_worked_out_is_refused_with_the_reason(inputs, why):
    assert why in refused("oxygen", **inputs).lower()
