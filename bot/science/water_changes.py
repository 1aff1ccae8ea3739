"""The inputs of a question about water changes: from where to where, how much each time, how often."""

from __future__ import annotations

from bot.facts.load import table
from bot.items import Quantity
from bot.science.concentrations import Scale, concentration, in_new_water, now, wanted
from bot.science.inputs import Asked, Lacking, Unanswerable, amount, given, in_unit, volume_L, word

_MOST_VOLUMES = 1000.0


def way(asked: Asked, on: Scale) -> tuple[float, float, float]:
    """Start, end and new water, once it is certain that water changes can lead from one to the other."""
    start, end, source = start_of(asked, on), end_of(asked, on), in_new_water(asked, on)
    check_reachable(on, start, end, source, "what the new water holds")
    return start, end, source


def check_reachable(on: Scale, start: float, end: float, limit: float, limit_is: str) -> None:
    """Unanswerable where water changes, which lead towards `limit`, cannot lead from start to end."""
    if start == end:
        raise Unanswerable(f"It already stands at {start:.4g} {on.unit}: no change is needed. Send another target.")
    if not (start > end > limit or start < end < limit):
        raise Unanswerable(
            f"Water changes cannot bring {start:.4g} to {end:.4g} {on.unit}: they lead towards {limit:.4g}, "
            f"{limit_is}, and never past it. Send a target between the two, or use other water."
        )


def start_of(asked: Asked, on: Scale) -> float:
    """The concentration now; asked for where neither question nor record has it."""
    start = now(asked, on)
    if start is None:
        raise Lacking(
            "from", Quantity(40.0, on.unit), "The concentration now is missing. Send it, such as nitrate 40 mg/L."
        )
    return start


def end_of(asked: Asked, on: Scale) -> float:
    """The concentration wanted; asked for where neither question nor record has it."""
    end = wanted(asked, on) if word(asked, "halved") is None or given(asked, "to") else start_of(asked, on) / 2
    if end is None:
        raise Lacking(
            "to", Quantity(20.0, on.unit), "The concentration wanted is missing. Send it, such as down to 20 mg/L."
        )
    return end


def rise_of(asked: Asked, on: Scale) -> float:
    """The rise between two changes; asked for where it is missing."""
    rise = concentration(asked, "production", on)
    if rise is None:
        raise Lacking(
            "production",
            Quantity(1.0, on.unit),
            "The rise between two changes is missing. Send it, such as 5 mg/L a week.",
        )
    return rise


def share_changed(asked: Asked, name: str = "change") -> float:
    """What is changed as a share of the water, or a flow over a time; asked for where it is missing."""
    share = _share_said(asked, name)
    if share is None and name == "change":
        share = _share_by_flow(asked)
    if share is None:
        raise Lacking("change", Quantity(10.0, "%"), "How much is changed is missing. Send it, such as 25 % or 20 gal.")
    if not 0 < share <= _MOST_VOLUMES:
        raise Unanswerable(f"A change of {share * 100:.4g} % cannot be. Send one above 0, such as 25 % or 20 gal.")
    return share


def batch_share(asked: Asked, name: str = "change") -> float:
    """The same, Unanswerable above all the water: only a slow exchange can pass more."""
    share = share_changed(asked, name)
    if share > 1:
        raise Unanswerable(f"A change of {share * 100:.4g} % is more than all the water. Send at most 100 %.")
    return share


def times_of(asked: Asked, name: str = "times") -> float:
    """The number of changes: said, else the time over the interval, else one."""
    times, time, interval = given(asked, name), amount(asked, "time", "min"), amount(asked, "interval", "min")
    if times is not None:
        return count(in_unit(times, "", name))
    return 1.0 if time is None or interval is None else max(1.0, time // interval)


def count(times: float) -> float:
    """A number of changes or rinses that can be; Unanswerable otherwise."""
    most = table("measures")["limit"]["times"]["high"]
    if not 0 < times <= most:
        raise Unanswerable(f"{times:g} times cannot be: send a number from 1 to {most:,.0f}.")
    return times


def is_slow(asked: Asked) -> bool:
    """Whether water runs in and out together, instead of being changed in batches."""
    return word(asked, "model") == "continuous" or given(asked, "flow") is not None


def _share_said(asked: Asked, name: str) -> float | None:
    said = given(asked, name)
    if said is None:
        return None
    if said.unit == "%":
        return said.value / 100
    return in_unit(said, "L", name) / volume_L(asked)


def _share_by_flow(asked: Asked) -> float | None:
    flow, time = amount(asked, "flow", "L/h"), amount(asked, "time", "h")
    return None if flow is None or time is None else flow * time / volume_L(asked)
