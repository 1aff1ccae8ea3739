"""Topic oxygen: mg/L at saturation, per cent saturation of a reading, mg/L of a per cent."""

from __future__ import annotations

from collections.abc import Callable
from math import exp, log

from bot.facts.load import table
from bot.items import Quantity
from bot.science.answers import figures_in, n, working
from bot.science.density import sea_density_kg_L
from bot.science.inputs import Asked, Unanswerable, amount, ask, converted, given, measures, reading, words
from bot.science.kinds import salinity_or_fresh
from bot.science.possible import possible
from bot.science.water import temperature_C
from bot.science.working import Figure, Working

_HOTTEST_C = 40.0
_KPA_PER_ATM = 101.325


def oxygen_at_saturation_umol_kg(temp_C: float, salinity_PSU: float) -> float:
    """Oxygen in equilibrium with moist air at 1 atm, umol/kg.

    temp_C         0 to 40
    salinity_PSU   0 to 42
    Source         Garcia_Gordon_1992, coefficients on the Benson & Krause data
    Checked        fixtures/calc/oxygen.jsonl and gsw.O2sol_SP_pt
    """
    y = log((298.15 - temp_C) / (273.15 + temp_C))
    fresh = 5.80871 + y * (3.20291 + y * (4.17887 + y * (5.10006 + y * (-0.0986643 + y * 3.80369))))
    salt = -0.00701577 + y * (-0.00770028 + y * (-0.0113864 - y * 0.00951519))
    return exp(fresh + salinity_PSU * salt - 2.75915e-7 * salinity_PSU**2)


def oxygen_at_saturation_mg_L(temp_C: float, salinity_PSU: float, pressure_kPa: float) -> float:
    """Oxygen at 100 % saturation, mg/L, at the local air pressure; ranges and source as above."""
    molar_mass = table("gases")["oxygen"]["molar_mass"]["value"]
    at_1_atm = oxygen_at_saturation_umol_kg(temp_C, salinity_PSU) * sea_density_kg_L(salinity_PSU, temp_C)
    return float(at_1_atm * molar_mass / 1000 * pressure_factor(temp_C, pressure_kPa))


def pressure_factor(temp_C: float, pressure_kPa: float) -> float:
    """What air pressure makes of the saturation at 1 atm, a bare number; source Benson_Krause_1984."""
    pressure, kelvin = pressure_kPa / _KPA_PER_ATM, temp_C + 273.15
    vapour = exp(11.8571 - 3840.70 / kelvin - 216961 / kelvin**2)
    theta = 0.000975 - 1.426e-5 * temp_C + 6.436e-8 * temp_C**2
    return pressure * (1 - vapour / pressure) * (1 - theta * pressure) / ((1 - vapour) * (1 - theta))


def pressure_at_altitude_kPa(altitude_m: float) -> float:
    """Usual air pressure at a height above the sea, kPa; -500 to 11 000 m; source ISO_2533."""
    return float(_KPA_PER_ATM * (1 - 2.25577e-5 * altitude_m) ** 5.25588)


def oxygen(asked: Asked) -> Working:
    """Saturation in mg/L, per cent of a reading in mg/L, or mg/L of a reading in per cent."""
    return _ANSWERS[_wanted(asked)](asked)


def _wanted(asked: Asked) -> str:
    said = given(asked, "oxygen")
    if said is None:
        return ask(asked) if ask(asked) == "percent" else "saturation"
    return "oxygen" if said.unit == "%" else "percent"


def _saturation(asked: Asked) -> Working:
    full, step = _full_mg_L(asked)
    return _answer(asked, figures_in(asked, "oxygen at saturation", full, "mg/L", "mg/L"), (step,))


def _percent(asked: Asked) -> Working:
    measured = amount(asked, "oxygen", "mg/L")
    measured = reading(asked, "oxygen", "mg/L") if measured is None else measured
    if measured is None:
        raise Unanswerable("How much oxygen was measured? Send it in mg/L.")
    possible("oxygen", measured, "mg/L", "oxygen")
    full, step = _full_mg_L(asked)
    percent = Figure("saturation", measured / full * 100, "%")
    at_full = Figure("oxygen at saturation", full, "mg/L")
    return _answer(asked, (percent, at_full), (step, f"{n(measured)} / {n(full)} = {n(percent.value)} %"))


def _oxygen(asked: Asked) -> Working:
    said = given(asked, "oxygen")
    percent = possible("oxygen", said.value if said is not None else 0.0, "%", "oxygen")
    full, step = _full_mg_L(asked)
    mg_L = full * percent / 100
    figures = (*figures_in(asked, "oxygen", mg_L, "mg/L", "mg/L"), Figure("oxygen at saturation", full, "mg/L"))
    return _answer(asked, figures, (step, f"{n(percent)} % of {n(full)} = {n(mg_L)} mg/L"))


_ANSWERS: dict[str, Callable[[Asked], Working]] = {
    "saturation": _saturation, "percent": _percent, "oxygen": _oxygen,
}  # fmt: skip


def _full_mg_L(asked: Asked) -> tuple[float, str]:
    temp_C, pressure = _temp_C(asked), _pressure_kPa(asked)
    salinity = salinity_or_fresh(asked, "sea water of 35 ppt holds about a fifth less")
    full = oxygen_at_saturation_mg_L(temp_C, salinity, pressure)
    return full, f"{n(temp_C)} °C, {n(salinity)} ppt, {n(pressure)} kPa: {n(full)} mg/L at 100 %"


def _temp_C(asked: Asked) -> float:
    if given(asked, "temperature") is None and "temperature" not in asked.known.readings:
        raise Unanswerable("How warm is the water? Send its temperature, such as 78 F.")
    temp_C = temperature_C(asked)
    if not 0 <= temp_C <= _HOTTEST_C:
        raise Unanswerable(
            f"{n(temp_C)} °C is outside 0 to 40 °C, where the formula holds: send the temperature again."
        )
    return temp_C


def _pressure_kPa(asked: Asked) -> float:
    said, height = amount(asked, "pressure", "kPa"), given(asked, "altitude")
    if said is not None:
        return said
    if height is not None:
        return _at_height_kPa(asked, height)
    if asked.known.pressure_kPa is not None:
        asked.assume(f"air pressure {n(asked.known.pressure_kPa)} kPa, on record")
        return asked.known.pressure_kPa
    asked.assume("air pressure of sea level, 101.325 kPa: 1 % less oxygen for every 90 m (300 ft) up")
    return _KPA_PER_ATM


def _at_height_kPa(asked: Asked, said: Quantity) -> float:
    if measures(said.unit) != "length":
        raise Unanswerable(f"Altitude was given as {words(said)}: send it in m or ft.")
    height_m = converted(said.value, said.unit, "m")
    if not -500 <= height_m <= 9000:
        raise Unanswerable(f"No tank stands at {words(said)}: send the altitude again, in m or ft.")
    asked.assume(f"usual air pressure for {n(height_m)} m, {n(pressure_at_altitude_kPa(height_m))} kPa")
    return pressure_at_altitude_kPa(height_m)


def _answer(asked: Asked, figures: tuple[Figure, ...], steps: tuple[str, ...]) -> Working:
    height = ("ISO_2533",) if given(asked, "altitude") is not None else ()
    sources = ("Garcia_Gordon_1992", "EOS80", *(("Benson_Krause_1984",) if _off_sea_level(asked) else ()), *height)
    return working(asked, figures, steps, ("oxygen_local",), sources)


def _off_sea_level(asked: Asked) -> bool:
    local = given(asked, "pressure") or given(asked, "altitude") or asked.known.pressure_kPa
    return local is not None
