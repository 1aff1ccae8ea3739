"""Salinity and what shows it: specific gravity, glass hydrometer, conductivity; practical and absolute."""

from __future__ import annotations

from math import sqrt

from bot.facts.load import table
from bot.science.density import sea_density_kg_L, water_density_kg_L
from bot.science.solving import solved

HIGHEST_PSU = 60.0
_GRAMS_PER_KG_AT_35 = 35.16504


def salt_g_kg(salinity_PSU: float) -> float:
    """Salt in a kilogram of sea water, g/kg, of standard composition; source TEOS10, reference salinity."""
    return salinity_PSU * _GRAMS_PER_KG_AT_35 / 35


def salinity_from_salt(salt_g_kg: float) -> float:
    """Practical salinity of water with so many grams of sea salt in a kilogram; source TEOS10."""
    return salt_g_kg * 35 / _GRAMS_PER_KG_AT_35


def salt_g_L(salinity_PSU: float, temp_C: float) -> float:
    """Salt in a litre of sea water, g/L: density times absolute salinity."""
    return sea_density_kg_L(salinity_PSU, temp_C) * salt_g_kg(salinity_PSU)


def salinity_from_salt_g_L(salt_in_L: float, temp_C: float) -> float | None:
    """Practical salinity of water with so many grams of sea salt in a litre; None above 60."""
    return solved(lambda psu: salt_g_L(psu, temp_C), salt_in_L, 0, HIGHEST_PSU)


def sg_from_salinity(salinity_PSU: float, reference: str) -> float:
    """Specific gravity that an instrument of this reference shows, a bare number.

    salinity_PSU    0 to 42
    reference       a key of facts/instruments.toml: 20/20, 25/25, 60F/60F, 15/4, 25/4
    Source          ratio of two densities of EOS80
    """
    at = _reference(reference)
    return sea_density_kg_L(salinity_PSU, at["sample_C"]) / water_density_kg_L(at["water_C"])


def salinity_from_sg(sg: float, reference: str) -> float | None:
    """Practical salinity that a specific gravity stands for; None where no water of 0 to 60 has it."""
    return solved(lambda psu: sg_from_salinity(psu, reference), _not_below_fresh(sg, reference), 0, HIGHEST_PSU)


def salinity_from_hydrometer(reading: float, temp_C: float, reference: str, glass: str = "soda_lime") -> float | None:
    """Practical salinity from a glass hydrometer read in water of temp_C; None where no water of 0 to 60 has it.

    reading     as printed on the stem, set for `reference`
    glass       a key of facts/instruments.toml; its swelling makes the float displace more when warm
    Source      EOS80 density, expansion of glass; checked against a published correction table
    """
    at = _reference(reference)
    expansion = float(table("instruments")["glass"][glass]["expansion_per_K"])
    shrunk = 1 - expansion * (temp_C - at["sample_C"])
    density = reading * water_density_kg_L(at["water_C"]) * shrunk
    fresh = water_density_kg_L(temp_C)
    return solved(lambda psu: sea_density_kg_L(psu, temp_C), _at_least(density, fresh), 0, HIGHEST_PSU)


def salinity_from_conductivity(conductivity_mS_cm: float, temp_C: float) -> float:
    """Practical salinity from conductivity at temp_C (25 for a reading compensated to 25 °C), at the surface.

    conductivity_mS_cm  above 0
    temp_C              -2 to 35 °C
    Source              PSS78; below about 2 with the extension of HILL86
    Checked             tests/science/test_salinity.py, against TEOS-10
    """
    t = temp_C * 1.00024
    ratio = conductivity_mS_cm / 42.914 / _ratio_at(t)
    salinity = _on_pss78(ratio, t)
    return salinity if salinity >= 2 else max(salinity - _fresh_end(ratio, t), 0.0)


def conductivity_from_salinity(salinity_PSU: float, temp_C: float) -> float | None:
    """Conductivity at temp_C in mS/cm; None above what 60 PSU conducts."""
    return solved(lambda mS_cm: salinity_from_conductivity(mS_cm, temp_C), salinity_PSU, 1e-9, 120)


def _on_pss78(ratio: float, t: float) -> float:
    x = sqrt(ratio)
    at_15 = 0.0080 + x * (-0.1692 + x * (25.3851 + x * (14.0941 + x * (-7.0261 + x * 2.7081))))
    warm = 0.0005 + x * (-0.0056 + x * (-0.0066 + x * (-0.0375 + x * (0.0636 - x * 0.0144))))
    return at_15 + _from_15(t) * warm


def _fresh_end(ratio: float, t: float) -> float:
    x, y = 400 * ratio, 100 * ratio
    return 0.008 / (1 + 1.5 * x + x * x) + 0.0005 * _from_15(t) / (1 + sqrt(y) + y + y * sqrt(y))


def _from_15(t: float) -> float:
    return (t - 15) / (1 + 0.0162 * (t - 15))


def _ratio_at(t: float) -> float:
    return 0.6766097 + t * (2.00564e-2 + t * (1.104259e-4 + t * (-6.9698e-7 + t * 1.0031e-9)))


def _not_below_fresh(sg: float, reference: str) -> float:
    return _at_least(sg, sg_from_salinity(0, reference))


def _at_least(value: float, fresh: float) -> float:
    """A reading a hair under fresh water (a bubble, a rounded 1.000) counts as fresh; further off is refused later."""
    return fresh if fresh * 0.998 <= value < fresh else value


def _reference(name: str) -> dict[str, float]:
    found: dict[str, float] = table("instruments")["reference"][name]
    return found
