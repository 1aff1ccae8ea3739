"""What a measured number can be: its unit by the contract's rules, and whether an instrument or a tank can show it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from bot.facts.load import table
from bot.understanding.lexicon import phrases
from bot.understanding.numerals import Number, tidy
from bot.understanding.units import Measure, Unit


@dataclass(frozen=True, slots=True)
class Value:
    """A value in its unit; `low` and `high` of a range. `why`: the reason to ask back instead of storing it, None for a
    good one; `plausible`: 1 where nearly all values lie, less outside."""

    value: float
    unit: str | None
    low: float | None = None
    high: float | None = None
    why: str | None = None
    plausible: float = 1.0


def value_of(parameter: str, measure: Measure, typed: str, named_unit: str | None = None) -> Value | None:
    """The measure as a value of `parameter`; None where its unit measures something else. `typed`: the digits as
    written ("025" is 1.025); `named_unit`: the unit that the parameter's name says ("sg", "dkh")."""
    units = _units(parameter, measure.units)
    if measure.units and not units:
        return _misfit(measure)
    number = _scaled(parameter, measure)
    numbers = _gravity_ways(parameter, number, typed, units[0] if units else named_unit)
    options = [_judged(parameter, number, unit) for number in numbers for unit in units or (named_unit,)]
    return _best(options, parameter, bool(measure.units))


def is_possible(parameter: str, value: float, unit: str) -> bool:
    """Whether a value in that unit lies in the contract's table of what is possible."""
    low, high = _span(parameter, "possible", unit)
    return low <= value <= high


def near_misses(parameter: str, value: float) -> tuple[str, ...]:
    """What an impossible value may have been meant as: the point moved so that it becomes a usual one."""
    moved = (tidy(value / 10**k) for k in (1, 2, 3, -1, -2))
    with_zero = (tidy(1 + (value - 1) / 10),) if parameter == "salinity" and 1 < value < 2 else ()
    good = (v for v in (with_zero or moved) if (u := unit_of_bare(parameter, v)) and _is_usual(parameter, v, u))
    return tuple(dict.fromkeys(f"{v:g}" for v in good))


def unit_of_bare(parameter: str, value: float) -> str | None:
    """The unit of a value that has none; None where it must be asked."""
    row = next((row for row in _facts(parameter)["bare"] if value < row["under"]), {"unit": "?"})
    return None if row["unit"] == "?" else str(row["unit"])


def parameters() -> tuple[str, ...]:
    """Every parameter of facts/parameters.toml."""
    return tuple(name for name, row in table("parameters").items() if isinstance(row, dict))


@cache
def _facts(parameter: str) -> dict[str, Any]:
    return dict(table("parameters")[parameter])


@cache
def _allowed(parameter: str) -> tuple[str, ...]:
    return tuple(phrases(_facts(parameter)["units"]))


# A unit word that means another unit when this is measured.
_READ_AS = {
    ("alkalinity", "mg/L"): "mg/L CaCO3",
    ("hardness", "mg/L"): "mg/L CaCO3",
    ("alkalinity", "dGH"): "dKH",
    ("chloride", "g/L"): "mg/L",
    ("calcium", "g/L"): "mg/L",
    ("magnesium", "g/L"): "mg/L",
    ("potassium", "g/L"): "mg/L",
    ("tds", "g/L"): "mg/L",
}


def _units(parameter: str, units: Iterable[Unit]) -> tuple[str | None, ...]:
    """The units of the contract that the words can mean here; None stands for a degree without a name."""
    named = [None if u.name == "deg" else _READ_AS.get((parameter, u.name), u.name) for u in units]
    takes_degrees = parameter in ("temperature", "alkalinity", "hardness")
    return tuple(name for name in named if name in _allowed(parameter) or (name is None and takes_degrees))


_MEASURED = ("concentration", "salinity", "conductivity", "temperature", "alkalinity", "hardness", "potential", "share")


def _misfit(measure: Measure) -> Value | None:
    """A unit that measures something else than the parameter: asked, if it is one of readings ("alk 8 ppt")."""
    unit = measure.unit(*_MEASURED)
    return Value(measure.number.value, unit.kept_as, why="which_unit", plausible=0.75) if unit else None


