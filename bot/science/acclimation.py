"""Topic float_time: minutes for a floating bag to come near the tank's temperature."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, log

from bot.facts.load import table
from bot.science.answers import figures_in, n, working
from bot.science.inputs import Asked, Unanswerable, amount, ask, customary, given, needed, reading, word
from bot.science.temperatures import degrees, in_fahrenheit, shown_C
from bot.science.working import Figure, Working


def minutes_to_near(gap_K: float, left_K: float, time_constant_min: float) -> float:
    """Minutes until a gap of temperature has shrunk to `left_K`: tau ln(gap / left); source Newton's law of cooling."""
    return time_constant_min * log(gap_K / left_K)


def time_constant_min(gap_K: float, later_gap_K: float, minutes: float) -> float:
    """Time constant of a bag, min, from its gap to the tank at two moments; below 0 where the gap grew."""
    return minutes / log(gap_K / later_gap_K)


def bag_time_constant_min(volume_L: float, case: str) -> float:
    """Time constant of a floated bag, min.

    volume_L   water in the bag, above 0 (derived for 0.5 to 8 L)
    case       `middle`, `shortest` (strong flow, single bag) or `longest` (still water, double bag)
    Source     Churchill_Chu_1975: derived, no measurement of floated bags was found
    """
    facts = table("acclimation")["float"]
    return float(facts[case]["one_litre"] * volume_L ** facts["growth"]["value"])


@dataclass(frozen=True)
class _Bag:
    """The gap between bag and tank at the start, and the gap that is near enough, both in kelvin."""

    gap_K: float
    left_K: float


def float_time(asked: Asked) -> Working:
    """Minutes to float (a range), minutes more after a second measurement, or the bag's temperature after a time."""
    return _ANSWERS[_wanted(asked)](asked)


def _wanted(asked: Asked) -> str:
    measured = given(asked, "temperature_2") is not None and given(asked, "time") is not None
    if word(asked, "ask") in ("end", "time_constant"):
        return ask(asked)
    return "time_left" if measured else "time"


def _time(asked: Asked) -> Working:
    bag = _bag(asked)
    tau = _known_constant(asked)
    if tau is not None:
        minutes = minutes_to_near(bag.gap_K, bag.left_K, tau)
        return _answer(asked, _minutes(asked, "time", minutes), _log_step(bag, tau, minutes), "energy_balance")
    return _range(asked, bag)


def _range(asked: Asked, bag: _Bag) -> Working:
    volume = needed(
        asked,
        "volume",
        "L",
        "How much water is in the bag? Send it, such as 2 L (20 min is the usual float, 15 to 60).",
    )
    taus = [bag_time_constant_min(volume, case) for case in ("middle", "shortest", "longest")]
    minutes = [minutes_to_near(bag.gap_K, bag.left_K, tau) for tau in taus]
    asked.assume("one bag in moving water; no measurement stands behind this, so it is a range")
    figures = [
        _minutes(asked, name, each)[0] for name, each in zip(("time", "shortest", "longest"), minutes, strict=True)
    ]
    return _answer(asked, tuple(figures), _log_step(bag, taus[0], minutes[0]), "Churchill_Chu_1975")


def _time_left(asked: Asked) -> Working:
    bag, later, tau, minutes = _measured(asked)
    left = max(0.0, minutes_to_near(later, bag.left_K, tau)) if later > bag.left_K else 0.0
    constant = f"tau = {n(minutes)} min / ln({n(bag.gap_K)} / {n(later)}) = {n(tau)} min"
    steps = f"{constant}; then tau x ln({n(later)} / {n(bag.left_K)}) = {n(left)} min"
    whole = Figure("time from the start", minutes + left, "min")
    return _answer(
        asked,
        (*_minutes(asked, "time left", left), whole, Figure("time constant", tau, "min")),
        steps,
        "energy_balance",
    )


def _time_constant(asked: Asked) -> Working:
    bag, later, tau, minutes = _measured(asked)
    step = f"{n(minutes)} min / ln({n(bag.gap_K)} / {n(later)}) = {n(tau)} min"
    return _answer(asked, _minutes(asked, "time constant", tau), step, "energy_balance")


