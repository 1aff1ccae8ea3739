"""One quantity in another unit: there and back, beside the units library and the tables of atomic weights."""

import math
from pathlib import Path

import molmass
import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.facts.load import table
from bot.items import Quantity
from bot.science.inputs import converted, measures
from bot.science.working import Known
from tests.science.asking import first, refused, worked

UNITS = table("measures")["unit"]
KNOWN_TO_PINT = [name for name, each in UNITS.items() if "pint" in each]
REGISTRY = pint.UnitRegistry()
FORMULAS = {"NO3": "N", "NO2": "N", "NH3": "N", "NH4": "N", "PO4": "P", "SiO2": "Si"}


@pytest.mark.parametrize("unit", KNOWN_TO_PINT)
def test_each_unit_turns_into_its_like_as_pint_does(unit):
    like = next(each for each in KNOWN_TO_PINT if measures(each) == measures(unit))
    by_pint = REGISTRY.Quantity(7.5, UNITS[unit]["pint"]).to(UNITS[like]["pint"]).magnitude
    assert converted(7.5, unit, like) == pytest.approx(by_pint)


@pytest.mark.parametrize("unit", KNOWN_TO_PINT)
def test_each_unit_turns_back(unit):
    like = next(each for each in KNOWN_TO_PINT if measures(each) == measures(unit))
    assert converted(converted(7.5, unit, like), like, unit) == pytest.approx(7.5)


@pytest.mark.parametrize(("unit", "partner"), table("measures")["partner"].items())
def test_each_customary_partner_can_be_worked_out(unit, partner):
    got = worked("convert", value=(1.02 if unit == "SG" else 20, unit))
    assert got.figures[0].unit == partner
    assert any(partner in each for each in got.assumed)


@pytest.mark.outside("convert", "molmass (IUPAC atomic weights)")
@pytest.mark.parametrize(("form", "element"), FORMULAS.items())
def test_a_reported_form_weighs_what_its_atoms_weigh(form, element):
    weighed = molmass.Formula(form).mass / molmass.Formula(element).mass
    assert table("forms")[form]["value"] == pytest.approx(weighed, rel=1e-6)


@pytest.mark.outside("convert", "molmass (IUPAC atomic weights)")
@pytest.mark.parametrize("ion", ["Ca", "Mg"])
def test_hardness_as_carbonate_weighs_what_its_atoms_weigh(ion):
    weighed = molmass.Formula(ion).mass / molmass.Formula("CaCO3").mass
    assert table("forms")[ion]["value"] == pytest.approx(weighed, rel=1e-6)


def test_the_german_degree_is_ten_milligrams_of_lime():
    lime, carbonate = molmass.Formula("CaO").mass, molmass.Formula("CaCO3").mass
    assert converted(1, "dKH", "mg/L CaCO3") == pytest.approx(10 * carbonate / lime, rel=1e-6)
    assert converted(1, "dKH", "meq/L") == pytest.approx(20 / lime, rel=1e-6)


@pytest.mark.parametrize("form", table("forms"))
def test_each_form_turns_back_from_its_partner(form):
    there = first("convert", value=(3, "mg/L"), form=form)
    assert first("convert", value=(there, "mg/L"), form=table("forms")[form]["partner"], to_form=form) == pytest.approx(
        3
    )


@settings(max_examples=20)
@given(st.floats(1.001, 1.03), st.sampled_from(["20/20", "25/25", "60F/60F"]))
def test_sg_turns_back(sg, reference):
    ppt = first("convert", value=(sg, "SG"), to_unit="ppt", reference=reference)
    assert first("convert", value=(ppt, "ppt"), to_unit="SG", reference=reference) == pytest.approx(sg, abs=1e-7)


@settings(max_examples=20)
@given(st.floats(3, 42))
def test_conductivity_turns_back(ppt):
    shown = first("convert", value=(ppt, "ppt"), to_unit="mS/cm")
    assert first("convert", value=(shown, "mS/cm"), to_unit="ppt") == pytest.approx(ppt, abs=1e-5)


@given(st.floats(-40, 200))
def test_temperature_turns_back_and_rises_with_itself(fahrenheit):
    celsius = first("convert", value=(fahrenheit, "degF"), to_unit="degC")
    assert first("convert", value=(celsius, "degC"), to_unit="degF") == pytest.approx(fahrenheit)
    assert first("convert", value=(fahrenheit + 1, "degF"), to_unit="degC") > celsius


