"""Density of fresh and sea water at the surface."""

from __future__ import annotations

from math import sqrt


def sea_density_kg_L(salinity_PSU: float, temp_C: float) -> float:
    """Density of sea water at one atmosphere, kg/L.

    salinity_PSU    practical salinity, 0 to 42 (used up to 60, where it is an extrapolation)
    temp_C          -2 to 40 °C on today's scale (turned into the 1968 scale of the equation)
    Source          EOS80, equations 13 and 14
    Checked         tests/science/test_density.py, against TEOS-10 and the published check values
    """
    t = _on_1968_scale(temp_C)
    linear = 0.824493 + t * (-4.0899e-3 + t * (7.6438e-5 + t * (-8.2467e-7 + t * 5.3875e-9)))
    bent = -5.72466e-3 + t * (1.0227e-4 - t * 1.6546e-6)
    salt = linear * salinity_PSU + bent * salinity_PSU * sqrt(salinity_PSU) + 4.8314e-4 * salinity_PSU**2
    return (_pure_kg_m3(t) + salt) / 1000


def water_density_kg_L(temp_C: float) -> float:
    """Density of pure water at one atmosphere, kg/L; range and source as for sea water."""
    return _pure_kg_m3(_on_1968_scale(temp_C)) / 1000


def _pure_kg_m3(t: float) -> float:
    hot = 1.001685e-4 + t * (-1.120083e-6 + t * 6.536332e-9)
    return 999.842594 + t * (6.793952e-2 + t * (-9.095290e-3 + t * hot))


def _on_1968_scale(temp_C: float) -> float:
    return temp_C * 1.00024
