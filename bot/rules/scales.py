"""Readings on one scale a parameter, so that "1.025", "33 ppt" and "53 mS/cm" can be compared."""

from __future__ import annotations

from functools import lru_cache
from math import inf

from bot.facts.load import table
from bot.items import Quantity, Reading
from bot.science.alkalinity import alkalinity_meq_L, from_meq_L
from bot.science.inputs import Unanswerable, converted, measures
from bot.science.salinity import (
    conductivity_from_salinity,
    salinity_from_conductivity,
    salinity_from_sg,
    sg_from_salinity,
)

SCALE = {
    "temperature": "degC", "salinity": "ppt", "ph": "pH", "alkalinity": "dKH", "hardness": "dGH", "orp": "mV",
    "conductivity": "uS/cm",
}  # fmt: skip
_DEGREES = ("alkalinity", "hardness")
_COMPENSATED_TO_C = 25.0


def scale(parameter: str) -> str:
    """The unit in which values of a parameter are compared; mg/L for every concentration."""
    return SCALE.get(parameter, "mg/L")


@lru_cache(maxsize=4096)
def on_scale(parameter: str, value: float, unit: str, reference: str = "20/20") -> float | None:
    """The value in the parameter's own unit; None where the two cannot be compared (oxygen in % and in mg/L).

    reference   what a specific gravity is set for: a key of facts/instruments.toml
    """
    goal = scale(parameter)
    if unit in (goal, "PSU"):
        return value
    try:
        if parameter in _DEGREES:
            return from_meq_L(alkalinity_meq_L(Quantity(value, unit)), goal)
        if parameter == "salinity":
            return _salinity(value, unit, reference)
        return converted(value, unit, goal) if measures(unit) == measures(goal) else None
    except (Unanswerable, KeyError):
        return None


def as_read(parameter: str, value: float, unit: str, basis: str | None = None) -> float:
    """A value on the parameter's scale as somebody reads it who uses that unit and basis ("N", "P")."""
    return off_scale(parameter, value / _ion(parameter, basis), unit)


def off_scale(parameter: str, value: float, unit: str, reference: str = "20/20") -> float:
    """A value of the parameter's own unit in another one; the opposite of `on_scale`."""
    if unit in (scale(parameter), "PSU"):
        return value
    if parameter in _DEGREES:
        return from_meq_L(alkalinity_meq_L(Quantity(value, scale(parameter))), unit)
    if unit == "SG":
        return sg_from_salinity(value, reference)
    if parameter == "salinity":
        mS_cm = conductivity_from_salinity(value, _COMPENSATED_TO_C) or inf
        return converted(mS_cm, "mS/cm", unit)
    return converted(value, scale(parameter), unit)


def worse_ends(reading: Reading) -> tuple[float, float] | None:
    """The value to hold against a lower and against an upper limit, on the parameter's scale: the two ends of a range;
    of "<0.25" and ">80" only what is certain (under 0.25, over 80), and "off the chart" is over every limit; else the
    value twice.
    """
    if reading.beyond:
        return (inf, inf)
    ends = (reading.value, reading.value)
    if reading.low is not None and reading.high is not None:
        ends = (reading.low, reading.high)
    low, high = (_value(reading, end) for end in ends)
    if low is None or high is None:
        return None
    return (inf if reading.above else low, -inf if reading.below else high)


def middle(reading: Reading) -> float | None:
    """The reading as one number on the parameter's scale: "<0.25" is half of it, ">80" the 80; None off the chart."""
    if reading.beyond:
        return None
    value = _value(reading, reading.value)
    return value / 2 if value is not None and reading.below else value


def level_of(reading: Reading) -> float:
    """The same as a level to be held against a limit: infinite off the chart, 0 where nothing can be compared."""
    return inf if reading.beyond else middle(reading) or 0.0


def _value(reading: Reading, value: float) -> float | None:
    found = on_scale(reading.parameter, value, reading.unit)
    return found * _ion(reading.parameter, reading.basis) if found is not None else None


def _ion(parameter: str, basis: str | None) -> float:
    """Milligrams of the ion for one of the element that a reading is given as."""
    row = table("judging")["ion"].get(parameter) if basis in ("N", "P") else None
    return float(row["value"]) if row else 1.0


def _salinity(value: float, unit: str, reference: str) -> float | None:
    if unit == "SG":
        return salinity_from_sg(value, reference)
    if measures(unit) == "conductivity":
        return salinity_from_conductivity(converted(value, unit, "mS/cm"), _COMPENSATED_TO_C)
    return value if measures(unit) == "salinity" else None
