"""Bleach: strength by each way of printing it, amounts and their way back, ageing, and the cautions on every answer."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from molmass import Formula

from bot.science.hypochlorite import available_chlorine_g_L, half_life_days, strength_left
from tests.science.asking import first, refused, value, worked

few = settings(max_examples=25, deadline=None)
litres, ppm, percent = st.floats(1, 1000), st.floats(10, 5000), st.floats(3, 9)


@pytest.mark.outside("bleach_solution", "molmass (IUPAC atomic weights)")
def test_available_chlorine_follows_from_the_formulas():
    share = Formula("Cl2").mass / Formula("NaClO").mass
    assert available_chlorine_g_L(5, "w/v") == pytest.approx(50 * share, rel=1e-5)


@few
@given(volume=litres, target=ppm, strength=percent)
def test_the_amount_put_in_gives_the_target_again(volume, target, strength):
    product = {"strength": (strength, "%"), "strength_basis": "w/w"}
    mL = first("bleach_solution", volume=(volume, "L"), to=(target, "mg/L"), **product)
    assert first("bleach_solution", volume=(volume, "L"), amount=(mL, "mL"), **product) == pytest.approx(target)
    made = first("bleach_solution", amount=(mL, "mL"), to=(target, "mg/L"), ask="volume", to_unit="L", **product)
    assert made == pytest.approx(volume)


@few
@given(volume=litres, target=ppm, strength=percent)
def test_more_water_takes_more_and_a_stronger_product_less(volume, target, strength):
    def mL(volume=volume, strength=strength):
        return first("bleach_solution", volume=(volume, "L"), to=(target, "mg/L"), strength=(strength, "%"))

    assert mL(volume=2 * volume) == pytest.approx(2 * mL())
    assert mL(strength=strength * 1.05) < mL()


@few
@given(gallons=st.floats(1, 200))
def test_gallons_and_litres_take_the_same(gallons):
    us = first("bleach_solution", volume=(gallons, "gal"), to=(200, "mg/L"), strength=(6, "%"))
    metric = first("bleach_solution", volume=(gallons * 3.785411784, "L"), to=(200, "mg/L"), strength=(6, "%"))
    assert us == pytest.approx(metric)


@few
@given(age=st.floats(1, 1000))
def test_older_bleach_takes_more(age):
    def mL(days):
        return first("bleach_solution", volume=(10, "L"), to=(200, "mg/L"), strength=(8.25, "%"), age=(days, "day"))

    assert mL(age * 1.5) > mL(age)


def test_strong_and_warm_bleach_ages_faster():
    assert half_life_days(12.5, 24) < half_life_days(6, 24)
    assert half_life_days(6, 34) == pytest.approx(half_life_days(6, 24) / 3.5)
    assert strength_left(730, half_life_days(5.25, 24)) == pytest.approx(0.5)


@pytest.mark.parametrize("said", ["w/w", "w/v", "trade"])
def test_a_basis_that_was_said_is_not_assumed_again(said):
    answer = worked("bleach_solution", volume=(10, "L"), to=(200, "mg/L"), strength=(10, "%"), strength_basis=said)
    assert not any("if the label means" in words for words in answer.assumed)


def test_a_bare_per_cent_is_named_with_what_it_would_be_otherwise():
    household = worked("bleach_solution", volume=(10, "L"), to=(200, "mg/L"), strength=(6, "%"))
    assert any("by weight" in words for words in household.assumed)
    trade = worked("bleach_solution", volume=(10, "L"), to=(200, "mg/L"), strength=(12.5, "%"))
    assert trade.figures[0].value == pytest.approx(16)
    assert any("100 mL" in words for words in trade.assumed)


def test_an_unknown_strength_is_assumed_aloud_and_the_label_asked_for():
    answer = worked("bleach_solution", volume=(10, "L"), to=(200, "mg/L"))
    assert any("6 %" in words and "label" in words for words in answer.assumed)


def test_a_soak_without_a_target_takes_the_hatchery_figure_aloud():
    answer = worked("bleach_solution", volume=(10, "L"), strength=(6, "%"))
    assert any("200 mg/L" in words for words in answer.assumed)


def test_a_target_in_per_cent_of_chlorine_is_the_same_as_in_mg_L():
    product = {"volume": (10, "L"), "strength": (5, "%")}
    as_percent = first("bleach_solution", to=(0.05, "%"), **product)
    assert as_percent == pytest.approx(first("bleach_solution", to=(500, "mg/L"), **product))


def test_granules_are_weighed_and_bring_their_own_caution():
    answer = worked("bleach_solution", volume=(100, "L"), to=(200, "mg/L"), chemical="calcium hypochlorite")
    assert value(answer, "granules", "g") == pytest.approx(100 * 200 / 1000 / 0.65)
    assert any("Granules into water" in words for words in answer.cautions)


@pytest.mark.parametrize(
    "inputs",
    [
        {"volume": (10, "L"), "to": (200, "mg/L"), "strength": (6, "%")},
        {"strength": (5, "%"), "ratio": (100, "")},
        {"amount": (150, "mL"), "volume": (40, "L"), "strength": (6, "%")},
        {"amount": (150, "mL"), "to": (200, "mg/L"), "strength": (6, "%")},
        {"to": (200, "mg/L"), "strength": (6, "%"), "ask": "ratio"},
        {"volume": (10, "L"), "to": (200, "mg/L"), "from_": (5000, "mg/L")},
    ],
)
def test_every_bleach_answer_carries_the_bleach_cautions(inputs):
    answer = worked("bleach_solution", **inputs)
    assert any("toxic gas" in words for words in answer.cautions)
    assert not any("is safe" in words for words in answer.cautions + answer.assumed)


@pytest.mark.parametrize(
    ("inputs", "why"),
    [
        ({"to": (200, "mg/L"), "strength": (6, "%")}, "volume"),
        ({"volume": (1, "L"), "to": (100000, "mg/L"), "strength": (6, "%")}, "stronger product"),
        ({"volume": (1, "L"), "to": (0, "mg/L"), "strength": (6, "%")}, "cannot be made"),
        ({"volume": (1, "L"), "to": (-5, "mg/L"), "strength": (6, "%")}, "cannot be"),
        ({"volume": (-1, "L"), "to": (200, "mg/L"), "strength": (6, "%")}, "cannot be"),
        ({"volume": (10, "L"), "to": (200, "mg/L"), "strength": (60, "%")}, "not sold"),
        ({"volume": (10, "L"), "to": (200, "mg/L"), "strength": (0, "%")}, "not sold"),
        ({"volume": (10, "L"), "to": (200, "mg/L"), "strength": (0, "g/L")}, "no chlorine"),
        ({"volume": (10, "L"), "to": (200, "degF"), "strength": (6, "%")}, "concentration"),
        ({"volume": (1, "L"), "amount": (5, "L"), "strength": (6, "%")}, "finished volume"),
        ({"ratio": (0, ""), "strength": (6, "%")}, "ratio"),
        ({"volume": (10, "L"), "ask": "end", "strength": (6, "%")}, "how much bleach"),
        ({"volume": (1e40, "L"), "to": (200, "mg/L"), "strength": (6, "%")}, "cannot be"),
    ],
)
def test_what_cannot_be_mixed_is_refused_with_the_reason(inputs, why):
    assert why in refused("bleach_solution", **inputs).lower()
