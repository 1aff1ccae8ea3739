"""G2: new water beside the tank that takes it, the mixture that they make, and what to do first where they differ."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from bot.facts.load import table
from bot.items import Reading
from bot.rules.scales import middle
from bot.science.ammonia import unionised_share
from bot.science.blending import blended_C
from bot.science.heat import HeatBalance, heat_capacity_J_K, hours_to_warm
from bot.science.salinity import salinity_from_salt_g_L, salt_g_L
from bot.science.salt_balance import salt_to_raise_g

MATCHED = ("temperature", "salinity", "ph")
_ROOM_C = 25.0


@dataclass(frozen=True)
class Sample:
    """What is known of a water: degC, ppt, pH, total ammonia in mg/L; None where it is not."""

    temperature: float | None = None
    salinity: float | None = None
    ph: float | None = None
    ammonia: float | None = None


@dataclass(frozen=True)
class Gap:
    """New water that is too far from the tank's, on the parameter's scale."""

    parameter: str
    new: float
    tank: float
    limit: float


@dataclass(frozen=True)
class Remedy:
    """What to do first. `kind`: heat, cool, salt, thin or air; the figures that it needs beside it."""

    kind: str
    litres: float
    start: float
    goal: float
    watts: float = 0.0
    hours: float = 0.0
    salt_g: float = 0.0


@dataclass(frozen=True)
class Mixture:
    """The tank after the change. Its pH lies between the two; free ammonia is the most it can be, at the higher pH."""

    temperature: float | None
    salinity: float | None
    free_now: float | None = None
    free_after: float | None = None


def sample(readings: Sequence[tuple[datetime, Reading]], now: datetime, of: str) -> Sample:
    """The latest of each parameter that is recent enough to stand for the water now; `of` is "tank" or "batch".

    Of several at one instant the last in the list counts.
    """
    found: dict[str, float | None] = {}
    for at, item in sorted(readings, key=lambda r: r[0])[::-1]:
        known = item.parameter in (*MATCHED, "ammonia") and item.parameter not in found
        if known and (now - at).total_seconds() / 3600 <= _lasts_h(item.parameter, of):
            found[item.parameter] = middle(item)
    return Sample(**found)


def asked_of(subject: str, source: str | None) -> tuple[str, ...]:
    """What must match: pure water has no pH of its own, and fresh water no salinity."""
    if subject != "fresh":
        return MATCHED
    return ("temperature",) if source == "ro" else ("temperature", "ph")


def gaps(new: Sample, tank: Sample, parameters: Sequence[str]) -> list[Gap]:
    """Where both are known and too far apart, in the order of what harms most."""
    limits = table("batches")["match"]
    found = []
    for name in parameters:
        ours, theirs = getattr(new, name), getattr(tank, name)
        if ours is not None and theirs is not None and abs(ours - theirs) > limits[name]["value"] + _ROUNDING[name]:
            found.append(Gap(name, ours, theirs, limits[name]["value"]))
    return found


def unknown(new: Sample, tank: Sample, parameters: Sequence[str]) -> dict[str, list[str]]:
    """What has not been measured lately: of the batch, and of the tank."""
    return {
        "batch": [p for p in parameters if getattr(new, p) is None],
        "tank": [p for p in parameters if getattr(tank, p) is None],
    }


def remedy(gap: Gap, litres: float, mix_per_dry: float, watts: float) -> Remedy:
    """What brings so much new water to the tank's value; `mix_per_dry` grams of mix hold one gram of dry salt."""
    if gap.parameter == "temperature":
        return _warmed(gap, litres, watts)
    if gap.parameter == "ph":
        return Remedy("air", litres, gap.new, gap.tank)
    if gap.new < gap.tank:
        dry = salt_to_raise_g(litres, gap.new, gap.tank, _ROOM_C)
        return Remedy("salt", litres, gap.new, gap.tank, salt_g=dry * mix_per_dry)
    return Remedy("thin", litres * fresh_share(gap.new, gap.tank), gap.new, gap.tank)


def fresh_share(from_PSU: float, to_PSU: float) -> float:
    """Litres of fresh water for each litre of too strong water: its salt stays, S1 = S0 V/(V+x)."""
    return salt_g_L(from_PSU, _ROOM_C) / salt_g_L(to_PSU, _ROOM_C) - 1


def mixture(tank: Sample, new: Sample, tank_L: float, change_L: float) -> Mixture:
    """What a change makes of the tank: heat and salt by balance, free ammonia at its worst.

    tank_L     water of the tank, above 0; change_L of it is drained and replaced
    Source     energy_balance, mass_balance; Emerson_1975, Bower_Bidwell_1978
    Checked    tests/rules/test_matching.py, against TEOS-10 and worked figures
    """
    kept_L = max(tank_L - change_L, 0.0)
    temp = salinity = None
    if tank.temperature is not None and new.temperature is not None:
        temp = blended_C(kept_L, tank.temperature, change_L, new.temperature)
    if tank.salinity is not None and new.salinity is not None:
        salinity = mixed_PSU(kept_L, tank.salinity, change_L, new.salinity)
    return Mixture(temp, salinity, *_free(tank, new, temp, salinity, kept_L, change_L))


def mixed_PSU(first_L: float, first_PSU: float, second_L: float, second_PSU: float) -> float:
    """Salinity of two waters together, ppt: all their salt in all their water."""
    grams = first_L * salt_g_L(first_PSU, _ROOM_C) + second_L * salt_g_L(second_PSU, _ROOM_C)
    mixed = salinity_from_salt_g_L(grams / (first_L + second_L), _ROOM_C)
    return mixed if mixed is not None else max(first_PSU, second_PSU)


def raises_ammonia(after: Mixture) -> bool:
    """Whether the change sets free enough ammonia to be spoken of."""
    limit = table("batches")["free_ammonia"]["value"]
    return after.free_after is not None and after.free_now is not None and after.free_after > max(after.free_now, limit)


def _free(
    tank: Sample, new: Sample, temp_C: float | None, salinity: float | None, kept_L: float, change_L: float
) -> tuple[float | None, float | None]:  # fmt: skip
    """Free ammonia now, and at most after the change, mg/L."""
    if tank.ammonia is None or tank.ph is None or new.ph is None or tank.temperature is None:
        return None, None
    total = (kept_L * tank.ammonia + change_L * (new.ammonia or 0.0)) / (kept_L + change_L)
    now = tank.ammonia * unionised_share(tank.ph, tank.temperature, tank.salinity or 0.0)
    warm = temp_C if temp_C is not None else tank.temperature
    salt = salinity if salinity is not None else tank.salinity or 0.0
    return now, total * unionised_share(max(tank.ph, new.ph), warm, salt)


def _warmed(gap: Gap, litres: float, watts: float) -> Remedy:
    if gap.new > gap.tank:
        return Remedy("cool", litres, gap.new, gap.tank)
    capacity = heat_capacity_J_K(litres, (gap.new + gap.tank) / 2, 0.0)
    hours = hours_to_warm(capacity, gap.new, gap.tank, HeatBalance(watts))
    return Remedy("heat", litres, gap.new, gap.tank, watts=watts, hours=hours)


def _lasts_h(parameter: str, of: str) -> float:
    lasts: Mapping[str, Mapping[str, float]] = table("batches")["fresh_enough"]
    if of == "tank":
        return lasts["tank"]["value"]
    return lasts["temperature" if parameter == "temperature" else "other"]["value"]


# A difference that is only the rounding of two readings is none.
_ROUNDING = {"temperature": 0.06, "salinity": 0.06, "ph": 1e-9}
