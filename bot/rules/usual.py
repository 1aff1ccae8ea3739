"""What a tank usually shows: the middle and spread of its last readings, and whether a new one is unlike it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from math import inf, prod
from statistics import median

from bot.facts.load import table
from bot.items import Event, Quantity, Reading
from bot.rules.ranges import alarm_for, error_of
from bot.rules.scales import middle, on_scale
from bot.science.inputs import converted
from bot.team import Tank

_SPREAD_OF_MAD = 1.4826  # a normal distribution's standard deviation in units of its median absolute deviation


@dataclass(frozen=True)
class Seen:
    """A reading on record and when it held."""

    at: datetime
    reading: Reading


@dataclass(frozen=True)
class Done:
    """An event on record and when it happened."""

    at: datetime
    event: Event


@dataclass(frozen=True)
class Usual:
    """The middle of the last readings on the parameter's scale, and how far a reading may lie from it."""

    value: float
    within: float


def usual(parameter: str, values: Sequence[float], count: int | None = None) -> Usual | None:
    """What the last values (on the parameter's scale, newest first) lead to expect; None where they are too few.

    count   how many of them to look at, where it is not the customary number
    """
    rule = table("judging")["unlike"]
    last = values[: count or int(rule["readings"]["value"])]
    if len(last) < rule["least"]["value"]:
        return None
    middle_of = median(last)
    spread = _SPREAD_OF_MAD * median(abs(v - middle_of) for v in last)
    return Usual(middle_of, rule["times"]["value"] * max(spread, error_of(parameter, middle_of)))


def is_unlike(value: float, tank: Tank, parameter: str, past: Sequence[Seen], changes: Sequence[Done]) -> bool:
    """Whether a value (on the scale) is unlike this tank: far from the middle of its past, from the last reading, and
    from the last reading thinned by the water changes since. `past` is newest first, one parameter.
    """
    values = values_of(past)
    spike = table("judging")["spike"].get(parameter)
    if spike is not None:
        return bool(value >= spike["value"] and value > 2 * max(values[:10], default=0.0))
    expected = usual(parameter, values)
    if expected is None:
        return _is_far_off(value, tank, parameter) or (bool(values) and _is_tenfold(value, values[0], parameter))
    last = values[0]
    likely = (expected.value, last, last * left_after(tank, parameter, past[0].at, changes))
    return all(abs(value - each) > expected.within for each in likely)


def _is_tenfold(value: float, last: float, parameter: str) -> bool:
    """Whether the point has moved: ten times the last reading or a tenth of it, neither of them next to nothing."""
    rule = table("judging")["tenfold"]
    small, large = sorted((value, last))
    told = small > 0 and large > rule["errors"]["value"] * error_of(parameter, large)
    return told and rule["least"]["value"] <= large / small <= rule["most"]["value"]


def values_of(past: Sequence[Seen]) -> list[float]:
    """The readings as single numbers on their scale; those that cannot be compared are left out."""
    return [v for seen in past if (v := middle(seen.reading)) is not None]


def left_after(tank: Tank, parameter: str, since: datetime, changes: Sequence[Done]) -> float:
    """The share of a substance that the water changes since then have left, where new water has none of it."""
    if parameter in table("defaults")["source_none"]["not_for"]:
        return 1.0
    return prod(1 - share_changed(tank, done.event) for done in changes if done.at > since)


def share_changed(tank: Tank, change: Event) -> float:
    """The share of the tank's water that a change exchanged, 0 to 1; 0 where it cannot be known."""
    if change.event != "water_change" or change.amount is None:
        return 0.0
    if change.unit == "%":
        return min(change.amount / 100, 1.0)
    if tank.volume is None or change.unit not in ("gal", "L", "m3", "qt"):
        return 0.0
    litres = converted(change.amount, change.unit, "L")
    return min(litres / converted(tank.volume.value, tank.volume.unit, "L"), 1.0)


def visits(past: Sequence[Seen]) -> list[Seen]:
    """One reading a visit, the last of each, newest first."""
    apart = timedelta(hours=table("judging")["visit"]["apart"]["value"])
    found: list[Seen] = []
    for seen in past:
        if not found or found[-1].at - seen.at >= apart:
            found.append(seen)
    return found


def meant(reading: Reading, expected: Usual) -> Quantity | None:
    """What a slip of the thumb may have stood for: the point moved, two digits swapped, another unit; the first that
    this tank usually shows. None where nothing fits.
    """
    units = _UNITS.get(reading.parameter, (reading.unit,))
    for value in _slips(reading.value):
        for unit in (reading.unit, *units):
            found = on_scale(reading.parameter, value, unit)
            if (value, unit) != (reading.value, reading.unit) and found is not None and _fits(found, expected):
                return Quantity(value, unit)
    return None


_UNITS = {
    "alkalinity": ("dKH", "meq/L", "mg/L CaCO3"), "hardness": ("dGH", "mg/L CaCO3"),
    "temperature": ("degF", "degC"), "salinity": ("SG", "ppt"), "conductivity": ("uS/cm", "mS/cm"),
}  # fmt: skip


def _fits(value: float, expected: Usual) -> bool:
    """Well within what the tank shows, not just short of being asked about."""
    return abs(value - expected.value) <= expected.within / 2


def _slips(value: float) -> list[float]:
    moved = [value, value / 10, value * 10, value / 100, value * 100, *_swapped(value)]
    gravity = [1 + value / 1000] if 0 < value < 46 else []
    return [float(f"{each:.6g}") for each in (*moved, *gravity)]


def _swapped(value: float) -> list[float]:
    """The digits of the number with two neighbours exchanged: 3.8 and 8.3."""
    digits = f"{value:.6g}"
    places = [i for i, char in enumerate(digits) if char.isdigit()]
    found = []
    for first, second in pairwise(places):
        chars = list(digits)
        chars[first], chars[second] = chars[second], chars[first]
        found.append(float("".join(chars)))
    return found


def _is_far_off(value: float, tank: Tank, parameter: str) -> bool:
    """With too little of a past: further outside the alarm limits of the kind than these are apart; or, where there is
    only an upper one, nearly ten times that."""
    limits = alarm_for(tank, parameter)
    if limits is None or limits.high is None:
        return False
    if limits.low is None:
        return value > float(table("judging")["tenfold"]["least"]["value"]) * limits.high
    width = limits.high - limits.low
    return not limits.low - width <= value <= limits.high + width or value in (inf, -inf)