def _end(asked: Asked) -> Working:
    minutes = needed(asked, "time", "min", "After how long? Send the minutes.")
    start, tank = _start_and_tank_C(asked)
    tau = _known_constant(asked) or bag_time_constant_min(
        needed(asked, "volume", "L", "How much water is in the bag? Send it, such as 2 L."), "middle"
    )
    end = tank + (start - tank) * exp(-minutes / tau)
    step = f"{n(tank)} + ({n(start)} - {n(tank)}) x exp(-{n(minutes)} / {n(tau)}) = {n(end)} °C"
    return _answer(asked, shown_C(asked, "bag", end), step, "Churchill_Chu_1975")


_ANSWERS: dict[str, Callable[[Asked], Working]] = {
    "time": _time, "time_left": _time_left, "time_constant": _time_constant, "end": _end,
}  # fmt: skip


def _bag(asked: Asked) -> _Bag:
    gap = _gap_K(asked)
    left = _left_K(asked)
    if gap <= left:
        raise Unanswerable(
            f"Bag and tank are {_gap_words(asked, gap)} apart: there is no difference left to float away."
        )
    return _Bag(gap, left)


def _gap_K(asked: Asked) -> float:
    change = degrees(asked, "change")
    if change is not None:
        return change
    start, tank = _start_and_tank_C(asked)
    return abs(start - tank)


def _start_and_tank_C(asked: Asked) -> tuple[float, float]:
    start = needed(asked, "from", "degC", "How warm is the bag? Send its temperature.")
    tank = amount(asked, "to", "degC")
    tank = reading(asked, "temperature", "degC") if tank is None else tank
    if tank is None:
        raise Unanswerable("How warm is the tank? Send its temperature.")
    return start, tank


def _left_K(asked: Asked) -> float:
    """The gap allowed at the end: said, or left by the temperature that the bag is to reach, else the customary one."""
    goal = amount(asked, "goal", "degC")
    if goal is None:
        return degrees(asked, "within") or customary(asked, "float_within")
    start, tank = _start_and_tank_C(asked)
    if not min(start, tank) < goal < max(start, tank):
        raise Unanswerable(f"A bag at {n(start)} °C in a tank at {n(tank)} °C does not come to {n(goal)} °C.")
    return abs(tank - goal)


def _known_constant(asked: Asked) -> float | None:
    return amount(asked, "time_constant", "min")


def _measured(asked: Asked) -> tuple[_Bag, float, float, float]:
    """The bag, its later gap, the time constant the two measurements give, and the minutes between them."""
    start, tank = _start_and_tank_C(asked)
    later = needed(asked, "temperature_2", "degC", "How warm is the bag now? Send its temperature.")
    minutes = needed(asked, "time", "min", "How long after the first measurement? Send the minutes.")
    first_gap, later_gap = start - tank, later - tank
    if first_gap * later_gap <= 0 or abs(later_gap) >= abs(first_gap):
        raise Unanswerable("The bag must have come nearer to the tank between the two measurements: measure it again.")
    tau = time_constant_min(first_gap, later_gap, minutes)
    return _Bag(abs(first_gap), _left_K(asked)), abs(later_gap), tau, minutes


def _gap_words(asked: Asked, gap_K: float) -> str:
    return f"{n(gap_K * 1.8)} °F" if in_fahrenheit(asked) else f"{n(gap_K)} °C"


def _log_step(bag: _Bag, tau: float, minutes: float) -> str:
    return f"{n(tau)} min x ln({n(bag.gap_K)} °C / {n(bag.left_K)} °C) = {n(minutes)} min"


def _minutes(asked: Asked, name: str, minutes: float) -> tuple[Figure, ...]:
    return figures_in(asked, name, minutes, "min", "min")


def _answer(asked: Asked, figures: tuple[Figure, ...], step: str, source: str) -> Working:
    return working(asked, figures, (step,), ("float_thermometer",), (source, "LSU_stocking"))
