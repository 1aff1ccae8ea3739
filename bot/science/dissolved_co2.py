"""Topic co2: CO2 from pH and alkalinity, or the pH or alkalinity at which CO2 is what is wanted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from bot.science.alkalinity import alkalinity_given, alkalinity_meq_L, from_meq_L
from bot.science.answers import figures_in, n, working
from bot.science.co2 import co2_mg_L
from bot.science.inputs import Asked, Unanswerable, amount, ask, word
from bot.science.kinds import salinity_or_fresh
from bot.science.phs import ph_meant
from bot.science.possible import possible
from bot.science.solving import solved
from bot.science.water import temperature_C
from bot.science.working import Figure, Working

_HOTTEST_C = 40.0
_SCALES = ("dKH", "meq/L", "mg/L CaCO3")


@dataclass(frozen=True)
class _Water:
    """Water whose carbonic acid is wanted; temperature and salinity shift the constants."""

    temp_C: float
    salinity_PSU: float


def co2(asked: Asked) -> Working:
    """Dissolved CO2, or the pH or alkalinity that goes with a wanted CO2."""
    return _ANSWERS[_wanted(asked)](asked)


def _wanted(asked: Asked) -> str:
    if word(asked, "ask") is not None or amount(asked, "to", "mg/L") is None:
        return ask(asked)
    return "alkalinity" if "ph" in asked.question.inputs else "ph"


def _co2(asked: Asked) -> Working:
    ph, meq_L, water = ph_meant(asked), _alkalinity(asked), _water(asked)
    found = co2_mg_L(ph, meq_L, water.temp_C, water.salinity_PSU)
    step = f"pH {n(ph)}, {n(from_meq_L(meq_L, 'dKH'))} dKH, {_conditions(water)}: {n(found)} mg/L"
    return _answer(asked, figures_in(asked, "CO2", found, "mg/L", "mg/L"), step, water)


def _ph(asked: Asked) -> Working:
    goal, meq_L, water = _goal(asked), _alkalinity(asked), _water(asked)
    ph = solved(lambda each: co2_mg_L(each, meq_L, water.temp_C, water.salinity_PSU), goal, 3.0, 11.0)
    if ph is None:
        raise Unanswerable(f"{n(goal)} mg/L CO2 is out of reach between pH 3 and 11 at that alkalinity.")
    step = f"{n(goal)} mg/L at {n(from_meq_L(meq_L, 'dKH'))} dKH, {_conditions(water)}: pH {n(ph)}"
    return _answer(asked, (Figure("pH", ph, "pH"),), step, water)


def _alkalinity_for(asked: Asked) -> Working:
    goal, ph, water = _goal(asked), ph_meant(asked), _water(asked)
    meq_L = solved(lambda each: co2_mg_L(ph, each, water.temp_C, water.salinity_PSU), goal, 1e-6, 40.0)
    if meq_L is None:
        raise Unanswerable(f"No alkalinity of a tank goes with {n(goal)} mg/L CO2 at pH {n(ph)}: check both.")
    step = f"{n(goal)} mg/L at pH {n(ph)}, {_conditions(water)}: {n(from_meq_L(meq_L, 'dKH'))} dKH"
    return _answer(asked, _alkalinity_figures(asked, meq_L), step, water)


_ANSWERS: dict[str, Callable[[Asked], Working]] = {
    "co2": _co2, "ph": _ph, "alkalinity": _alkalinity_for,
}  # fmt: skip


def _alkalinity(asked: Asked) -> float:
    said = alkalinity_given(asked, "alkalinity")
    if said is not None:
        return possible("alkalinity", said, "meq/L", "alkalinity")
    kept = asked.known.readings.get("alkalinity")
    if kept is None:
        raise Unanswerable("What is the alkalinity? Send it, such as 4 dKH.")
    asked.assume(f"alkalinity {kept.value:g} {kept.unit}, on record")
    return alkalinity_meq_L(kept)


def _goal(asked: Asked) -> float:
    goal = amount(asked, "to", "mg/L")
    if goal is None or goal <= 0:
        raise Unanswerable("How much CO2 is wanted? Send it in mg/L, above 0.")
    return possible("co2", goal, "mg/L", "CO2")


def _water(asked: Asked) -> _Water:
    temp_C = temperature_C(asked)
    if not 0 <= temp_C <= _HOTTEST_C:
        raise Unanswerable(
            f"{n(temp_C)} °C is outside 0 to 40 °C, where the formula holds: send the temperature again."
        )
    return _Water(temp_C, salinity_or_fresh(asked, "where all alkalinity is taken as carbonate"))


def _conditions(water: _Water) -> str:
    return f"{n(water.temp_C)} °C, {n(water.salinity_PSU)} ppt"


def _alkalinity_figures(asked: Asked, meq_L: float) -> tuple[Figure, ...]:
    wanted = asked.question.inputs.get("to_unit")
    order = sorted(_SCALES, key=lambda unit: unit != wanted)
    return tuple(Figure("alkalinity", from_meq_L(meq_L, unit), unit) for unit in order)


def _answer(asked: Asked, figures: tuple[Figure, ...], step: str, water: _Water) -> Working:
    source = "Mehrbach_1973" if water.salinity_PSU else "Plummer_Busenberg_1982"
    return working(asked, figures, (step,), ("co2_estimate",), (source,))
