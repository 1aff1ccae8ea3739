"""One salinity on another scale: SG at a reference, ppt, conductivity, % and g/L; with a glass hydrometer set right."""

from __future__ import annotations

from bot.items import Quantity
from bot.science.answers import n
from bot.science.inputs import Asked, Unanswerable, amount, check_limit, converted, given, measures, word, words
from bot.science.salinity import (
    HIGHEST_PSU,
    conductivity_from_salinity,
    salinity_from_hydrometer,
    salt_g_kg,
    salt_g_L,
    sg_from_salinity,
)
from bot.science.water import practical, reference, temperature_C

_GLASS = "60F/60F"
_COMPENSATED_TO_C = 25.0


def salinity_in(asked: Asked, said: Quantity, goal: str) -> tuple[float, str, tuple[str, ...]]:
    """The salinity on the scale of `goal`, with its step and sources; Unanswerable where no water can show it."""
    psu = _psu(asked, said)
    value = _shown(asked, psu, goal)
    sources = ("PSS78",) if "conductivity" in (measures(said.unit), measures(goal)) else ("EOS80",)
    return value, f"{words(said)} is {n(psu)} ppt (practical salinity), {n(value)} {goal}", sources


def _psu(asked: Asked, said: Quantity) -> float:
    if said.unit == "SG" and _read_in_warm_or_cold_water(asked):
        return _corrected(asked, said)
    return practical(asked, said, "value")


def _read_in_warm_or_cold_water(asked: Asked) -> bool:
    """Whether the reading is of a glass hydrometer in water of a stated temperature; others correct themselves."""
    if given(asked, "temperature") is None or word(asked, "compensated") == "yes":
        return False
    if word(asked, "reference") or word(asked, "compensated") == "no":
        return True
    if asked.known.hydrometer and reference(asked) == _GLASS:
        return True
    asked.assume("the instrument corrects for temperature itself; a glass hydrometer does not, so say so if it is one")
    return False


def _corrected(asked: Asked, said: Quantity) -> float:
    check_limit(said, "value")
    at, temp = reference(asked), temperature_C(asked)
    asked.assume("a glass hydrometer of common (soda-lime) glass, read in water of the stated temperature")
    psu = salinity_from_hydrometer(said.value, temp, at)
    if psu is None:
        raise Unanswerable(
            f"{words(said)} at {n(temp)} °C on a {at} hydrometer lies outside 0 to {HIGHEST_PSU:g} ppt. Send it again."
        )
    return psu


def _shown(asked: Asked, psu: float, goal: str) -> float:
    kind = measures(goal)
    if goal == "SG":
        return sg_from_salinity(psu, reference(asked))
    if kind == "conductivity":
        return _conductivity(asked, psu, goal)
    if kind == "share":
        return salt_g_kg(psu) / 10
    return psu if kind == "salinity" else converted(salt_g_L(psu, temperature_C(asked)), "g/L", goal)


def _conductivity(asked: Asked, psu: float, goal: str) -> float:
    said = amount(asked, "temperature", "degC") if word(asked, "compensated") == "no" else None
    if said is None:
        asked.assume("conductivity as a meter shows it, compensated to 25 °C")
    mS_cm = conductivity_from_salinity(psu, _COMPENSATED_TO_C if said is None else said)
    assert mS_cm is not None  # every salinity up to HIGHEST_PSU conducts less than the range that is searched
    return converted(mS_cm, "mS/cm", goal)
