"""Treatments are arithmetic on what was stated: round trips, directions, the order pointed to, no target of ours."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.science.working import Known
from tests.science.asking import first, refused, worked

few = settings(max_examples=25, deadline=None)
litres, levels = st.floats(10, 5000), st.floats(0.05, 50)


@few
@given(volume=litres, target=levels, strength=st.floats(1, 300))
def test_the_amount_put_in_makes_the_level_again(volume, target, strength):
    product = {"volume": (volume, "L"), "strength": (strength, "g/L")}
    mL = first("treatment", to=(target, "mg/L"), **product)
    assert first("treatment", added=(mL, "mL"), ask="end", **product) == pytest.approx(target)


@few
@given(volume=litres, target=levels)
def test_more_water_or_a_higher_target_takes_more_and_what_is_there_less(volume, target):
    def grams(volume=volume, target=target, now=0.0):
        return first("treatment", volume=(volume, "L"), to=(target, "mg/L"), from_=(now, "mg/L"), to_unit="g")

    assert grams(volume=2 * volume) == pytest.approx(2 * grams())
    assert grams(target=1.5 * target) > grams()
    assert grams(now=target / 2) == pytest.approx(grams() / 2)


@few
@given(volume=litres, target=levels, change=st.floats(5, 90))
def test_a_redose_puts_back_what_the_change_took(volume, target, change):
    order = {"volume": (volume, "L"), "to": (target, "mg/L"), "strength": (30, "g/L")}
    assert first("treatment", change=(change, "%"), **order) == pytest.approx(
        first("treatment", **order) * change / 100
    )


@few
@given(start=levels, hours=st.floats(1, 200), half_life=st.floats(2, 100))
def test_a_level_after_a_time_leads_back_to_that_time(start, hours, half_life):
    left = first("treatment", from_=(start, "mg/L"), half_life=(half_life, "h"), time=(hours, "h"), ask="end")
    if left > 0.001:
        back = first("treatment", from_=(start, "mg/L"), half_life=(half_life, "h"), to=(left, "mg/L"), ask="time")
        assert back == pytest.approx(hours)


@few
@given(gallons=st.floats(1, 500))
def test_gallons_and_litres_take_the_same(gallons):
    us = first("treatment", volume=(gallons, "gal"), to=(2, "mg/L"), to_unit="g")
    assert us == pytest.approx(first("treatment", volume=(gallons * 3.785411784, "L"), to=(2, "mg/L"), to_unit="g"))


def test_a_label_rule_is_taken_as_it_stands_and_for_the_water_changed_only():
    label = {"volume": (45, "gal"), "strength": (1, "mL"), "strength_per": (10, "gal")}
    assert first("treatment", **label) == pytest.approx(4.5)
    assert first("treatment", change=(20, "%"), **label) == pytest.approx(0.9)


def test_a_powder_of_80_per_cent_is_weighed_by_its_purity():
    pure = first("treatment", volume=(60, "gal"), to=(20, "mg/L"), to_unit="g")
    assert first("treatment", volume=(60, "gal"), to=(20, "mg/L"), strength=(80, "%"), to_unit="g") == pytest.approx(
        pure / 0.8
    )


def test_copper_sulfate_is_counted_by_its_copper():
    answer = worked("treatment", volume=(80, "L"), to=(0.15, "mg/L"), chemical="copper sulfate", to_unit="mg")
    assert answer.figures[0].value == pytest.approx(47.15, rel=1e-3)
    assert any("pentahydrate" in words for words in answer.assumed)
    assert any("invertebrates" in words for words in answer.cautions)


@pytest.mark.parametrize(
    "inputs",
    [
        {"volume": (60, "gal"), "to": (2.5, "mg/L")},
        {"volume": (60, "gal"), "strength": (1, "mL"), "strength_per": (10, "gal")},
        {"from_": (4, "mg/L"), "half_life": (24, "h"), "time": (36, "h")},
        {"volume": (60, "gal"), "to": (2.5, "mg/L"), "change": (25, "%")},
    ],
)
def test_every_answer_is_arithmetic_and_points_to_the_order(inputs):
    answer = worked("treatment", Known(orders=("metro, 5 days, Dr on file",)), **inputs)
    assert any("arithmetic" in words and "metro, 5 days" in words for words in answer.assumed)
    assert any("veterinarian" in words for words in answer.cautions)
    none = worked("treatment", **inputs)
    assert any("none on file" in words for words in none.assumed)


@pytest.mark.parametrize(
    "inputs",
    [{}, {"ask": "advice"}, {"volume": (100, "gal")}, {"volume": (9, "L"), "ask": "redose", "change": (25, "%")}],
)
def test_without_a_stated_target_there_is_no_number_and_the_order_is_asked_for(inputs):
    why = refused("treatment", Known(orders=("copper 0.15 mg/L, 14 days",)), **inputs)
    assert "veterinarian" in why
    assert "copper 0.15 mg/L, 14 days" in why
    assert "No order is on file" in refused("treatment", **inputs)


def test_copper_for_a_tank_with_invertebrates_is_refused():
    known = Known(tank="Fern hall", volume_L=300, invertebrates=True)
    assert "Fern hall" in refused("treatment", known, to=(0.15, "mg/L"), parameter="copper")


def test_formalin_for_a_tank_with_invertebrates_is_refused_too():
    known = Known(tank="Fern hall", volume_L=300, invertebrates=True)
    assert "formalin" in refused("treatment", known, to=(15, "mg/L"), chemical="formalin")


def test_a_medicine_that_is_no_chemical_on_file_is_still_only_arithmetic():
    by_name = first("treatment", volume=(100, "L"), to=(2, "mg/L"), chemical="prazi")
    assert by_name == pytest.approx(first("treatment", volume=(100, "L"), to=(2, "mg/L")))


@pytest.mark.parametrize(
    ("inputs", "why"),
    [
        ({"to": (2, "mg/L")}, "volume"),
        ({"volume": (100, "L"), "to": (0, "mg/L")}, "no treatment"),
        ({"volume": (100, "L"), "to": (-2, "mg/L")}, "cannot be"),
        ({"volume": (100, "L"), "to": (2, "mg/L"), "from_": (3, "mg/L")}, "nothing is to be added"),
        ({"volume": (100, "L"), "to": (2, "mg/L"), "strength": (0, "g/L")}, "holds nothing"),
        ({"volume": (100, "L"), "to": (2, "mg/L"), "change": (150, "%")}, "cannot be"),
        ({"volume": (100, "L"), "to": (2, "mg/L"), "change": (150, "L")}, "cannot be"),
        ({"volume": (100, "L"), "to": (2, "degF")}, "concentration"),
        ({"volume": (100, "L"), "to": (2, "mg/L"), "ask": "redose"}, "how much water"),
        ({"from_": (4, "mg/L"), "to": (5, "mg/L"), "half_life": (3, "h"), "ask": "time"}, "does not fall"),
        ({"volume": (100, "L"), "added": (5, "mL"), "ask": "end"}, "how strong"),
        ({"ask": "end"}, "from what level"),
    ],
)
def test_what_cannot_be_worked_out_is_refused_with_the_reason(inputs, why):
    assert why in refused("treatment", **inputs).lower()
