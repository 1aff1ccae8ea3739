"""What water changes do to a concentration: how large, how many, where it ends or settles."""

from __future__ import annotations

from dataclasses import replace

from bot.facts.load import table
from bot.items import Quantity
from bot.science.answers import n, time_figures, volume_figures, working
from bot.science.concentrations import Scale, concentration, in_new_water, scale
from bot.science.dilution_sums import (
    changes_to_reach,
    exchange_to_reach,
    settled_after_change,
    settled_before_change,
    share_to_reach,
    share_to_settle_at,
    value_after_changes,
    value_after_exchange,
    value_before_changes,
)
from bot.science.inputs import Asked, Lacking, Unanswerable, amount, ask, given, volume_L, word
from bot.science.water_changes import (
    batch_share,
    check_reachable,
    end_of,
    is_slow,
    rise_of,
    share_changed,
    start_of,
    times_of,
    way,
)
from bot.science.working import Figure, Working

_SOURCES = ("mass_balance",)
_CAUTIONS = ("new_water",)
_MINUTES_A_WEEK = 7 * 24 * 60.0


def dilution(asked: Asked) -> Working:
    """Size or number of water changes, the concentration after them, or where it settles."""
    return _UNKNOWNS[_unknown(asked)](asked)


def _change(asked: Asked) -> Working:
    on = scale(asked)
    rise = concentration(asked, "production", on)
    if rise:
        return _change_that_holds(asked, on, rise)
    start, end, source = way(asked, on)
    if is_slow(asked):
        return _slow_change(asked, start, end, source)
    times = times_of(asked)
    share = share_to_reach(start, end, source, times)
    steps = (f"f = 1 - (({n(end)} - {n(source)})/({n(start)} - {n(source)}))^(1/{n(times)}) = {n(share)}",)
    _warn_if_large(asked, on, start, end, source, share)
    return working(asked, _share_figures(asked, "water to change", share), steps, _CAUTIONS, _SOURCES)


def _slow_change(asked: Asked, start: float, end: float, source: float) -> Working:
    volumes = exchange_to_reach(start, end, source)
    steps = (f"q/V = ln(({n(start)} - {n(source)})/({n(end)} - {n(source)})) = {n(volumes)}",)
    figures = (*_share_figures(asked, "water to exchange slowly", volumes), *_running(asked, volumes))
    return working(asked, figures, steps, _CAUTIONS, _SOURCES)


def _running(asked: Asked, volumes: float) -> tuple[Figure, ...]:
    """How long the exchange runs, where its flow was said."""
    flow = amount(asked, "flow", "L/h")
    return () if flow is None else time_figures(asked, "time", volumes * volume_L(asked) / flow * 60, "h", "min")


def _change_that_holds(asked: Asked, on: Scale, rise: float) -> Working:
    peak, source = end_of(asked, on), in_new_water(asked, on)
    if peak - source < rise:
        raise Unanswerable(
            f"A rise of {rise:.4g} {on.unit} between changes cannot be held at {peak:.4g}: even changing all the water "
            f"starts from {source:.4g}. Change more often, or send a higher limit."
        )
    share = share_to_settle_at(peak, source, rise)
    steps = (f"f = p/(C - Cs) = {n(rise)}/({n(peak)} - {n(source)}) = {n(share)}",)
    return working(asked, _share_figures(asked, "change each time", share), steps, _CAUTIONS, _SOURCES)


def _end(asked: Asked) -> Working:
    on = scale(asked)
    start, source = start_of(asked, on), in_new_water(asked, on)
    if is_slow(asked):
        return _end_of_exchange(asked, on, start, source)
    share, times, rise = batch_share(asked), times_of(asked), concentration(asked, "production", on) or 0.0
    end = value_after_changes(start, source, share, times, rise)
    steps = (_changes_step(start, source, share, times, rise, end),)
    return working(asked, _ends(asked, on, end), steps, _CAUTIONS, _SOURCES)


def _end_of_exchange(asked: Asked, on: Scale, start: float, source: float) -> Working:
    share = share_changed(asked)
    end = value_after_exchange(start, source, share)
    steps = (f"C = Cs + (C0 - Cs) e^(-q/V), q/V = {n(share)}: {n(end)} {on.unit}",)
    return working(asked, _ends(asked, on, end), steps, _CAUTIONS, _SOURCES)


def _number(asked: Asked) -> Working:
    on = scale(asked)
    start, end, source = way(asked, on)
    share, rise = batch_share(asked), concentration(asked, "production", on) or 0.0
    settled = settled_after_change(source, share, rise)
    check_reachable(on, start, end, settled, "where such changes settle")
    times = changes_to_reach(start, end, settled, share)
    after = value_after_changes(start, source, share, times, rise)
    steps = (f"n = ln((C1 - C*)/(C0 - C*))/ln(1 - f), C* = {n(settled)}, f = {n(share)}, rounded up: {times}",)
    figures = (Figure("changes", float(times), ""), *_ends(asked, on, after), *_lasting(asked, times))
    return working(asked, figures, steps, _CAUTIONS, _SOURCES)


