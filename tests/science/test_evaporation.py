"""Evaporation and topping off: salt stays, the level tells, a can runs out."""

import gsw
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.items import Quantity
from bot.science.working import Known
from tests.science.asking import first, value, worked


def after_loss_by_teos10(full_L, salinity, lost_L, temp):
    """Salt balance with the densities of the reference library."""
    absolute = float(gsw.SR_from_SP(salinity))
    mass = full_L * float(gsw.rho_t_exact(absolute, temp, 0)) / 1000
    left = mass - lost_L * float(gsw.rho_t_exact(0, temp, 0)) / 1000
    return float(gsw.SP_from_SR(absolute * mass / left))


@pytest.mark.outside("top_off", "gsw (TEOS-10)")
@pytest.mark.parametrize(("full", "salinity", "lost"), [(200, 34, 10), (1000, 33, 60), (75, 35, 1), (500, 20, 100)])
def test_the_rise_agrees_with_a_balance_by_the_reference_library(full, salinity, lost):
    got = first("top_off", volume=(full, "L"), from_=(salinity, "ppt"), amount=(lost, "L"), temperature=(25, "degC"))
    assert got == pytest.approx(after_loss_by_teos10(full, salinity, lost, 25), abs=1e-3)


@settings(max_examples=20)
@given(st.floats(50, 5000), st.floats(5, 40), st.floats(0.01, 0.2))
def test_the_rise_gives_back_the_loss(litres, salinity, share):
    risen = first("top_off", volume=(litres, "L"), from_=(salinity, "ppt"), amount=(litres * share, "L"))
    lost = worked("top_off", volume=(litres, "L"), from_=(salinity, "ppt"), to=(risen, "ppt"))
    assert value(lost, "fresh water", "L") == pytest.approx(litres * share, rel=1e-6)


@given(st.floats(50, 5000), st.floats(5, 40), st.floats(0.01, 0.2))
@settings(max_examples=20)
def test_more_loss_is_more_salt_and_topping_off_with_salt_water_never_undoes_it(litres, salinity, share):
    lost = {"volume": (litres, "L"), "from_": (salinity, "ppt")}
    little = first("top_off", amount=(litres * share, "L"), **lost)
    assert first("top_off", amount=(litres * share * 1.5, "L"), **lost) > little > salinity
    assert first("top_off", amount=(litres * share, "L"), source=(salinity, "ppt"), **lost) > salinity


def test_topping_off_with_fresh_water_brings_it_back():
    got = first("top_off", volume=(100, "gal"), from_=(35, "ppt"), amount=(5, "gal"), source="rodi")
    assert got == pytest.approx(35, abs=0.01)


def test_both_habits_give_the_same_loss():
    us = worked("top_off", volume=(100, "gal"), from_=(34, "ppt"), to=(36, "ppt"))
    metric = worked("top_off", volume=(378.5411784, "L"), from_=(34, "ppt"), to=(36, "ppt"))
    assert value(us, "fresh water", "L") == pytest.approx(value(metric, "fresh water", "L"))
    assert (us.figures[0].unit, metric.figures[0].unit) == ("gal", "L")


def test_high_and_low_salinity_may_be_said_in_either_order():
    up = first("top_off", volume=(100, "gal"), from_=(1.025, "SG"), to=(1.027, "SG"))
    assert first("top_off", volume=(100, "gal"), from_=(1.027, "SG"), to=(1.025, "SG")) == pytest.approx(up)


def test_a_reading_now_and_the_tanks_target_tell_the_loss():
    tank = Known(tank="Oak Street", volume_L=400, targets={"salinity": Quantity(35, "ppt")})
    got = worked("top_off", tank, to=(36, "ppt"))
    assert value(got, "fresh water", "L") == pytest.approx(11.4, abs=0.2)
    assert any("target 35 ppt" in each for each in got.assumed)


def test_a_drop_of_the_level_is_surface_times_drop():
    got = worked("top_off", length=(48, "in"), width=(24, "in"), depth=(1, "in"), time=(2, "day"))
    assert got.figures[0].value == pytest.approx(48 * 24 / 231)
    assert value(got, "loss a day", "gal/day") == pytest.approx(48 * 24 / 231 / 2)


def test_rate_time_and_can_are_one_sum():
    assert first("top_off", rate=(1.5, "gal/day"), time=(5, "day")) == pytest.approx(7.5)
    assert first("top_off", amount=(7.5, "gal"), rate=(1.5, "gal/day")) == pytest.approx(5)
    assert first("top_off", amount=(7.5, "gal"), time=(5, "day")) == pytest.approx(1.5)
