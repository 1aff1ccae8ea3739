"""Two waters: against the full balance of mass and heat, round trips, directions, and what is refused."""

from __future__ import annotations

import gsw
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.science.blending import blended_C
from tests.science.asking import first, refused, value, worked

few = settings(max_examples=25, deadline=None)
COLD = {"volume": (50, "L"), "from_": (12, "degC")}
cold, hot, shares = st.floats(2, 22), st.floats(30, 70), st.floats(0.05, 0.95)


@pytest.mark.outside("temperature_blend", "gsw (TEOS-10)")
@pytest.mark.parametrize(("first_C", "second_C"), [(10, 25), (24, 20), (26, 12), (12, 40)])
@pytest.mark.parametrize("second_L", [10, 60, 200])
def test_weighting_by_volume_is_near_the_full_balance(first_C, second_C, second_L):
    enthalpy = sum(
        litres * gsw.rho_t_exact(0, t, 0) * gsw.enthalpy_t_exact(0, t, 0)
        for litres, t in ((100, first_C), (second_L, second_C))
    )
    mass = sum(litres * gsw.rho_t_exact(0, t, 0) for litres, t in ((100, first_C), (second_L, second_C)))
    exact = gsw.t_from_CT(0, gsw.CT_from_enthalpy(0, enthalpy / mass, 0), 0)
    assert blended_C(100, first_C, second_L, second_C) == pytest.approx(exact, abs=0.1)


@few
@given(cold=cold, hot=hot, share=shares, model=st.sampled_from(["total", "replace", "add"]))
def test_the_part_worked_out_gives_the_temperature_again(cold, hot, share, model):
    goal = cold + share * (hot - cold)
    waters = {"volume": (100, "L"), "from_": (cold, "degC"), "temperature_2": (hot, "degC"), "model": model}
    part = first("temperature_blend", to=(goal, "degC"), to_unit="L", **waters)
    end = first("temperature_blend", volume_2=(part, "L"), ask="end", to_unit="degC", **waters)
    assert end == pytest.approx(goal)


@few
@given(cold=cold, hot=hot, share=shares)
def test_how_warm_the_second_must_be_leads_back(cold, hot, share):
    waters = {"volume": (100, "L"), "from_": (cold, "degC"), "volume_2": (share * 100, "L"), "model": "replace"}
    end = first("temperature_blend", temperature_2=(hot, "degC"), to_unit="degC", **waters)
    back = first("temperature_blend", to=(end, "degC"), ask="temperature_2", to_unit="degC", **waters)
    assert back == pytest.approx(hot)


@few
@given(part=st.floats(5, 90), more=st.floats(0.5, 9))
def test_more_warm_water_makes_it_warmer(part, more):
    def end(part):
        return first(
            "temperature_blend",
            volume=(100, "L"),
            from_=(20, "degC"),
            volume_2=(part, "L"),
            temperature_2=(30, "degC"),
            model="replace",
            to_unit="degC",
        )

    assert end(part + more) > end(part)


@few
@given(gallons=st.floats(5, 50))
def test_us_and_metric_blend_to_the_same(gallons):
    us = first(
        "temperature_blend",
        volume=(60, "gal"),
        from_=(78, "degF"),
        volume_2=(gallons, "gal"),
        temperature_2=(70, "degF"),
        model="replace",
        to_unit="degC",
    )
    litre = 3.785411784
    metric = first(
        "temperature_blend",
        volume=(60 * litre, "L"),
        from_=(25.5556, "degC"),
        volume_2=(gallons * litre, "L"),
        temperature_2=(21.1111, "degC"),
        model="replace",
        to_unit="degC",
    )
    assert us == pytest.approx(metric, abs=1e-3)


def test_an_exchange_and_an_addition_are_kept_apart():
    waters = {"volume": (60, "gal"), "from_": (78, "degF"), "volume_2": (15, "gal"), "temperature_2": (70, "degF")}
    assert first("temperature_blend", model="replace", **waters) == pytest.approx(76)
    assert first("temperature_blend", model="add", **waters) == pytest.approx(76.4)


def test_both_parts_of_a_whole_mixture_are_given():
    waters = {"volume": (50, "L"), "from_": (12, "degC"), "temperature_2": (50, "degC"), "to": (25, "degC")}
    answer = worked("temperature_blend", model="total", **waters)
    assert value(answer, "hot water", "L") + value(answer, "cold water", "L") == pytest.approx(50)


def test_where_neither_was_said_an_addition_and_an_exchange_stand_side_by_side():
    waters = {"volume": (20, "gal"), "from_": (70, "degF"), "temperature_2": (140, "degF"), "to": (80, "degF")}
    answer = worked("temperature_blend", **waters)
    assert value(answer, "second water", "gal") == pytest.approx(20 / 6)
    assert value(answer, "second water, exchanged", "gal") == pytest.approx(20 / 7)
    assert any("on top" in words for words in answer.assumed)


@pytest.mark.parametrize(
    ("inputs", "why"),
    [
        (COLD | {"temperature_2": (20, "degC"), "to": (25, "degC")}, "outside"),
        (COLD | {"temperature_2": (12, "degC"), "to": (12, "degC")}, "outside"),
        ({"from_": (12, "degC"), "temperature_2": (50, "degC"), "to": (25, "degC")}, "volume"),
        ({"volume": (50, "L"), "temperature_2": (50, "degC"), "to": (25, "degC")}, "first water"),
        (COLD | {"temperature_2": (50, "degC")}, "how much"),
        (COLD | {"volume_2": (10, "L")}, "second water"),
        (COLD | {"volume_2": (60, "L"), "temperature_2": (20, "degC"), "model": "replace"}, "more than"),
        (COLD | {"volume_2": (1, "L"), "to": (40, "degC"), "ask": "temperature_2", "model": "replace"}, "cannot be"),
        (COLD | {"change": (150, "%"), "temperature_2": (20, "degC")}, "more than"),
        (COLD | {"from_": (12, "L"), "volume_2": (10, "L"), "temperature_2": (20, "degC")}, "temperature"),
        (COLD | {"volume": (-50, "L"), "volume_2": (10, "L"), "temperature_2": (20, "degC")}, "cannot be"),
    ],
)  # fmt: skip
def test_what_cannot_be_blended_is_refused_with_the_reason(inputs, why):
    assert why in refused("temperature_blend", **inputs).lower()
