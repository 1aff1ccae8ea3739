"""Topic drip_rate: mL a minute and drops a second, tank water needed, where the bag ends."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, inf, log

from bot.facts.load import table
from bot.items import Quantity
from bot.science.answers import figures_in, n, volume_figures, working
from bot.science.inputs import (
    Asked,
    Unanswerable,
    amount,
    ask,
    customary,
    given,
    in_unit,
    measures,
    needed,
    word,
    words,
)
from bot.science.water import practical, salinity_figures
from bot.science.working import Figure, Working

_SALTY = {"salinity", "conductivity"}


def value_after_drip(bag: float, tank: float, bag_L: float, dripped_L: float, constant: bool) -> float:
    """Value in the bag (salinity, concentration) after so much tank water.

    constant   True where the bag overflows or is kept level, False where its volume grows
    Source     mass_balance; growing: mixing of two waters, constant: continuous exchange
    """
    kept = exp(-dripped_L / bag_L) if constant else bag_L / (bag_L + dripped_L)
    return tank + (bag - tank) * kept


def tank_water_needed_L(bag: float, tank: float, wanted: float, bag_L: float, constant: bool) -> float:
    """Tank water that brings the bag's value to `wanted`, L; infinite for the tank's own value; source mass_balance."""
    left = (wanted - tank) / (bag - tank)
    if left <= 0:
        return inf
    return bag_L * log(1 / left) if constant else bag_L * (1 / left - 1)


@dataclass(frozen=True)
class _Values:
    """What is to be evened out: the bag's, the tank's and the wanted value, on one scale (salinity in PSU)."""

    bag: float
    tank: float
    wanted: float | None
    salinity: bool
    unit: str


def drip_rate(asked: Asked) -> Working:
    """Rate, tank water needed, end value, time or drops of a drip; source mass_balance."""
    return _ANSWERS[_wanted(asked)](asked)


def _wanted(asked: Asked) -> str:
    if word(asked, "ask") is not None:
        return ask(asked)
    return "drops" if given(asked, "rate") is not None and given(asked, "volume") is None else ask(asked)


def _rate(asked: Asked) -> Working:
    if given(asked, "rate") is not None and given(asked, "time") is None:
        return _drops(asked)
    dripped, step = _dripped_L(asked)
    minutes = _minutes(asked)
    mL_min = dripped * 1000 / minutes
    steps = (step, f"{n(dripped * 1000)} mL / {n(minutes)} min = {n(mL_min)} mL/min")
    return _answer(asked, (*_rate_figures(asked, mL_min), *volume_figures(asked, "tank water", dripped)), steps)


def _amount(asked: Asked) -> Working:
    by_rate = given(asked, "rate") is not None and given(asked, "volume_2") is None and given(asked, "to") is None
    dripped, step = _by_rate_L(asked) if by_rate else _dripped_L(asked)
    return _answer(asked, volume_figures(asked, "tank water", dripped), (step,))


def _end(asked: Asked) -> Working:
    bag_L, values = _bag_L(asked), _values(asked)
    if values is None:
        raise Unanswerable("Which values? Send the bag's and the tank's, such as bag 1.020, tank 1.026.")
    dripped, step = _by_volume_L(asked, bag_L) or _by_rate_L(asked)
    end = value_after_drip(values.bag, values.tank, bag_L, dripped, _constant(asked))
    steps = (step, f"{n(values.tank)} + ({n(values.bag)} - {n(values.tank)}) x what is left of {n(bag_L)} L = {n(end)}")
    return _answer(asked, _value_figures(asked, values, end), steps)


def _time(asked: Asked) -> Working:
    dripped, step = _dripped_L(asked)
    mL_min = _rate_mL_min(asked)
    if mL_min is None:
        raise Unanswerable("At what rate? Send mL/min or drops a second.")
    minutes = dripped * 1000 / mL_min
    figures = figures_in(asked, "time", minutes, "min", "min")
    return _answer(asked, figures, (step, f"{n(dripped * 1000)} mL / {n(mL_min)} mL/min = {n(minutes)} min"))


def _drops(asked: Asked) -> Working:
    said = given(asked, "rate")
    mL_min = _rate_mL_min(asked)
    if said is None or mL_min is None:
        return _rate(asked)
    drops = Figure("rate", mL_min * _drops_per_mL(asked) / 60, "drop/s")
    flow = figures_in(asked, "rate", mL_min, "mL/min", "mL/min")
    figures = (*flow, drops) if said.unit == "drop/s" else (drops, *flow)
    step = f"{n(mL_min)} mL/min x {n(_drops_per_mL(asked))} drops/mL / 60 = {n(drops.value)} drops/s"
    return _answer(asked, figures, (step,))


_ANSWERS: dict[str, Callable[[Asked], Working]] = {
    "rate": _rate, "amount": _amount, "end": _end, "time": _time, "drops": _drops,
}  # fmt: skip


def _dripped_L(asked: Asked) -> tuple[float, str]:
    """Tank water that goes in, with the step that says why."""
    plain = amount(asked, "amount", "L")
    if plain is not None and given(asked, "volume") is None:
        return plain, f"{n(plain)} L of tank water"
    bag_L = _bag_L(asked)
    return _by_volume_L(asked, bag_L) or _by_value_L(asked, bag_L) or _by_times_L(asked, bag_L)


def _by_volume_L(asked: Asked, bag_L: float) -> tuple[float, str] | None:
    dripped, end = amount(asked, "amount", "L"), amount(asked, "volume_2", "L")
    times = _number(asked, "times")
    if dripped is not None:
        return dripped, f"{n(dripped)} L dripped into {n(bag_L)} L"
    end = bag_L * times if end is None and times is not None else end
    if end is None:
        return None
    if end <= bag_L:
        raise Unanswerable(f"The bag holds {n(bag_L)} L already: the end volume must be more than that.")
    return end - bag_L, f"{n(end)} L - {n(bag_L)} L = {n(end - bag_L)} L of tank water"


def _by_value_L(asked: Asked, bag_L: float) -> tuple[float, str] | None:
    values = _values(asked)
    if values is None or values.wanted is None:
        return None
    _check_between(asked, values)
    dripped = tank_water_needed_L(values.bag, values.tank, values.wanted, bag_L, _constant(asked))
    way = "ln(gap / gap left)" if _constant(asked) else "(bag to wanted) / (wanted to tank)"
    return dripped, f"{n(bag_L)} L x {way} = {n(dripped)} L of tank water"


def _by_times_L(asked: Asked, bag_L: float) -> tuple[float, str]:
    times = customary(asked, "drip_times")
    return bag_L * (times - 1), f"{n(bag_L)} L to {n(bag_L * times)} L"


def _by_rate_L(asked: Asked) -> tuple[float, str]:
    mL_min, minutes = _rate_mL_min(asked), amount(asked, "time", "min")
    if mL_min is None or minutes is None:
        raise Unanswerable("How much tank water went in? Send its volume, or the rate and the minutes.")
    return mL_min * minutes / 1000, f"{n(mL_min)} mL/min x {n(minutes)} min = {n(mL_min * minutes)} mL"


def _check_between(asked: Asked, values: _Values) -> None:
    low, high = sorted((values.bag, values.tank))
    if values.wanted is None or not low < values.wanted < high:
        raise Unanswerable(
            f"{n(values.wanted or 0)} does not lie between the bag's {n(values.bag)} and the tank's {n(values.tank)}: "
            "dripping only brings the bag nearer to the tank, and never quite there. Send a value between, or how near."
        )


def _values(asked: Asked) -> _Values | None:
    """Bag, tank and wanted value; the wanted one also as `within` so much of the tank."""
    bag, tank = given(asked, "from"), given(asked, "source")
    if bag is None or tank is None:
        return None
    if "pH" in (bag.unit, tank.unit):
        asked.assume("pH left out of the sum: it does not mix in a straight line")
        return None
    salinity = measures(bag.unit) in _SALTY
    bag_value, tank_value = _value(asked, bag, "from", bag.unit), _value(asked, tank, "source", bag.unit)
    return _Values(bag_value, tank_value, _wanted_value(asked, bag, bag_value, tank_value), salinity, bag.unit)


def _wanted_value(asked: Asked, bag: Quantity, bag_value: float, tank_value: float) -> float | None:
    to, within = given(asked, "to"), given(asked, "within")
    if to is not None:
        return _value(asked, to, "to", bag.unit)
    if within is None:
        return None
    near = abs(_near(within, bag))
    return tank_value - near if bag_value < tank_value else tank_value + near


def _near(within: Quantity, bag: Quantity) -> float:
    """A difference on the bag's scale: an SG of 0.001 is 1.3 ppt."""
    if bag.unit == "SG" and within.unit in ("SG", ""):
        return within.value * 1320 if within.value < 0.1 else within.value
    return within.value