def test_a_difference_of_degrees_is_no_temperature():
    assert first("convert", value=(6, "delta_degF"), to_unit="delta_degC") == pytest.approx(6 / 1.8)
    assert first("convert", value=(6, "degF"), to_unit="degC") == pytest.approx(-26 / 1.8)


def test_more_gives_more_on_every_scale():
    for unit, goal in (("SG", "ppt"), ("mS/cm", "ppt"), ("ppt", "g/L"), ("dKH", "meq/L"), ("gal", "L")):
        small, large = (1.020, 1.026) if unit == "SG" else (20, 30)
        assert first("convert", value=(large, unit), to_unit=goal) > first("convert", value=(small, unit), to_unit=goal)


def test_an_sg_without_its_reference_owns_up_to_it_and_one_on_record_does_not():
    assert any("20/20" in each for each in worked("convert", value=(1.025, "SG"), to_unit="ppt").assumed)
    ours = worked("convert", Known(hydrometer="25C/25C"), value=(1.025, "SG"), to_unit="ppt")
    assert ours.figures[0].value == pytest.approx(33.2, abs=0.05)
    assert not any("20/20" in each for each in ours.assumed)


def test_a_compensated_instrument_is_not_corrected_again():
    plain = first("convert", value=(1.025, "SG"), to_unit="ppt", reference="20/20")
    warm = {"value": (1.025, "SG"), "to_unit": "ppt", "reference": "20/20", "temperature": (82.0, "degF")}
    assert first("convert", compensated="yes", **warm) == pytest.approx(plain)
    assert first("convert", **warm) > plain + 1


def test_raw_conductivity_is_read_at_its_own_temperature():
    raw = first("convert", value=(54, "mS/cm"), to_unit="ppt", compensated="no", temperature=(28, "degC"))
    assert raw == pytest.approx(33.44, abs=0.02)
    assert first("convert", value=(54, "mS/cm"), to_unit="ppt", temperature=(28, "degC")) == pytest.approx(
        35.69, abs=0.02
    )


def test_spoons_become_grams_with_their_mass_named():
    got = worked("convert", value=(2, "tbsp"), to_unit="g", chemical="baking soda")
    assert got.figures[0].value == pytest.approx(6 * 4.6)
    assert any("4.6 g" in each for each in got.assumed)


def test_ounces_of_a_volume_are_fluid_ounces_and_ounces_of_a_powder_are_not():
    fluid = worked("convert", value=(8, "oz"), to_unit="mL")
    assert fluid.figures[0].value == pytest.approx(236.588, abs=0.001)
    assert "fluid ounces" in fluid.assumed
    assert worked("convert", value=(2, "cup"), to_unit="oz").figures[0].unit == "fl oz"
    assert worked("convert", value=(2, "tsp"), to_unit="oz", chemical="baking soda").figures[0].unit == "oz"


def test_grams_become_spoons_again():
    grams = first("convert", value=(2, "tsp"), to_unit="g", chemical="epsom salt")
    assert first("convert", value=(grams, "g"), to_unit="tsp", chemical="epsom salt") == pytest.approx(2)


@pytest.mark.parametrize("value", [math.nan, math.inf, -3])
def test_a_number_that_cannot_be_is_refused(value):
    assert "cannot be" in refused("convert", value=(value, "gal"), to_unit="L")


def test_no_limit_speaks_of_a_unit_that_cannot_be_converted_into_it():
    for kind, limit in table("measures")["limit"].items():
        of_kind = [unit for unit in UNITS if kind in (unit, measures(unit))]
        assert all(isinstance(converted(1.0, unit, limit["unit"]), float) for unit in of_kind), kind


def test_a_quantity_can_be_said_back():
    from bot.science.inputs import words

    assert words(Quantity(2.5, "mg/L")) == "2.5 mg/L"


def test_the_units_library_is_known_to_one_file_only():
    room = Path(__file__).parent.parent.parent / "bot"
    assert [each.name for each in room.rglob("*.py") if "import pint" in each.read_text("utf-8")] == ["inputs.py"]
