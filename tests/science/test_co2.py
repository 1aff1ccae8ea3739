"""Carbon dioxide: published constants, round trips, directions, fresh to sea without a jump, and what is refused."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.items import Quantity
from bot.science.co2 import co2_mg_L, pk1_fresh, pk1_sea, pk2_sea
from bot.science.working import Known
from tests.science.asking import first, refused, worked

few = settings(max_examples=25, deadline=None)
phs, degrees, temps, salts = st.floats(6.2, 8.4), st.floats(1, 15), st.floats(10, 30), st.sampled_from([0.0, 8.0, 35.0])


@pytest.mark.outside("co2", "pK1 of carbonic acid, published list")
@pytest.mark.parametrize(("temp_C", "published"), [(5, 6.52), (15, 6.42), (20, 6.38), (25, 6.35), (30, 6.33)])
def test_the_first_constant_in_fresh_water_is_the_published_one(temp_C, published):
    assert pk1_fresh(temp_C) == pytest.approx(published, abs=0.02)


def test_the_constants_in_sea_water_are_mehrbachs():
    assert pk1_sea(25, 35) == pytest.approx(6.000, abs=0.001)
    assert pk2_sea(25, 35) == pytest.approx(9.115, abs=0.002)


@few
@given(ph=phs, dKH=degrees, temp_C=temps, salinity=salts)
def test_ph_and_alkalinity_for_a_co2_lead_back(ph, dKH, temp_C, salinity):
    water = {"temperature": (temp_C, "degC"), "salinity": (salinity, "ppt")}
    mg_L = first("co2", ph=(ph, "pH"), alkalinity=(dKH, "dKH"), **water)
    if 0 < mg_L <= 200:
        assert first("co2", to=(mg_L, "mg/L"), alkalinity=(dKH, "dKH"), **water) == pytest.approx(ph, abs=1e-6)
        back = first("co2", to=(mg_L, "mg/L"), ph=(ph, "pH"), ask="alkalinity", **water)
        assert back == pytest.approx(dKH, rel=1e-5)


@few
@given(ph=phs, dKH=st.floats(2, 14), temp_C=temps, salinity=salts)
def test_lower_ph_or_more_alkalinity_means_more_co2(ph, dKH, temp_C, salinity):
    now = co2_mg_L(ph, dKH * 0.35665, temp_C, salinity)
    assert co2_mg_L(ph - 0.1, dKH * 0.35665, temp_C, salinity) > now
    assert co2_mg_L(ph, dKH * 0.4, temp_C, salinity) > now


@few
@given(dKH=degrees)
def test_every_scale_of_alkalinity_gives_the_same(dKH):
    def mg_L(value, unit):
        return first("co2", ph=(7, "pH"), alkalinity=(value, unit), temperature=(25, "degC"), water="fresh")

    assert mg_L(dKH, "dKH") == pytest.approx(mg_L(dKH * 0.3566499, "meq/L"))
    assert mg_L(dKH, "dKH") == pytest.approx(mg_L(dKH * 17.848, "mg/L CaCO3"), rel=1e-5)


def test_from_fresh_to_sea_water_there_is_no_jump():
    steps = [co2_mg_L(8, 2.8, 25, salinity / 4) for salinity in range(0, 160)]
    assert max(a / b for a, b in pairwise(steps)) < 1.12
    assert steps == sorted(steps, reverse=True)


def test_the_trade_rule_is_not_used_in_sea_water():
    sea = first("co2", ph=(8.2, "pH"), alkalinity=(8, "dKH"), temperature=(25, "degC"), water="sea")
    assert sea < 0.5 * 3 * 8 * 10 ** (7 - 8.2)


def test_the_tanks_readings_and_kind_are_used_and_named():
    known = Known(
        tank="Moss bay", tank_kind="soft water", readings={"ph": Quantity(6.6, "pH"), "alkalinity": Quantity(3, "dKH")}
    )
    answer = worked("co2", known, temperature=(25, "degC"))
    assert answer.figures[0].value == pytest.approx(25, rel=0.05)
    assert sum("on record" in words for words in answer.assumed) == 2
    assert any("soft water" in words for words in answer.assumed)


def test_the_answer_says_how_rough_it_is():
    answer = worked("co2", ph=(7, "pH"), alkalinity=(4, "dKH"))
    assert any("roughly" in words for words in answer.cautions)


@pytest.mark.parametrize(
    ("inputs", "why"),
    [
        ({"alkalinity": (4, "dKH")}, "ph"),
        ({"ph": (7, "pH")}, "alkalinity"),
        ({"ph": (70, "pH"), "alkalinity": (4, "dKH")}, "cannot be"),
        ({"ph": (7, "pH"), "alkalinity": (-4, "dKH")}, "cannot be"),
        ({"ph": (7, "pH"), "alkalinity": (4, "L")}, "alkalinity"),
        ({"ph": (7, "pH"), "alkalinity": (4, "dKH"), "temperature": (70, "degC")}, "outside"),
        ({"to": (0, "mg/L"), "alkalinity": (4, "dKH")}, "above 0"),
        ({"to": (1e6, "mg/L"), "alkalinity": (4, "dKH")}, "between 0 and 200"),
    ],
)
def test_what_cannot_be_worked_out_is_refused_with_the_reason(inputs, why):
    assert why in refused("co2", **inputs).lower()