def _value(asked: Asked, said: Quantity, name: str, unit: str) -> float:
    kind, wanted = measures(said.unit), measures(unit)
    if {kind, wanted} <= _SALTY:
        return practical(asked, said, name)
    if kind != wanted:
        raise Unanswerable(f"{name} {words(said)} and the bag's {unit} are not the same thing: send both in one unit.")
    return in_unit(said, unit, name)


def _value_figures(asked: Asked, values: _Values, value: float) -> tuple[Figure, ...]:
    if values.salinity:
        return salinity_figures(asked, "bag", value)
    return (Figure("bag", value, values.unit),)


def _rate_figures(asked: Asked, mL_min: float) -> tuple[Figure, ...]:
    drops = mL_min * _drops_per_mL(asked) / 60
    countable = table("acclimation")["drip"]["countable"]
    if drops > countable["value"]:
        asked.assume(f"more than {countable['value']:g} drops a second is a stream: {countable['says']}")
    both = (*figures_in(asked, "rate", mL_min, "mL/min", "mL/min"), Figure("rate", drops, "drop/s"))
    return both[::-1] if asked.question.inputs.get("to_unit") == "drop/s" else both


def _rate_mL_min(asked: Asked) -> float | None:
    said = given(asked, "rate")
    if said is None:
        return None
    if said.unit == "drop/s":
        return said.value * 60 / _drops_per_mL(asked) if said.value > 0 else _no_rate()
    return amount(asked, "rate", "mL/min")


def _no_rate() -> float:
    raise Unanswerable("A drip of 0 drops never arrives: send the rate again.")


def _drops_per_mL(asked: Asked) -> float:
    said = _number(asked, "drops_per_mL")
    return customary(asked, "drops_per_mL") if said is None else said


def _minutes(asked: Asked) -> float:
    said = amount(asked, "time", "min")
    return customary(asked, "drip_time") if said is None else said


def _bag_L(asked: Asked) -> float:
    return needed(asked, "volume", "L", "How much water is in the bag or bucket? Send it, such as 2 L.")


def _constant(asked: Asked) -> bool:
    if word(asked, "model") == "constant":
        return True
    asked.assume("nothing drained: the water in the vessel grows")
    return False


def _number(asked: Asked, name: str) -> float | None:
    said = given(asked, name)
    if said is None:
        return None
    if not 0 < said.value < 1000:
        raise Unanswerable(f"{name} {words(said)} cannot be: send a number above 0.")
    return said.value


def _answer(asked: Asked, figures: tuple[Figure, ...], steps: tuple[str, ...]) -> Working:
    return working(asked, figures, steps, ("drip_bag",), ("mass_balance", "drop_factors", "LSU_stocking"))
