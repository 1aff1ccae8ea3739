"""What hypochlorite is worth: available chlorine by each way of printing a strength, and its loss with age."""

from __future__ import annotations

from math import log

from bot.facts.load import table

_GRAMS_PER_L_OF_PERCENT = 10.0


def bleach_density_kg_L(percent_by_weight: float) -> float:
    """Density of bleach, kg/L, from its per cent NaOCl by weight (0 to 16), to 1.5 %; source White_chlorination."""
    line = table("hypochlorite")["density"]
    return float(line["intercept"] + line["slope"] * percent_by_weight)


def available_chlorine_g_L(percent: float, basis: str) -> float:
    """Available chlorine, g/L.

    percent   as printed on the label, above 0
    basis     `w/w` (NaOCl by weight), `w/v` (grams NaOCl in 100 mL) or `trade` (grams available chlorine in 100 mL)
    Source    White_chlorination: NaOCl x 70.906 / 74.442, x 10 x density where it is by weight
    Checked   fixtures/calc/bleach_solution.jsonl
    """
    in_naocl = percent * _GRAMS_PER_L_OF_PERCENT
    if basis == "trade":
        return in_naocl
    per_naocl = table("hypochlorite")["available_chlorine"]["value"]
    return float(in_naocl * per_naocl * (bleach_density_kg_L(percent) if basis == "w/w" else 1))


def product_mL(volume_L: float, target_mg_L: float, product_g_L: float) -> float:
    """Product for a finished volume, mL; source mass_balance."""
    return volume_L * target_mg_L / product_g_L


def solution_mg_L(volume_L: float, added_mL: float, product_g_L: float) -> float:
    """Available chlorine of a finished volume, mg/L; the way back of product_mL."""
    return added_mL * product_g_L / volume_L


def granules_g(volume_L: float, target_mg_L: float, percent: float) -> float:
    """Calcium hypochlorite for a finished volume, g, from its per cent of available chlorine by weight."""
    return volume_L * target_mg_L / 1000 / (percent / 100)


def strength_left(age_days: float, half_life_days: float) -> float:
    """Share of the strength that is left, 0 to 1: second order, 1 / (1 + age / half-life); source Gordon_Adam."""
    return 1 / (1 + age_days / half_life_days)


def half_life_days(percent: float, temp_C: float) -> float:
    """Age at which half the strength is gone, days, from the strength when new and the shelf's temperature.

    percent   NaOCl, above 0
    Source    NLM_bleach for household strength at 24 °C, scaled by Gordon_Adam: a rough figure
    """
    ageing = table("hypochlorite")["ageing"]
    known, warm, strong = ageing["household"], ageing["temperature"], ageing["strength"]
    power = log(strong["factor"]) / log(strong["per"])
    weaker = (known["at_percent"] / percent) ** (power - 1)
    colder = warm["factor"] ** ((known["at_temperature"] - temp_C) / warm["per"])
    return float(known["half_life"] * weaker * colder)