def _scaled(parameter: str, measure: Measure) -> Number:
    """Grams a litre are kept as milligrams."""
    if parameter == "salinity" or not any(unit.name == "g/L" for unit in measure.units):
        return measure.number
    number = measure.number
    ends = [None if end is None else end * 1000 for end in (number.low, number.high)]
    return replace(number, value=tidy(number.value * 1000), others=(), low=ends[0], high=ends[1])


def _gravity_ways(parameter: str, number: Number, typed: str, unit: str | None) -> list[Number]:
    """The ways to read the digits; a specific gravity may be typed without its point or its one."""
    ways = [replace(number, value=way, others=()) for way in number.ways] if number.others else [number]
    if parameter != "salinity" or unit not in (None, "SG") or number.low is not None:
        return ways
    if number.spoken and (told := [way for way in ways if 990 <= way.value <= 1046]):
        return [replace(told[0], value=_of_thousand(told[0].value))]
    if number.spoken:
        ways = [
            replace(way, value=_of_thousand(way.value))
            for way in ways
            if unit is None or way.value > 2 or way.value < 1.1
        ]
        return ways or [number]
    if typed.isdigit() and typed[0] == "0" and len(typed) in (3, 4):
        return [replace(number, value=tidy(1 + float("0." + typed)))]
    if unit == "SG" and 0.0 <= number.value <= 0.046:
        return [replace(number, value=tidy(1 + number.value))]
    return [replace(way, value=_of_thousand(way.value)) for way in ways]


def _of_thousand(value: float) -> float:
    return tidy(value / 1000) if 990 <= value <= 1046 else value


def _judged(parameter: str, number: Number, unit: str | None) -> Value:
    told = unit or unit_of_bare(parameter, number.value)
    value = Value(number.value, told, number.low, number.high)
    if told is None:
        return replace(value, why="which_unit", plausible=0.6)
    ends = [end for end in (number.value, number.low, number.high) if end is not None]
    if not all(is_possible(parameter, end, told) for end in ends) or _is_odd_gravity(parameter, number, unit, told):
        return replace(value, why="unlikely_value", plausible=0.5)
    if _is_gravity_called_ppt(parameter, number.value, told, unit):
        return replace(value, why="which_unit", plausible=0.6)
    return replace(value, plausible=1.0 if _is_usual(parameter, number.value, told) else 0.9)


def _is_odd_gravity(parameter: str, number: Number, said: str | None, unit: str) -> bool:
    """A bare salinity from 1.041 to 1.999 is never stored."""
    return parameter == "salinity" and said is None and unit == "SG" and number.value >= 1.041


def _is_gravity_called_ppt(parameter: str, value: float, unit: str, said: str | None) -> bool:
    """ "1.025 ppt" has the digits of one scale and the name of the other."""
    digits = f"{value:.10g}".partition(".")[2]
    return parameter == "salinity" and said in ("ppt", "PSU") and unit == said and 1 < value < 1.04 and len(digits) >= 3


def _best(options: list[Value], parameter: str, has_unit: bool) -> Value:
    """The one that can stand; if several can and differ, the one usual one; else it is asked."""
    good = [option for option in options if option.why is None]
    usual = [option for option in good if option.plausible == 1.0]
    sure = usual or len(options) == 1 or not options[0].why
    if (sure and len({(o.value, o.unit) for o in good}) == 1) or (has_unit and len(good) == 1):
        return good[0]
    if len({(o.value, o.unit) for o in usual}) == 1:
        return usual[0]
    if good and not usual and options[0].why:
        return replace(options[0], plausible=0.6)
    if good:
        return replace(good[0], why="unlikely_value", plausible=0.6)
    return options[0]


def _is_usual(parameter: str, value: float, unit: str) -> bool:
    low, high = _span(parameter, "usual", unit)
    return low <= value <= high


def _span(parameter: str, name: str, unit: str) -> tuple[float, float]:
    rows = _facts(parameter)[name]
    if unit in rows:
        low, high = rows[unit]
        return low, high
    low, high = rows["mg/L"]
    return low * 1000, high * 1000
