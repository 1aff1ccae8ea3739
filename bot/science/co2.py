"""Dissolved CO2 from pH and alkalinity in fresh and sea water: plain formulas. The topic is in dissolved_co2.py."""

from __future__ import annotations

from math import exp, log, log10, sqrt

from bot.facts.load import table


def co2_mg_L(ph: float, alkalinity_meq_L: float, temp_C: float, salinity_PSU: float) -> float:
    """Dissolved CO2, mg/L, where all alkalinity is carbonate (and borate, in sea water).

    ph                 as field meters show it
    alkalinity_meq_L   0 and more
    temp_C             0 to 40 in fresh, 2 to 35 in sea water
    salinity_PSU       0, or 19 to 43; between fresh water and 19 interpolated on a logarithmic scale
    Source             Plummer_Busenberg_1982 in fresh, Mehrbach_1973 in sea water
    Checked            fixtures/calc/co2.jsonl: PyCO2SYS, USGS, Tucker's table
    """
    sea_from = table("gases")["co2"]["sea_from"]["value"]
    if salinity_PSU >= sea_from:
        return co2_sea_mg_L(ph, alkalinity_meq_L, temp_C, salinity_PSU)
    fresh = co2_fresh_mg_L(ph, alkalinity_meq_L, temp_C)
    if salinity_PSU == 0 or fresh == 0:
        return fresh
    sea, share = co2_sea_mg_L(ph, alkalinity_meq_L, temp_C, sea_from), sqrt(salinity_PSU / sea_from)
    return exp((1 - share) * log(fresh) + share * log(sea)) if sea > 0 else 0.0


def co2_fresh_mg_L(ph: float, alkalinity_meq_L: float, temp_C: float) -> float:
    """Dissolved CO2 in fresh water, mg/L; source Plummer_Busenberg_1982, ionic strength taken from the alkalinity."""
    active = _activity(alkalinity_meq_L / 1000)
    k1, k2 = 10 ** -pk1_fresh(temp_C) / active, 10 ** -pk2_fresh(temp_C) / active**3
    return _from_carbonate(alkalinity_meq_L, 10**-ph, k1, k2)


def co2_sea_mg_L(ph: float, alkalinity_meq_L: float, temp_C: float, salinity_PSU: float) -> float:
    """Dissolved CO2 in sea water, mg/L; pH on the NBS scale; source Mehrbach_1973, boron from facts/gases.toml."""
    h = 10**-ph
    boron = table("gases")["co2"]["borate"]["value"] * salinity_PSU / 35
    k_boron = 10 ** (-9.26 + 0.00886 * salinity_PSU + 0.01 * temp_C)
    carbonate = alkalinity_meq_L - boron * k_boron / (k_boron + h)
    k1, k2 = 10 ** -pk1_sea(temp_C, salinity_PSU), 10 ** -pk2_sea(temp_C, salinity_PSU)
    return _from_carbonate(max(carbonate, 0.0), h, k1, k2)


def pk1_fresh(temp_C: float) -> float:
    """First constant of carbonic acid in pure water, as pK; 0 to 250 °C; source Plummer_Busenberg_1982."""
    t = temp_C + 273.15
    return 356.3094 + 0.06091964 * t - 21834.37 / t - 126.8339 * log10(t) + 1684915 / t**2


def pk2_fresh(temp_C: float) -> float:
    """Second constant of carbonic acid in pure water, as pK; 0 to 250 °C; source Plummer_Busenberg_1982."""
    t = temp_C + 273.15
    return 107.8871 + 0.03252849 * t - 5151.79 / t - 38.92561 * log10(t) + 563713.9 / t**2


def pk1_sea(temp_C: float, salinity_PSU: float) -> float:
    """First constant of carbonic acid in sea water on the NBS scale, as pK; source Mehrbach_1973."""
    t = temp_C + 273.15
    return -13.7201 + 0.031334 * t + 3235.76 / t + 1.3e-5 * salinity_PSU * t - 0.1032 * sqrt(salinity_PSU)


def pk2_sea(temp_C: float, salinity_PSU: float) -> float:
    """Second constant of carbonic acid in sea water on the NBS scale, as pK; source Mehrbach_1973."""
    t, s = temp_C + 273.15, salinity_PSU
    warm = 5371.9645 + 1.671221 * t - 128375.28 / t - 2194.3055 * log10(t)
    return warm + 0.22913 * s + 18.3802 * log10(s) - 8.0944e-4 * s * t - 5617.11 * log10(s) / t + 2.136 * s / t


def _activity(strength_mol_L: float) -> float:
    """Product of the activities of H+ and HCO3- over that of CO2, as a correction of K1 (Davies)."""
    root = sqrt(strength_mol_L)
    return float(10 ** (-0.509 * (root / (1 + root) - 0.3 * strength_mol_L)))


def _from_carbonate(carbonate_meq_L: float, h: float, k1: float, k2: float) -> float:
    molar_mass = table("gases")["co2"]["molar_mass"]["value"]
    return float(carbonate_meq_L * h * h / (k1 * h + 2 * k1 * k2) * molar_mass)
