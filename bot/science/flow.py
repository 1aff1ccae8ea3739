"""Turnovers an hour, the pump for them, flow from a bucket test, and how long haze takes to clear."""

from __future__ import annotations

from math import log

from bot.items import Quantity
from bot.science.answers import flow_figures, n, time_figures, volume_figures, working
from bot.science.inputs import Asked, Lacking, Unanswerable, amount, ask, customary, given, in_unit, volume_L, word
from bot.science.working import Figure, Working

_SOURCES = ("mass_balance",)
_RATED = ("rated_flow",)


def turnover(asked: Asked) -> Working:
    """Turnovers an hour, minutes for one, the flow or the volume for them, or the time to clear haze."""
    return _UNKNOWNS[_unknown(asked)](asked)


def hours_to_clear(volume_L: float, flow_L_h: float, share_left: float, removed_per_pass: float) -> float:
    """Hours until only share_left of the haze is left: t = V/(Q e) ln(1/share).

    share_left          above 0, below 1
    removed_per_pass    e, above 0 and at most 1
    Source              balance of mass of well-mixed water
    Checked             fixtures/calc/turnover.jsonl
    """
    return volume_L / (flow_L_h * removed_per_pass) * log(1 / share_left)


def _turnover(asked: Asked) -> Working:
    litres, flow = volume_L(asked), _flow_L_h(asked)
    times = flow / litres
    figures = (Figure("turnovers an hour", times, "1/h"), *time_figures(asked, "one turnover", 60 / times, "min"))
    return working(asked, figures, (f"{n(flow)} L/h / {n(litres)} L = {n(times)} an hour",), _RATED, _SOURCES)


def _minutes(asked: Asked) -> Working:
    litres, flow = volume_L(asked), _flow_L_h(asked)
    minutes = litres / flow * 60
    steps = (f"{n(litres)} L / {n(flow)} L/h x 60 = {n(minutes)} min",)
    return working(asked, time_figures(asked, "one turnover", minutes, "min", "h"), steps, _RATED, _SOURCES)


def _flow(asked: Asked) -> Working:
    if given(asked, "times") is not None and given(asked, "fill_time") is None:
        return _flow_for_times(asked)
    flow = _flow_by_bucket(asked)
    steps = (f"the jug over the time it took: {n(flow)} L/h",)
    return working(asked, flow_figures(asked, "flow", flow), steps, (), _SOURCES)


def _flow_for_times(asked: Asked) -> Working:
    litres, times = volume_L(asked), _times(asked)
    flow = litres * times / _after_head(asked)
    steps = (f"{n(litres)} L x {n(times)} an hour = {n(litres * times)} L/h, before head loss {n(flow)} L/h",)
    return working(asked, flow_figures(asked, "flow", flow), steps, _RATED, _SOURCES)


def _volume(asked: Asked) -> Working:
    flow, times = _flow_L_h(asked), _times(asked)
    steps = (f"{n(flow)} L/h / {n(times)} an hour = {n(flow / times)} L",)
    return working(asked, volume_figures(asked, "water", flow / times), steps, _RATED, _SOURCES)


def _time(asked: Asked) -> Working:
    litres, flow, left, removed = volume_L(asked), _flow_L_h(asked), _share_left(asked), _removed_per_pass(asked)
    hours = hours_to_clear(litres, flow, left, removed)
    steps = (
        f"t = V/(Q e) ln(1/{n(left)}) = {n(litres)}/({n(flow)} x {n(removed)}) x {n(log(1 / left))} = {n(hours)} h",
    )
    figures = (*time_figures(asked, "time", hours * 60, "min", "h"), Figure("turnovers", hours * flow / litres, ""))
    return working(asked, figures, steps, _RATED, _SOURCES)


def _unknown(asked: Asked) -> str:
    """The word of the question; without one, whatever the given inputs leave open."""
    if word(asked, "ask"):
        return ask(asked)
    if given(asked, "fraction") or given(asked, "remaining"):
        return "time"
    if given(asked, "flow") is None:
        return "turnover" if given(asked, "volume") and given(asked, "fill_time") else "flow"
    return "volume" if given(asked, "times") else "turnover"


def _flow_L_h(asked: Asked) -> float:
    """The flow through the filter: measured with a bucket, else said, less what is lost to head where that is said."""
    if given(asked, "fill_time") is not None:
        return _flow_by_bucket(asked)
    flow = amount(asked, "flow", "L/h")
    if flow is None:
        raise Lacking(
            "flow",
            Quantity(100.0, "L/h"),
            "The flow is missing. Send it, such as 600 gal/h, or time how long a jug takes to fill.",
        )
    return flow * _after_head(asked)


def _flow_by_bucket(asked: Asked) -> float:
    jug, hours = amount(asked, "amount", "L"), amount(asked, "fill_time", "h")
    if jug is None or hours is None:
        raise Unanswerable("A flow needs a jug and the time it took to fill, such as 1 gal in 12 s. Send both.")
    return jug / hours


def _after_head(asked: Asked) -> float:
    loss = amount(asked, "loss", "%")
    if loss is None:
        return 1.0
    return _open_share(1 - loss / 100, "A loss of all the flow leaves none. Send a loss below 100 %.")


def _times(asked: Asked) -> float:
    times = given(asked, "times")
    if times is None:
        raise Lacking(
            "times", Quantity(1.0, "1/h"), "Turnovers an hour are missing. Send them, such as 5 times an hour."
        )
    value = times.value if times.unit == "" else in_unit(times, "1/h", "times")
    if value <= 0:
        raise Unanswerable(f"{value:g} turnovers an hour cannot be: send a number above 0.")
    return value


def _share_left(asked: Asked) -> float:
    left, gone = amount(asked, "remaining", "%"), amount(asked, "fraction", "%")
    if left is None:
        left = 100 - (gone if gone is not None else customary(asked, "haze_cleared"))
    if not 0 < left < 100:
        raise Unanswerable(
            "Haze thins out and never goes to exactly 0. Send a share between 0 and 100 %, such as 90 % gone."
        )
    return left / 100


def _removed_per_pass(asked: Asked) -> float:
    removed = amount(asked, "efficiency", "%")
    if removed is None:
        removed = customary(asked, "filter_pass")
    return _open_share(removed / 100, "A filter that removes nothing never clears the water. Send more than 0 %.")


def _open_share(share: float, otherwise: str) -> float:
    if share <= 0:
        raise Unanswerable(otherwise)
    return share


_UNKNOWNS = {"turnover": _turnover, "minutes": _minutes, "flow": _flow, "volume": _volume, "time": _time}
