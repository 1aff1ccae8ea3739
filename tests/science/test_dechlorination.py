"""Neutralisers: ratios from the reactions, amounts and their way back, what chloramine leaves, and what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from molmass import Formula

from bot.facts.load import table
from tests.science.asking import first, refused, value, worked

few = settings(max_examples=25, deadline=None)
MOLES_PER_CL2 = {
    "sodium thiosulfate pentahydrate": 2, "sodium thiosulfate anhydrous": 2, "ascorbic acid": 1,
    "sodium ascorbate": 1, "sodium sulfite": 1, "sodium bisulfite": 1, "sodium metabisulfite": 0.5,
}  # fmt: skip
OTHER_ENDS = {3.5: 1, 0.875: 0.25}


@pytest.mark.outside("dechlorination", "molmass (IUPAC atomic weights)")
@pytest.mark.parametrize("name", MOLES_PER_CL2)
def test_the_ratio_follows_from_the_reaction(name):
    formula = table("substances")[name]["formula"]
    expected = MOLES_PER_CL2[name] * Formula(formula).mass / Formula("Cl2").mass
    assert table("neutralisers")[name]["ratio"] == pytest.approx(expected, rel=1e-3)


def test_the_further_ends_of_thiosulfate_follow_from_their_reactions():
    molar = Formula(table("substances")["sodium thiosulfate pentahydrate"]["formula"]).mass
    listed = {each["ratio"] for each in table("neutralisers")["sodium thiosulfate pentahydrate"]["other"]}
    for ratio, moles in OTHER_ENDS.items():
        assert ratio in listed
        assert ratio == pytest.approx(moles * molar / Formula("Cl2").mass, rel=1e-3)


@pytest.mark.outside("dechlorination", "molmass (IUPAC atomic weights)")
def test_the_nitrogen_of_chloramine_follows_from_the_formulas():
    assert table("neutralisers")["chloramine"]["nitrogen"] == pytest.approx(
        Formula("N").mass / Formula("Cl2").mass, rel=1e-4
    )


@few
@given(volume=st.floats(1, 5000), chlorine=st.floats(0.1, 500), name=st.sampled_from(sorted(MOLES_PER_CL2)))
def test_the_amount_can_take_the_chlorine_it_was_worked_out_for(volume, chlorine, name):
    grams = first("dechlorination", volume=(volume, "L"), chlorine=(chlorine, "mg/L"), chemical=name)
    taken = first("dechlorination", volume=(volume, "L"), added=(grams, "g"), chemical=name, ask="chlorine")
    assert taken == pytest.approx(chlorine)


@few
@given(volume=st.floats(1, 5000), chlorine=st.floats(0.1, 500))
def test_more_water_or_more_chlorine_takes_more(volume, chlorine):
    def grams(water=1.0, residual=1.0):
        return first("dechlorination", volume=(volume * water, "L"), chlorine=(chlorine * residual, "mg/L"))

    assert grams(water=2) == pytest.approx(2 * grams())
    assert grams(residual=1.1) > grams()


@few
@given(gallons=st.floats(1, 1000))
def test_gallons_and_litres_take_the_same(gallons):
    us = first("dechlorination", volume=(gallons, "gal"), chlorine=(2, "mg/L"))
    assert us == pytest.approx(first("dechlorination", volume=(gallons * 3.785411784, "L"), chlorine=(2, "mg/L")))


def test_seven_to_one_is_the_default_and_the_disagreement_is_named():
    answer = worked("dechlorination", volume=(20, "L"), chlorine=(200, "mg/L"))
    assert value(answer, "sodium thiosulfate pentahydrate", "g") == pytest.approx(28)
    assert any("1.9" in words and "hydrate not stated" in words for words in answer.assumed)


def test_chloramine_leaves_ammonia_beside_the_amount():
    answer = worked("dechlorination", volume=(100, "gal"), chlorine=(2, "mg/L"), form="chloramine")
    assert value(answer, "ammonia left, as N", "mg/L") == pytest.approx(0.395, rel=1e-2)
    assert any("Chloramine leaves ammonia" in words for words in answer.cautions)


def test_a_label_rule_is_taken_as_it_stands():
    answer = worked("dechlorination", volume=(45, "gal"), strength=(5, "mL"), strength_per=(10, "gal"))
    assert value(answer, "neutraliser", "mL") == pytest.approx(22.5)


def test_sulfites_warn_of_sulfur_dioxide():
    answer = worked("dechlorination", volume=(10, "L"), chlorine=(1, "mg/L"), chemical="sodium sulfite")
    assert any("sulfur dioxide" in words for words in answer.cautions)


@pytest.mark.parametrize(
    ("inputs", "why"),
    [
        ({"chlorine": (2, "mg/L")}, "volume"),
        ({"volume": (100, "L")}, "how much chlorine"),
        ({"volume": (100, "L"), "chlorine": (0, "mg/L")}, "nothing to work out"),
        ({"volume": (100, "L"), "chlorine": (-1, "mg/L")}, "cannot be"),
        ({"volume": (100, "L"), "chlorine": (2, "L")}, "concentration"),
        ({"volume": (100, "L"), "chlorine": (2, "mg/L"), "chemical": "baking soda"}, "does not neutralise"),
        ({"volume": (100, "L"), "chlorine": (2, "mg/L"), "ratio": (0, "")}, "ratio"),
        ({"volume": (100, "L"), "added": (5, "mL"), "ask": "chlorine"}, "how strong"),
        ({"volume": (100, "L"), "ask": "chlorine"}, "how much neutraliser"),
        ({"volume": (1e40, "L"), "chlorine": (2, "mg/L")}, "cannot be"),
    ],
)
def test_what_cannot_be_neutralised_is_refused_with_the_reason(inputs, why):
    assert why in refused("dechlorination", **inputs).lower()