def _time(asked: Asked) -> Working:
    """How long: of a slow exchange at a flow, else the number of changes times their interval."""
    flow = amount(asked, "flow", "L/h")
    if flow is None:
        return _time_of_changes(asked)
    start, end, source = way(asked, scale(asked))
    volumes = exchange_to_reach(start, end, source)
    steps = (f"t = V/Q ln((C0 - Cs)/(C1 - Cs)): {n(volumes)} volumes at {n(flow)} L/h",)
    return working(asked, _running(asked, volumes), steps, _CAUTIONS, _SOURCES)


def _time_of_changes(asked: Asked) -> Working:
    if given(asked, "interval") is None:
        raise Lacking(
            "interval", Quantity(1.0, "week"), "How often water is changed is missing. Send it, such as weekly."
        )
    worked = _number(asked)
    changes, end, *lasting = worked.figures
    return replace(worked, figures=(*lasting, changes, end))


def _peak(asked: Asked) -> Working:
    on = scale(asked)
    rise, source, share = rise_of(asked, on), in_new_water(asked, on), batch_share(asked)
    before, after = settled_before_change(source, share, rise), settled_after_change(source, share, rise)
    steps = (f"Cs + p/f = {n(source)} + {n(rise)}/{n(share)} = {n(before)}; after a change p less: {n(after)}",)
    named = (Figure("just before a change", before, on.unit), Figure("just after a change", after, on.unit))
    return working(asked, named[::-1] if ask(asked) == "after" else named, steps, _CAUTIONS, _SOURCES)


def _from(asked: Asked) -> Working:
    on = scale(asked)
    end, source, share, times = end_of(asked, on), in_new_water(asked, on), batch_share(asked), times_of(asked)
    if share >= 1:
        raise Unanswerable("A change of all the water leaves no trace of what was there before. Send a smaller change.")
    start = value_before_changes(end, source, share, times)
    steps = (f"C0 = Cs + (C1 - Cs)/(1 - f)^n = {n(start)} {on.unit}",)
    return working(asked, (Figure("before the changes", start, on.unit),), steps, _CAUTIONS, _SOURCES)


def _compare(asked: Asked) -> Working:
    on = scale(asked)
    start, source = start_of(asked, on), in_new_water(asked, on)
    plans = [(batch_share(asked, f"change{more}"), times_of(asked, f"times{more}")) for more in ("", "_2")]
    ends = [value_after_changes(start, source, share, times) for share, times in plans]
    names = [f"after {times:g} x {share * 100:.4g} %" for share, times in plans]
    figures = [Figure(name, end, on.unit) for name, end in zip(names, ends, strict=True)]
    steps = [f"{n(start)} {each.name}: {n(each.value)}" for each in figures]
    return working(asked, figures, steps, _CAUTIONS, _SOURCES)


def _unknown(asked: Asked) -> str:
    """The word of the question; without one, whatever the given inputs leave open."""
    if word(asked, "ask"):
        return ask(asked)
    if given(asked, "change_2"):
        return "compare"
    if given(asked, "change") is None and given(asked, "flow") is None:
        return "change"
    if given(asked, "to"):
        return "times" if given(asked, "flow") is None else "time"
    return "end" if given(asked, "from") or not given(asked, "production") else "peak"


def _warn_if_large(asked: Asked, on: Scale, start: float, end: float, source: float, share: float) -> None:
    limit = table("limits")["one_change"]
    most = limit["planned"] / 100
    if share > most + 1e-9 and on.parameter not in limit["urgent"]:
        smaller = changes_to_reach(start, end, source, most)
        asked.warn(
            f"{share * 100:.3g} % in one go is much for animals: {smaller} changes of {most * 100:g} %, "
            "some days apart, reach it as well."
        )


def _share_figures(asked: Asked, name: str, share: float) -> tuple[Figure, ...]:
    """The volume first where the water volume is known, else per cent; per cent first where it was asked in that."""
    percent = Figure(name, share * 100, "%")
    if given(asked, "volume") is None and asked.known.volume_L is None:
        return (percent,)
    volumes = volume_figures(asked, name, share * volume_L(asked))
    return (percent, *volumes) if word(asked, "to_unit") == "%" else (*volumes, percent)


def _ends(asked: Asked, on: Scale, end: float) -> tuple[Figure, ...]:
    return (Figure(f"{on.parameter or 'concentration'} after", end, on.unit),)


def _lasting(asked: Asked, times: float) -> tuple[Figure, ...]:
    interval = amount(asked, "interval", "min")
    return () if interval is None else time_figures(asked, "time", times * interval, *_long_units(interval))


def _long_units(interval: float) -> tuple[str, ...]:
    return ("week", "day") if interval >= _MINUTES_A_WEEK else ("day", "h")


def _changes_step(start: float, source: float, share: float, times: float, rise: float, end: float) -> str:
    each = f", rising {n(rise)} before each" if rise else ""
    return (
        f"C = Cs + (C0 - Cs)(1 - f)^n: {n(start)} with new water at {n(source)}, {times:g} x {n(share)}{each}: {n(end)}"
    )


_UNKNOWNS = {
    "change": _change,
    "end": _end,
    "times": _number,
    "time": _time,
    "peak": _peak,
    "after": _peak,
    "from": _from,
    "compare": _compare,
}
