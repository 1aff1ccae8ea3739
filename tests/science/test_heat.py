"""Heating: heat capacity against TEOS-10, round trips with and without losses, the ceiling, and what is refused."""

from __future__ import annotations

import gsw
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.science.heat import HeatBalance, heat_capacity_J_kg_K, hours_to_warm, temp_after_C, watts_to_warm
from tests.science.asking import first, refused, value, worked

few = settings(max_examples=25, deadline=None)
COOL_ROOM = {"volume": (200, "L"), "power": (100, "W"), "from_": (20, "degC"), "to": (28, "degC")}
starts, rises, watts = st.floats(5, 25), st.floats(0.5, 8), st.floats(50, 2000)


@pytest.mark.outside("heating", "gsw (TEOS-10)")
@pytest.mark.parametrize("salinity", [0, 10, 20, 35])
@pytest.mark.parametrize("temp_C", [5, 10, 20, 25, 30])
def test_heat_capacity_agrees_with_teos10_to_a_tenth_of_a_per_cent(temp_C, salinity):
    absolute = gsw.SA_from_SP(salinity, 0, 0, 0)
    assert heat_capacity_J_kg_K(temp_C, salinity) == pytest.approx(gsw.cp_t_exact(absolute, temp_C, 0), rel=1e-3)


@few
@given(start=starts, rise=rises, power=watts, loss=st.floats(0.5, 20))
def test_hours_watts_and_end_lead_back_to_one_another(start, rise, power, loss):
    balance = HeatBalance(power, loss, room_C=start - 2)
    hours = hours_to_warm(4e5, start, start + rise, balance)
    if hours < 1e6:
        assert temp_after_C(4e5, start, hours, balance) == pytest.approx(start + rise)
        assert watts_to_warm(4e5, start, start + rise, hours, balance) == pytest.approx(power)


@few
@given(volume=st.floats(10, 2000), start=starts, rise=rises, power=watts)
def test_more_water_takes_longer_and_more_watts_less_long(volume, start, rise, power):
    def hours(volume=volume, power=power):
        warmed = {"from_": (start, "degC"), "to": (start + rise, "degC")}
        return first("heating", volume=(volume, "L"), power=(power, "W"), **warmed)

    assert hours(volume=2 * volume) == pytest.approx(2 * hours())
    assert hours(power=1.2 * power) < hours()


@few
@given(gallons=st.floats(5, 300), degrees=st.floats(1, 12))
def test_gallons_and_fahrenheit_give_the_same_as_litres_and_celsius(gallons, degrees):
    us = first("heating", volume=(gallons, "gal"), change=(degrees, "delta_degF"), ask="energy")
    litres = (gallons * 3.785411784, "L")
    assert us == pytest.approx(first("heating", volume=litres, change=(degrees / 1.8, "delta_degC"), ask="energy"))


def test_sea_water_needs_a_little_less_heat_per_litre():
    fresh, sea = (
        first("heating", volume=(100, "L"), change=(5, "delta_degC"), ask="energy", water=w) for w in ("fresh", "sea")
    )
    assert 0.97 < sea / fresh < 0.99


def test_a_loss_makes_it_longer_and_shows_the_ceiling():
    warmed = {"volume": (300, "L"), "power": (400, "W"), "from_": (18, "degC"), "to": (24, "degC")}
    without = first("heating", no_loss="yes", **warmed)
    answer = worked("heating", room=(17, "degC"), loss=(10, "W/degC"), **warmed)
    assert answer.figures[0].value > without
    assert value(answer, "warmest", "degC") == pytest.approx(57)


def test_a_loss_per_fahrenheit_is_1_8_per_celsius():
    warmed = {
        "volume": (300, "L"),
        "power": (400, "W"),
        "from_": (18, "degC"),
        "to": (24, "degC"),
        "room": (17, "degC"),
    }
    assert first("heating", loss=(10, "W/degF"), **warmed) == pytest.approx(
        first("heating", loss=(18, "W/degC"), **warmed)
    )


def test_a_cooling_test_gives_the_loss():
    answer = worked("heating", volume=(300, "L"), time_constant=(35, "h"), ask="loss")
    assert value(answer, "loss", "W/degC") == pytest.approx(300 * 4170 / (35 * 3600), rel=0.01)


def test_every_heater_answer_speaks_of_dry_hands_and_drip_loops():
    answer = worked("heating", volume=(100, "L"), power=(200, "W"), from_=(20, "degC"), to=(25, "degC"))
    assert any("drip loop" in words for words in answer.cautions)
    assert any("an hour" in words for words in answer.cautions)


@pytest.mark.parametrize(
    ("inputs", "why"),
    [
        ({"power": (200, "W"), "from_": (20, "degC"), "to": (25, "degC")}, "volume"),
        ({"volume": (100, "L"), "power": (200, "W"), "to": (25, "degC")}, "from what"),
        ({"volume": (100, "L"), "power": (200, "W"), "from_": (25, "degC"), "to": (25, "degC")}, "already"),
        ({"volume": (100, "L"), "power": (200, "W"), "from_": (26, "degC"), "to": (25, "degC")}, "cool"),
        ({"volume": (100, "L"), "from_": (26, "degC"), "to": (25, "degC")}, "cool"),
        ({"volume": (100, "L"), "from_": (26, "degC"), "to": (25, "degC"), "time": (3, "h")}, "cool"),
        ({"volume": (100, "L"), "power": (0, "W"), "from_": (20, "degC"), "to": (25, "degC")}, "cannot be"),
        ({"volume": (100, "L"), "power": (-5, "W"), "from_": (20, "degC"), "to": (25, "degC")}, "cannot be"),
        ({"volume": (100, "L"), "power": (200, "L"), "from_": (20, "degC"), "to": (25, "degC")}, "power"),
        ({"volume": (100, "L"), "power": (200, "W"), "from_": (20, "degC"), "to": (250, "degC")}, "cannot be"),
        (COOL_ROOM | {"loss": (20, "W/degC"), "room": (20, "degC")}, "never"),
        (COOL_ROOM | {"loss": (20, "W/degC")}, "room"),
        (COOL_ROOM | {"loss": (0, "W/degC"), "room": (20, "degC")}, "loss"),
        ({"volume": (200, "L"), "power": (100, "W"), "ask": "ceiling"}, "lose"),
    ],
)  # fmt: skip
def test_what_cannot_be_heated_is_refused_with_the_reason(inputs, why):
    assert why in refused("heating", **inputs).lower()
