"""Density, specific gravity and conductivity beside the reference library of the oceanographers, and there and back."""

import gsw
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.science.density import sea_density_kg_L, water_density_kg_L
from bot.science.salinity import (
    conductivity_from_salinity,
    salinity_from_conductivity,
    salinity_from_hydrometer,
    salinity_from_salt,
    salinity_from_salt_g_L,
    salinity_from_sg,
    salt_g_kg,
    salt_g_L,
    sg_from_salinity,
)

REFERENCES = ["20/20", "25/25", "60F/60F", "15/4", "25/4"]
SALINITIES = st.floats(0, 42)
TEMPERATURES = st.floats(4, 35)


def teos10_density_kg_L(salinity_PSU: float, temp_C: float) -> float:
    return float(gsw.rho_t_exact(gsw.SR_from_SP(salinity_PSU), temp_C, 0)) / 1000


@pytest.mark.outside("convert", "gsw (TEOS-10)")
@pytest.mark.parametrize("salinity", [0, 10, 25, 35, 40])
@pytest.mark.parametrize("temp", [4, 15, 25])
def test_density_agrees_with_teos_10(salinity, temp):
    assert sea_density_kg_L(salinity, temp) == pytest.approx(teos10_density_kg_L(salinity, temp), abs=6e-6)


@pytest.mark.outside("convert", "gsw (TEOS-10)")
@pytest.mark.parametrize(("mS_cm", "temp"), [(0.3, 25), (1.5, 20), (5, 28), (20, 25), (45, 22), (55, 28)])
def test_salinity_from_conductivity_agrees_with_teos_10(mS_cm, temp):
    assert salinity_from_conductivity(mS_cm, temp) == pytest.approx(float(gsw.SP_from_C(mS_cm, temp, 0)), abs=3e-4)


def test_absolute_salinity_agrees_with_teos_10():
    assert salt_g_kg(35) == pytest.approx(float(gsw.SR_from_SP(35)), abs=1e-9)


@given(SALINITIES)
def test_absolute_salinity_turns_back(salinity):
    assert salinity_from_salt(salt_g_kg(salinity)) == pytest.approx(salinity)


@settings(max_examples=25)
@given(st.floats(0.5, 42), st.sampled_from(REFERENCES))
def test_specific_gravity_turns_back_into_its_salinity(salinity, reference):
    assert salinity_from_sg(sg_from_salinity(salinity, reference), reference) == pytest.approx(salinity, abs=1e-6)


@settings(max_examples=25)
@given(st.floats(2.1, 42), TEMPERATURES)
def test_conductivity_turns_back_into_its_salinity(salinity, temp):
    shown = conductivity_from_salinity(salinity, temp)
    assert shown is not None
    assert salinity_from_conductivity(shown, temp) == pytest.approx(salinity, abs=1e-6)


@settings(max_examples=25)
@given(SALINITIES, TEMPERATURES)
def test_salt_in_a_litre_turns_back_into_its_salinity(salinity, temp):
    assert salinity_from_salt_g_L(salt_g_L(salinity, temp), temp) == pytest.approx(salinity, abs=1e-6)


@given(st.floats(0, 41), TEMPERATURES)
def test_saltier_water_is_denser(salinity, temp):
    assert sea_density_kg_L(salinity + 1, temp) > sea_density_kg_L(salinity, temp)


@given(SALINITIES, st.floats(5, 34))
def test_warmer_water_is_lighter(salinity, temp):
    assert sea_density_kg_L(salinity, temp + 1) < sea_density_kg_L(salinity, temp)


def test_a_hydrometer_read_at_its_own_temperature_needs_no_correction():
    assert salinity_from_hydrometer(1.025, 20, "20/20") == pytest.approx(salinity_from_sg(1.025, "20/20"), abs=1e-6)


def test_a_hydrometer_in_warm_water_reads_too_low():
    corrected, uncorrected = salinity_from_hydrometer(1.024, 26, "60F/60F"), salinity_from_sg(1.024, "60F/60F")
    assert corrected is not None
    assert uncorrected is not None
    assert corrected > uncorrected + 2.5


def test_a_reading_a_hair_under_fresh_counts_as_fresh_and_one_far_under_as_nothing():
    assert salinity_from_sg(0.9995, "20/20") == pytest.approx(0, abs=1e-9)
    assert salinity_from_sg(0.98, "20/20") is None


def test_pure_water_is_the_end_of_the_sea_water_formula():
    assert sea_density_kg_L(0, 20) == water_density_kg_L(20)
