"""Topic heating: hours, watts, kWh, the warmest a heater can hold, the temperature after a time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import inf, log

from bot.science import heat
from bot.science.answers import figures_in, in_units, working
from bot.science.heat import HeatBalance
from bot.science.inputs import Asked, Unanswerable, amount, ask, given, needed, volume_L, word
from bot.science.kinds import salinity_or_fresh
from bot.science.temperatures import degrees, shown_C, tank_temperature_C, temperature_words
from bot.science.working import Figure, Working

_TYPICAL_C = 25.0


@dataclass(frozen=True)
class _Water:
    """The water to be warmed: its heat capacity, and where it starts and ends."""

    capacity_J_K: float
    from_C: float
    to_C: float

    @property
    def rise_K(self) -> float:
        return self.to_C - self.from_C


def heating(asked: Asked) -> Working:
    """Hours, watts, kWh or end temperature for a volume of water; source energy_balance, Millero_1973."""
    return _ANSWERS[_wanted(asked)](asked)


def _wanted(asked: Asked) -> str:
    """What the question asks for, or what its inputs leave open."""
    if word(asked, "ask") is not None:
        return ask(asked)
    if given(asked, "power") is None:
        return "power" if given(asked, "time") else "energy"
    if given(asked, "to") is None and given(asked, "change") is None:
        return "end" if given(asked, "time") else "ceiling"
    return "time"


def _time(asked: Asked) -> Working:
    if given(asked, "power") is None and given(asked, "time_constant") is not None:
        return _cooling(asked)
    water, balance = _water(asked), _balance(asked, heater=True)
    hours = heat.hours_to_warm(water.capacity_J_K, water.from_C, water.to_C, balance)
    if hours == inf:
        raise Unanswerable(_never(asked, water, balance))
    step = f"{_joules(water)} / {balance.power_W:g} W = {hours:.3g} h" if balance.loss_W_K == 0 else _loss_step(balance)
    return _answer(
        asked, (*figures_in(asked, "time", hours, "h", "h"), *_energy_figures(water, balance, hours)), (step,), water
    )


def _cooling(asked: Asked) -> Working:
    """Hours until water left to itself has gone from one temperature to another, by the time constant of a test."""
    constant = needed(asked, "time_constant", "h", "Send the time constant of a cooling test, such as 20 h.")
    start, end = (
        _start_C(asked),
        needed(asked, "to", "degC", "To what temperature? Send it with its unit, such as 78 F."),
    )
    room = needed(asked, "room", "degC", "How warm is the room? Send its temperature with the question.")
    left = (end - room) / (start - room) if start != room else 0.0
    if not 0 < left <= 1:
        raise Unanswerable(
            f"Left to itself, {start:.4g} °C goes towards the room's {room:.4g} °C, not to {end:.4g} °C."
        )
    hours = constant * log(1 / left)
    step = f"{constant:g} h x ln(({start:.4g} - {room:.4g}) / ({end:.4g} - {room:.4g})) = {hours:.3g} h"
    return _answer(asked, figures_in(asked, "time", hours, "h", "h"), (step,))


def _power(asked: Asked) -> Working:
    if given(asked, "time") is None and given(asked, "loss") is not None:
        return _holding(asked)
    water, balance = _water(asked), _balance(asked, heater=False)
    hours = needed(asked, "time", "h", "In what time? Send the hours with the question, such as 6 h.")
    watts = heat.watts_to_warm(water.capacity_J_K, water.from_C, water.to_C, hours, balance)
    if watts <= 0:
        raise Unanswerable(_cooler(asked, water))
    step = f"{_joules(water)} in {hours:g} h, losses {balance.loss_W_K:g} W per degree: {watts:.4g} W"
    return _answer(
        asked, (*figures_in(asked, "power", watts, "W", "W"), *_energy_figures(water, balance, hours)), (step,), water
    )


def _holding(asked: Asked) -> Working:
    """Watts that keep a temperature against the loss."""
    balance = _balance(asked, heater=False)
    wanted = needed(asked, "to", "degC", "What temperature is to be held? Send it with its unit, such as 78 F.")
    watts = balance.loss_W_K * (wanted - balance.room_C)
    step = f"{balance.loss_W_K:.4g} W per °C x ({wanted:.4g} - {balance.room_C:.4g}) °C = {watts:.4g} W"
    if watts <= 0:
        raise Unanswerable(f"The room is at {balance.room_C:.4g} °C: no heater is needed to hold {wanted:.4g} °C.")
    asked.assume("to hold it only; warming up needs more")
    return _answer(asked, figures_in(asked, "power", watts, "W", "W"), (step,))


def _energy(asked: Asked) -> Working:
    water = _water(asked)
    kWh = heat.energy_kWh(water.capacity_J_K, _rising_K(asked, water))
    asked.assume("losses to the room left out")
    return _answer(asked, figures_in(asked, "energy", kWh, "kWh", "kWh"), (f"{_joules(water)} = {kWh:.3g} kWh",), water)


def _ceiling(asked: Asked) -> Working:
    balance = _balance(asked, heater=True)
    if balance.loss_W_K == 0:
        raise Unanswerable("How much does the tank lose? Send watts per degree above the room, such as 10 W/°C.")
    top = heat.ceiling_C(balance)
    step = f"room {balance.room_C:.4g} °C + {balance.power_W:g} W / {balance.loss_W_K:.3g} W per °C = {top:.4g} °C"
    return _answer(asked, shown_C(asked, "warmest", top), (step,))


def _end(asked: Asked) -> Working:
    hours = needed(asked, "time", "h", "After how long? Send the hours with the question.")
    start, balance = _start_C(asked), _balance(asked, heater=given(asked, "loss") is None)
    capacity = _capacity(asked, start)
    end = heat.temp_after_C(capacity, start, hours, balance)
    step = f"{balance.power_W:g} W for {hours:g} h from {start:.4g} °C on {capacity / 1000:.4g} kJ per °C"
    return _answer(asked, shown_C(asked, "temperature", end), (step,), _Water(capacity, start, end))


def _loss(asked: Asked) -> Working:
    hours = needed(asked, "time_constant", "h", "Send the time constant of a cooling test, such as 20 h.")
    start = tank_temperature_C(asked, "from")
    loss = heat.loss_from_cooling_W_K(_capacity(asked, _TYPICAL_C if start is None else start), hours)
    step = f"heat capacity / {hours:g} h = {loss:.3g} W per °C"
    return _answer(asked, in_units("loss", loss, "W/degC", "W/degC", "W/degF"), (step,))


_ANSWERS: dict[str, Callable[[Asked], Working]] = {
    "time": _time, "power": _power, "energy": _energy, "ceiling": _ceiling, "end": _end, "loss": _loss,
}  # fmt: skip


def _water(asked: Asked) -> _Water:
    change = degrees(asked, "change")
    if change is None:
        start = _start_C(asked)
        end = needed(asked, "to", "degC", "To what temperature? Send it with its unit, such as 78 F.")
    else:
        start = _start_of_rise_C(asked, change)
        end = start + change
    if end == start:
        raise Unanswerable(f"The water is at {temperature_words(asked, start)} already: there is nothing to warm.")
    return _Water(_capacity(asked, (start + end) / 2), start, end)


def _start_of_rise_C(asked: Asked, change_K: float) -> float:
    """Where a rise begins: as said, down from the temperature wanted, or as usual where it hardly matters."""
    start, to = amount(asked, "from", "degC"), amount(asked, "to", "degC")
    if start is not None:
        return start
    return (_TYPICAL_C if to is None else to) - change_K


def _start_C(asked: Asked) -> float:
    start = tank_temperature_C(asked, "from")
    if start is None:
        raise Unanswerable("From what temperature? Send the water's temperature now, such as 68 F.")
    return start


def _capacity(asked: Asked, temp_C: float) -> float:
    salinity = salinity_or_fresh(asked, "sea water needs 2 % less")
    return heat.heat_capacity_J_K(volume_L(asked), min(max(temp_C, -2), 60), salinity)


def _balance(asked: Asked, heater: bool) -> HeatBalance:
    """Heater and losses as said; where a loss is not said, none, and that is named."""
    power = (
        needed(asked, "power", "W", "What heater? Send its watts.") if heater else (amount(asked, "power", "W") or 0)
    )
    loss = _loss_W_K(asked)
    if loss is None or word(asked, "no_loss") == "yes":
        asked.assume("losses to the room left out: it takes longer than this")
        return HeatBalance(power)
    room = amount(asked, "room", "degC")
    if room is None:
        raise Unanswerable("How warm is the room? Send its temperature with the question.")
    return HeatBalance(power, loss, room)


def _loss_W_K(asked: Asked) -> float | None:
    hours = amount(asked, "time_constant", "h")
    if hours is None:
        said = given(asked, "loss")
        return None if said is None else _positive_loss(asked)
    return heat.loss_from_cooling_W_K(_capacity(asked, _TYPICAL_C), hours)


def _positive_loss(asked: Asked) -> float:
    loss = amount(asked, "loss", "W/degC")
    if loss is None or not loss > 0:
        raise Unanswerable("The loss cannot be 0 or less: send watts per degree, such as 10 W/°C.")
    return loss


def _rising_K(asked: Asked, water: _Water) -> float:
    if water.rise_K < 0:
        raise Unanswerable(_cooler(asked, water))
    return water.rise_K


def _cooler(asked: Asked, water: _Water) -> str:
    goal, now = (temperature_words(asked, each) for each in (water.to_C, water.from_C))
    return f"{goal} is colder than {now}: a heater cannot cool water."


def _never(asked: Asked, water: _Water, balance: HeatBalance) -> str:
    if balance.loss_W_K == 0:
        return _cooler(asked, water)
    top, goal = (temperature_words(asked, each) for each in (heat.ceiling_C(balance), water.to_C))
    return (
        f"Never: {balance.power_W:g} W against {balance.loss_W_K:.3g} W per °C settles at {top}, "
        f"so {goal} is out of reach. More watts, a cover or a warmer room changes that."
    )


def _joules(water: _Water) -> str:
    return f"{water.capacity_J_K / 1000:.4g} kJ per °C x {water.rise_K:.4g} °C"


def _loss_step(balance: HeatBalance) -> str:
    return f"towards {heat.ceiling_C(balance):.4g} °C (room + watts / loss), slowing down: C/UA x ln of the gaps"


def _energy_figures(water: _Water, balance: HeatBalance, hours: float) -> tuple[Figure, ...]:
    kWh = balance.power_W * hours / 1000 or heat.energy_kWh(water.capacity_J_K, water.rise_K)
    ceiling = (Figure("warmest", heat.ceiling_C(balance), "degC"),) if balance.loss_W_K and balance.power_W else ()
    return (Figure("energy", kWh, "kWh"), *ceiling)


def _answer(asked: Asked, figures: tuple[Figure, ...], steps: tuple[str, ...], water: _Water | None = None) -> Working:
    slow = ("warm_slowly",) if water is not None and abs(water.rise_K) > 1 else ()
    return working(asked, figures, steps, ("electricity", *slow), ("energy_balance", "Millero_1973", "EOS80"))
