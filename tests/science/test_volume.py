"""Tanks of nine shapes: there and back, glass and level off, and what a filter turns over."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.science.shapes import SHAPES, Measures, level_cm, water_L
from tests.science.asking import first, value, worked

MEASURES = {
    "length": (120.0, "cm"), "width": (60.0, "cm"), "radius": (45.0, "cm"), "side": (40.0, "cm"), "bow": (10.0, "cm"),
}  # fmt: skip
INSIDE = Measures(120, 60, 45, 40, 10)


def of(shape: str) -> dict:
    return {"shape": shape} | {each: MEASURES[each] for each in SHAPES[shape].needs}


@pytest.mark.parametrize("shape", SHAPES)
def test_the_level_of_a_volume_gives_back_the_volume(shape):
    level = level_cm(shape, INSIDE, 55.5)
    assert level is not None
    assert water_L(shape, INSIDE, level) == pytest.approx(55.5)


@pytest.mark.parametrize("shape", SHAPES)
def test_the_question_for_the_height_turns_the_volume_back(shape):
    litres = first("volume", depth=(30, "cm"), **of(shape))
    assert first("volume", volume=(litres, "L"), ask="height", **of(shape)) == pytest.approx(30)


@pytest.mark.parametrize("shape", SHAPES)
def test_a_higher_level_is_more_water_and_glass_takes_some(shape):
    low, high = (first("volume", depth=(level, "cm"), **of(shape)) for level in (20.0, 40.0))
    assert high > low
    assert first("volume", depth=(20, "cm"), glass=(10, "mm"), **of(shape)) < low


@pytest.mark.parametrize("shape", SHAPES)
def test_inches_and_centimetres_are_the_same_tank(shape):
    inches = {name: (each[0] / 2.54, "in") if isinstance(each, tuple) else each for name, each in of(shape).items()}
    us = worked("volume", depth=(30 / 2.54, "in"), **inches)
    assert us.figures[0].unit == "gal"
    assert value(us, "water", "L") == pytest.approx(first("volume", depth=(30, "cm"), **of(shape)))


@settings(max_examples=20)
@given(st.floats(5, 40), st.floats(0.1, 2.5))
def test_thin_glass_of_a_curved_tank_takes_what_integration_says(radius, glass):
    """Half cylinder: strips of the segment that is left above the chord of the inner glass."""
    inside = SHAPES["half_cylinder"].inside(Measures(radius_cm=radius), glass)
    inner, steps = radius - glass, 4000
    height = (inner - glass) / steps
    strips = sum(2 * (inner**2 - (glass + (k + 0.5) * height) ** 2) ** 0.5 * height for k in range(steps))
    assert SHAPES["half_cylinder"].floor_cm2(inside) == pytest.approx(strips, rel=1e-3)


def test_a_quarter_cylinder_loses_glass_on_both_flat_sides():
    inside = SHAPES["quarter_cylinder"].inside(Measures(radius_cm=10), 1)
    strips = sum(max((81 - (1 + (k + 0.5) * 0.001) ** 2) ** 0.5 - 1, 0) * 0.001 for k in range(7944))
    assert SHAPES["quarter_cylinder"].floor_cm2(inside) == pytest.approx(strips, rel=1e-3)


def test_a_box_of_glass_holds_its_inside():
    got = first("volume", length=(100, "cm"), width=(50, "cm"), height=(50, "cm"), glass=(10, "mm"), gap=(4, "cm"))
    assert got == pytest.approx(98 * 48 * (50 - 1 - 4) / 1000)


def test_a_flat_bow_front_is_a_box():
    flat = Measures(100, 40, bow_cm=0)
    assert SHAPES["bow_front"].floor_cm2(flat) == SHAPES["box"].floor_cm2(flat)


def test_a_bow_as_deep_as_half_its_width_is_a_half_circle():
    round_front = Measures(100, 0, bow_cm=50)
    assert SHAPES["bow_front"].floor_cm2(round_front) == pytest.approx(3.14159265 * 50**2 / 2)


def test_rock_is_taken_off_the_tank_or_the_system_as_said():
    system = {"volume": (75.0, "gal"), "volume_2": (20.0, "gal"), "displaced": (10.0, "%")}
    assert first("volume", displaced_from="tank", **system) == pytest.approx(87.5)
    assert first("volume", displaced_from="system", **system) == pytest.approx(85.5)
    assert first("volume", volume=(75, "gal"), displaced=(5, "gal")) == pytest.approx(70)


def test_measures_taken_as_inside_are_owned_up_to():
    got = worked("volume", length=(48, "in"), width=(18, "in"), height=(20, "in"))
    assert any("inside" in each for each in got.assumed)
    assert any("really in it" in each for each in got.cautions)


def test_the_weight_of_a_pail_comes_with_the_caution_for_backs():
    got = worked("volume", volume=(5, "gal"), ask="weight", water="sea")
    assert got.figures[0].value == pytest.approx(42.7, abs=0.1)
    assert any("heavy" in each for each in got.cautions)


@settings(max_examples=20)
@given(st.floats(50, 5000), st.floats(100, 20000))
def test_turnover_flow_and_volume_are_one_sum(litres, flow):
    times = first("turnover", volume=(litres, "L"), flow=(flow, "L/h"))
    assert first("turnover", volume=(litres, "L"), times=(times, "1/h"), ask="flow") == pytest.approx(flow)
    assert first("turnover", flow=(flow, "L/h"), times=(times, "1/h"), ask="volume") == pytest.approx(litres)
    assert first("turnover", volume=(litres, "L"), flow=(flow, "L/h"), ask="minutes") == pytest.approx(60 / times)


def test_turnover_is_the_same_in_gallons():
    assert first("turnover", volume=(100, "gal"), flow=(500, "gal/h")) == pytest.approx(5)


def test_a_stronger_pump_and_a_better_filter_clear_sooner_and_clearer_takes_longer():
    haze = {"volume": (400.0, "L"), "ask": "time"}
    slow = first("turnover", flow=(800, "L/h"), efficiency=(50, "%"), fraction=(90, "%"), **haze)
    assert first("turnover", flow=(1600, "L/h"), efficiency=(50, "%"), fraction=(90, "%"), **haze) < slow
    assert first("turnover", flow=(800, "L/h"), efficiency=(80, "%"), fraction=(90, "%"), **haze) < slow
    assert first("turnover", flow=(800, "L/h"), efficiency=(50, "%"), fraction=(99, "%"), **haze) > slow


def test_a_bucket_test_counts_before_the_label():
    got = first("turnover", volume=(300, "gal"), amount=(1, "gal"), fill_time=(12, "s"), ask="turnover")
    assert got == pytest.approx(1)


def test_head_loss_is_taken_off_the_rated_flow():
    assert first("turnover", volume=(100, "gal"), flow=(1000, "gal/h"), loss=(30, "%")) == pytest.approx(7)


def test_what_haze_and_filter_are_taken_for_is_owned_up_to():
    got = worked("turnover", volume=(100, "gal"), flow=(500, "gal/h"), ask="time")
    assert len(got.assumed) == 2
