"""Doses: masses from the atomic weights, their way back, the days they are spread over, and what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from molmass import Formula

from bot.facts.load import table
from bot.items import Quantity
from bot.science.working import Known
from tests.science.asking import first, refused, value, worked

IONS = {
    "calcium": "Ca", "magnesium": "Mg", "potassium": "K", "strontium": "Sr", "iodine": "I", "chloride": "Cl",
    "nitrate": "NO3", "phosphate": "PO4", "ammonia": "N", "copper": "Cu",
}  # fmt: skip
ATOMS_TWICE = {("potassium carbonate", "potassium"), ("potassium sulfate", "potassium")}
EQUIVALENTS = {
    "sodium bicarbonate": 1, "sodium carbonate": 2, "potassium bicarbonate": 1, "potassium carbonate": 2,
    "calcium hydroxide": 2, "sodium hydroxide": 1,
}  # fmt: skip
BROUGHT = [
    (name, entry["formula"], raised)
    for name, entry in table("substances").items()
    for raised in entry.get("raises", [])
]
litres = st.floats(5, 5000)
few = settings(max_examples=25, deadline=None)


@pytest.mark.outside("dose", "molmass (IUPAC atomic weights)")
@pytest.mark.parametrize(("name", "formula", "raised"), BROUGHT, ids=[f"{n}: {r['parameter']}" for n, _, r in BROUGHT])
def test_what_a_gram_brings_follows_from_the_formula(name, formula, raised):
    molar = Formula(formula).mass
    if raised["parameter"] == "alkalinity":
        expected = 1000 * EQUIVALENTS[name] / molar
    elif raised["parameter"] == "hardness":
        expected = 1000 / molar
    else:
        atoms = 2 if (name, raised["parameter"]) in ATOMS_TWICE else 1
        expected = atoms * Formula(IONS[raised["parameter"]]).mass / molar
    assert raised["value"] == pytest.approx(expected, rel=1e-6)


@few
@given(volume=litres, rise=st.floats(0.1, 5))
def test_a_dose_put_in_raises_by_what_was_asked(volume, rise):
    grams = first("dose", volume=(volume, "L"), change=(rise, "dKH"), chemical="sodium carbonate")
    back = first("dose", volume=(volume, "L"), added=(grams, "g"), chemical="sodium carbonate", ask="change")
    assert back == pytest.approx(rise)


@few
@given(volume=litres, rise=st.floats(1, 100))
def test_more_water_or_a_larger_rise_takes_more(volume, rise):
    def grams(more_water=1.0, more_rise=1.0):
        return first("dose", volume=(volume * more_water, "L"), change=(rise * more_rise, "mg/L"), parameter="calcium")

    assert grams(more_water=2) == pytest.approx(2 * grams())
    assert grams(more_rise=1.5) > grams()


@few
@given(gallons=st.floats(1, 1000), rise=st.floats(0.1, 4))
def test_gallons_and_litres_of_one_volume_take_the_same(gallons, rise):
    us = first("dose", volume=(gallons, "gal"), change=(rise, "dKH"), chemical="baking soda")
    metric = first("dose", volume=(gallons * 3.785411784, "L"), change=(rise * 0.3566499, "meq/L"), chemical="bicarb")
    assert us == pytest.approx(metric, rel=1e-6)


def test_a_bare_calcium_chloride_is_taken_as_dihydrate_and_says_so():
    answer = worked("dose", volume=(400, "L"), change=(40, "mg/L"), chemical="calcium chloride")
    assert value(answer, "amount", "g") == pytest.approx(58.6913, rel=1e-3)
    assert any("dihydrate" in words and "anhydrous" in words for words in answer.assumed)


def test_a_chemical_that_was_not_named_is_assumed_aloud():
    answer = worked("dose", volume=(100, "L"), parameter="magnesium", change=(30, "mg/L"))
    assert any("magnesium chloride hexahydrate" in words for words in answer.assumed)


def test_a_large_rise_is_spread_over_days_with_the_part_of_each_day():
    answer = worked("dose", volume=(100, "L"), change=(3, "dKH"), chemical="baking soda")
    assert value(answer, "days", "day") == 3
    assert value(answer, "amount a day", "g") == pytest.approx(answer.figures[0].value / 3)


def test_the_tanks_own_limit_goes_before_the_customary_one():
    known = Known(most_per_day={"alkalinity": Quantity(0.5, "dKH")})
    answer = worked("dose", known, volume=(100, "L"), change=(3, "dKH"), chemical="baking soda")
    assert value(answer, "days", "day") == 6


def test_soft_water_takes_hardness_more_slowly():
    plain = worked("dose", volume=(100, "L"), parameter="hardness", change=(4, "dGH"))
    soft = worked("dose", Known(tank_kind="soft water"), volume=(100, "L"), parameter="hardness", change=(4, "dGH"))
    assert value(soft, "days", "day") == 2 * value(plain, "days", "day")


def test_the_tank_in_hand_gives_volume_reading_and_target_and_each_is_named():
    known = Known(
        tank="Fern hall", volume_L=300, readings={"alkalinity": Quantity(7, "dKH")},
        targets={"alkalinity": Quantity(8, "dKH")},
    )  # fmt: skip
    answer = worked("dose", known, parameter="alkalinity", chemical="baking soda")
    assert answer.figures[0].value == pytest.approx(8.988, rel=1e-3)
    assert sum("Fern hall" in words for words in answer.assumed) == 3


@pytest.mark.parametrize("parameter", ["alkalinity", "calcium"])
def test_calcium_and_alkalinity_are_kept_apart(parameter):
    answer = worked(
        "dose", volume=(100, "L"), parameter=parameter, change=(1, "dKH" if parameter == "alkalinity" else "mg/L")
    )
    assert any("30 min" in words for words in answer.cautions)


@pytest.mark.parametrize("chemical", ["kalkwasser", "sodium hydroxide"])
def test_a_caustic_chemical_asks_for_gloves_and_goggles(chemical):
    answer = worked("dose", volume=(100, "L"), change=(1, "dKH"), parameter="alkalinity", chemical=chemical)
    assert any("goggles" in words for words in answer.cautions)


@pytest.mark.parametrize(
    ("inputs", "why"),
    [
        ({"change": (1, "dKH"), "chemical": "baking soda"}, "volume"),
        ({"volume": (100, "L"), "chemical": "baking soda"}, "alkalinity"),
        ({"volume": (100, "L"), "from_": (9, "dKH"), "to": (7, "dKH"), "chemical": "baking soda"}, "water change"),
        ({"volume": (100, "L"), "from_": (9, "dKH"), "to": (9, "dKH"), "chemical": "baking soda"}, "already"),
        ({"volume": (9, "L"), "change": (1, "dKH"), "parameter": "alkalinity", "chemical": "epsom"}, "does not raise"),
        ({"volume": (9, "L"), "change": (1, "dKH"), "chemical": "moon dust"}, "not a chemical"),
        ({"volume": (-4, "L"), "change": (1, "dKH"), "chemical": "baking soda"}, "cannot be"),
        ({"volume": (0, "L"), "change": (1, "dKH"), "chemical": "baking soda"}, "cannot be"),
        ({"volume": (1e30, "L"), "change": (1, "dKH"), "chemical": "baking soda"}, "cannot be"),
        ({"volume": (5, "kg"), "change": (1, "dKH"), "chemical": "baking soda"}, "volume"),
        ({"volume": (100, "L"), "change": (-1, "dKH"), "chemical": "baking soda"}, "cannot be"),
        ({"volume": (100, "L"), "from_": (400, "mg/L"), "to": (4200, "mg/L"), "parameter": "calcium"}, "cannot be"),
        ({"volume": (100, "L"), "from_": (8, "dKH"), "to": (85, "dKH"), "parameter": "alkalinity"}, "cannot be"),
        ({"volume": (100, "L"), "change": (1, "degF"), "chemical": "baking soda"}, "degF"),
        ({"volume": (100, "L"), "change": (1, "mg/L"), "parameter": "copper"}, "treatment"),
        ({"volume": (100, "L"), "change": (1, "mg/L"), "parameter": "iodine"}, "what chemical"),
        ({"volume": (100, "L"), "parameter": "ph", "change": (0.2, "pH")}, "ph"),
        ({"volume": (100, "L"), "change": (1, "dKH"), "chemical": "baking soda", "strength": (0, "%")}, "strength"),
    ],
)  # fmt: skip
def test_what_cannot_be_dosed_is_refused_with_the_reason(inputs, why):
    assert why in refused("dose", **inputs).lower() or why in refused("dose", **inputs)
