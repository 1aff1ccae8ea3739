"""Temperatures and differences of temperature as they are said, and how they are shown again."""

from __future__ import annotations

from bot.items import Quantity
from bot.science.answers import in_units
from bot.science.inputs import Asked, Unanswerable, amount, converted, given, measures, reading, words
from bot.science.working import Figure

_AS_DIFFERENCE = {"degF": "delta_degF", "degC": "delta_degC"}


def degrees(asked: Asked, name: str) -> float | None:
    """A difference of temperature in kelvin: 6F is a difference here, never a temperature; None where none is given."""
    said = given(asked, name)
    if said is None:
        return None
    unit = _AS_DIFFERENCE.get(said.unit, said.unit)
    if measures(unit) != "temperature difference":
        raise Unanswerable(f"{name} was given as {words(said)}, but degrees are needed there, such as 6 F.")
    if not 0 < converted(said.value, unit, "delta_degC") <= 100:
        raise Unanswerable(f"{name} {words(said)} cannot be: send a difference above 0 and below 100 °C.")
    return converted(said.value, unit, "delta_degC")


def tank_temperature_C(asked: Asked, name: str) -> float | None:
    """The temperature given under this name, else the tank's last reading."""
    said = amount(asked, name, "degC")
    return reading(asked, "temperature", "degC") if said is None else said


def in_fahrenheit(asked: Asked) -> bool:
    """Whether temperatures are answered in °F: by the unit wanted, the units said, then the habit."""
    wanted = asked.question.inputs.get("to_unit")
    if wanted in ("degF", "degC"):
        return wanted == "degF"
    said = {each.unit.removeprefix("delta_") for each in asked.question.inputs.values() if isinstance(each, Quantity)}
    shown = said & {"degF", "degC"}
    return shown == {"degF"} if len(shown) == 1 else asked.known.habit == "us"


def shown_C(asked: Asked, name: str, temp_C: float) -> tuple[Figure, ...]:
    """A temperature in both scales, the asker's first."""
    first, second = ("degF", "degC") if in_fahrenheit(asked) else ("degC", "degF")
    return in_units(name, temp_C, "degC", first, second)


def temperature_words(asked: Asked, temp_C: float) -> str:
    """A temperature as the asker reads it, for a sentence."""
    return f"{converted(temp_C, 'degC', 'degF'):.4g} °F" if in_fahrenheit(asked) else f"{temp_C:.4g} °C"
