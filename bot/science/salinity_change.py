"""Raising or lowering the salinity of a tank: water to exchange or salt to add, and the days it is spread over."""

from __future__ import annotations

from bot.facts.load import table
from bot.items import Quantity
from bot.science.answers import n, volume_figures, working
from bot.science.inputs import (
    Asked,
    Lacking,
    Unanswerable,
    amount,
    ask,
    customary,
    given,
    in_unit,
    measures,
    volume_L,
    word,
)
from bot.science.pace import days_needed, steps_needed, warn_if_hasty
from bot.science.salinity import HIGHEST_PSU, salinity_from_salt_g_L, salt_g_L, sg_from_salinity
from bot.science.salt import dry_at_hand_g, mix_per_dry, salt_figures
from bot.science.salt_balance import salinity_after_salt, salt_to_raise_g
from bot.science.water import (
    practical,
    reference,
    salinity_figures,
    salinity_given,
    salinity_now,
    salinity_wanted,
    temperature_C,
)
from bot.science.working import Figure, Working

_SOURCES = ("mass_balance", "EOS80", "TEOS10")


def salinity_change(asked: Asked) -> Working:
    """Volume to exchange or salt to add for a wanted salinity, where an exchange ends, or the days to take."""
    return _UNKNOWNS[_unknown(asked)](asked)


def share_to_exchange(from_g_L: float, to_g_L: float, source_g_L: float) -> float:
    """Share of the water to exchange at once, 0 to 1: x = (c0 - c1) / (c0 - cs), with c in grams of salt a litre.

    Source      balance of mass; c from EOS80 density and TEOS10 salinity
    Checked     fixtures/calc/salinity_change.jsonl
    """
    return (from_g_L - to_g_L) / (from_g_L - source_g_L)


def _exchange(asked: Asked) -> Working:
    now, wanted = _now(asked), _wanted(asked)
    source = _source(asked, now, wanted)
    litres, temp = volume_L(asked), temperature_C(asked)
    share = share_to_exchange(*(salt_g_L(each, temp) for each in (now, wanted, source)))
    swapped = volume_figures(asked, "water to exchange", share * litres)
    steps = (f"x = V (c0 - c1)/(c0 - cs), c in g salt/L: {n(litres)} L x {n(share)} = {n(share * litres)} L",)
    spread = _spread(asked, now, wanted)
    first = volume_figures(asked, "on the first day", litres * _first_share(now, wanted, source, spread[0].value, temp))
    figures = (*swapped, Figure("share of the water", share * 100, "%"), *spread, *first)
    return working(asked, figures, steps, _cautions(now, wanted), _SOURCES)


def _first_share(now: float, wanted: float, source: float, days: float, temp: float) -> float:
    first = now + (wanted - now) / max(days, 1.0)
    return share_to_exchange(*(salt_g_L(each, temp) for each in (now, first, source)))


def _salt(asked: Asked) -> Working:
    now, wanted = _now(asked), _wanted(asked)
    if wanted <= now:
        raise Unanswerable(f"Salt only raises salinity: {now:.4g} to {wanted:.4g} ppt takes fresh water. Ask for that.")
    litres, temp = volume_L(asked), temperature_C(asked)
    dry, per_dry = salt_to_raise_g(litres, now, wanted, temp), mix_per_dry(asked)
    steps = (f"water of {n(litres)} L, {n(now)} to {n(wanted)} ppt: {n(dry)} g dry salt x {n(per_dry)}",)
    figures = (*salt_figures(asked, dry, per_dry), *_spread(asked, now, wanted))
    return working(asked, figures, steps, ("salt_dissolve_outside", *_cautions(now, wanted)), _SOURCES)


def _end(asked: Asked) -> Working:
    now, temp = _now(asked), temperature_C(asked)
    end = _salted(asked, now, temp) if given(asked, "added") else _exchanged(asked, now, temp)
    steps = (f"from {n(now)} ppt to {n(end)} ppt",)
    figures = (*salinity_figures(asked, "salinity after", end), *_spread(asked, now, end))
    return working(asked, figures, steps, _cautions(now, end), _SOURCES)


def _days(asked: Asked) -> Working:
    now, wanted = _now(asked), _wanted(asked)
    days, *rest = _spread(asked, now, wanted)
    steps = (f"|{n(wanted)} - {n(now)}| ppt over the most a day, rounded up: {n(days.value)} days",)
    return working(asked, (days, *rest), steps, _cautions(now, wanted), ("common practice, no source",))


def _needed_source(asked: Asked) -> Working:
    now, wanted, temp = _now(asked), _wanted(asked), temperature_C(asked)
    share = _share_changed(asked, "change")
    c0, c1 = salt_g_L(now, temp), salt_g_L(wanted, temp)
    needed = salinity_from_salt_g_L(max(c0 - (c0 - c1) / share, -1.0), temp)
    if needed is None:
        raise Unanswerable(
            f"An exchange of {share * 100:.4g} % cannot move {now:.4g} to {wanted:.4g} ppt: the new water would "
            f"have to lie outside 0 to {HIGHEST_PSU:g} ppt. Change more water, or move in steps."
        )
    steps = (f"cs = c0 - (c0 - c1)/x = {n(c0)} - {n(c0 - c1)}/{n(share)} g/L",)
    return working(asked, salinity_figures(asked, "salinity of the new water", needed), steps, (), _SOURCES)


def _unknown(asked: Asked) -> str:
    """Without a stronger source, salinity is raised with salt; a change that is already stated leaves its end open."""
    if word(asked, "ask"):
        return _salt_where_only_salt_raises(asked, ask(asked))
    if given(asked, "added") or (_is_exchange(asked) and given(asked, "to") is None):
        return "end"
    return _salt_where_only_salt_raises(asked, "exchange")


def _salt_where_only_salt_raises(asked: Asked, wanted: str) -> str:
    if wanted != "exchange" or asked.question.inputs.get("source") is not None:
        return wanted
    return "salt" if _wanted(asked) > _now(asked) else wanted


def _now(asked: Asked) -> float:
    now = salinity_now(asked)
    if now is None:
        raise Lacking(
            "from", Quantity(36.0, "ppt"), "The salinity of the tank now is missing. Send it, such as 1.024 or 33 ppt."
        )
    return now


def _wanted(asked: Asked) -> float:
    """The target: said outright, or a rise or fall from now; else the tank's, else the customary one."""
    change = given(asked, "change")
    if given(asked, "to") is None and change is not None and measures(change.unit) == "salinity":
        return _moved(asked, change)
    wanted = salinity_wanted(asked)
    return wanted if wanted is not None else customary(asked, "salinity_target")


def _moved(asked: Asked, change: Quantity) -> float:
    """Now plus a rise (or, below 0, a fall) in ppt or in SG points such as 0.002."""
    if change.unit != "SG":
        return practical(asked, Quantity(_now(asked) + change.value, "ppt"), "salinity wanted")
    now = given(asked, "from") or asked.known.readings.get("salinity")
    if now is None or now.unit != "SG":
        raise Unanswerable("A change in SG needs the SG of the tank now. Send it, such as 1.024.")
    return practical(asked, Quantity(now.value + change.value, "SG"), "salinity wanted")


def _source(asked: Asked, now: float, wanted: float) -> float:
    source = salinity_given(asked, "source")
    if source is None:
        asked.assume("the new water is fresh, 0 ppt")
        source = 0.0
    if wanted == now:
        raise Unanswerable(f"The tank already stands at {now:.4g} ppt: there is nothing to exchange.")
    if not min(now, source) <= wanted <= max(now, source) or source == wanted:
        raise Unanswerable(_beyond_source(now, wanted, source))
    return source


def _beyond_source(now: float, wanted: float, source: float) -> str:
    way = "raise" if wanted > now else "lower"
    need = "above" if wanted > now else "below"
    return (
        f"Water of {source:.4g} ppt cannot {way} {now:.4g} ppt to {wanted:.4g} ppt: the target must lie between the "
        f"tank and the new water. Use new water well {need} {wanted:.4g} ppt, or send another target."
    )


def _exchanged(asked: Asked, now: float, temp: float) -> float:
    source = salinity_given(asked, "source")
    if source is None:
        asked.assume("the new water is fresh, 0 ppt")
    left = (1 - _share_changed(asked, "change")) ** _times(asked)
    mixed = salt_g_L(source or 0.0, temp) * (1 - left) + salt_g_L(now, temp) * left
    return salinity_from_salt_g_L(mixed, temp) or 0.0


def _salted(asked: Asked, now: float, temp: float) -> float:
    end = salinity_after_salt(volume_L(asked), now, dry_at_hand_g(asked), temp)
    if end > HIGHEST_PSU:
        raise Unanswerable(
            f"That much salt would pass {HIGHEST_PSU:g} ppt, too strong for a tank. Send the mass again."
        )
    return end


def _share_changed(asked: Asked, name: str) -> float:
    said = given(asked, name)
    if said is None:
        raise Lacking(
            "change", Quantity(10.0, "%"), "How much water is exchanged is missing. Send it, such as 20 gal or 15 %."
        )
    share = said.value / 100 if said.unit == "%" else in_unit(said, "L", name) / volume_L(asked)
    if not 0 < share <= 1:
        raise Unanswerable(f"An exchange of {share * 100:.4g} % cannot be: send more than 0 and at most 100 %.")
    return share


def _times(asked: Asked) -> float:
    times = given(asked, "times")
    return times.value if times is not None else 1.0


def _is_exchange(asked: Asked) -> bool:
    said = given(asked, "change")
    return said is not None and measures(said.unit) in ("volume", "share")


def _spread(asked: Asked, now: float, wanted: float) -> tuple[Figure, ...]:
    """Days and the move of each day, by the stated rate or time where there is one, else by the tank's pace."""
    if wanted == now:
        return ()
    days = _days_said(asked, wanted, wanted - now)
    return (Figure("days", float(days), "day"), Figure("change a day", abs(wanted - now) / days, "ppt"))


def _days_said(asked: Asked, wanted: float, change: float) -> float:
    rate, time = given(asked, "rate"), amount(asked, "time", "day")
    days = time if time is not None else None if rate is None else _days_at(asked, rate, wanted, change)
    if days is None:
        return days_needed(asked, "salinity", change, "ppt")
    warn_if_hasty(asked, "salinity", change, days, "ppt")
    return days


def _days_at(asked: Asked, rate: Quantity, wanted: float, change: float) -> int:
    per_day = rate.value if rate.unit != "SG" else _ppt_of_points(asked, rate.value, wanted - change / 2)
    if per_day <= 0:
        raise Unanswerable("A rate of change is above 0. Send it in ppt or SG a day, such as 1 ppt or 0.001.")
    return steps_needed(abs(change), per_day)


def _ppt_of_points(asked: Asked, points: float, near: float) -> float:
    """What a few thousandths of SG are in ppt, around this salinity."""
    sg = sg_from_salinity(near, reference(asked))
    below, above = (practical(asked, Quantity(sg + half, "SG"), "rate") for half in (-points / 2, points / 2))
    return above - below


def _cautions(now: float, wanted: float) -> tuple[str, ...]:
    salinity_limits = table("limits")["salinity"]
    low = now >= salinity_limits["marine"]["least"] and wanted <= salinity_limits["hyposaline"]["most"]
    return ("new_water", "salinity_slowly", *(("hyposalinity",) if low else ()))


_UNKNOWNS = {"exchange": _exchange, "salt": _salt, "end": _end, "days": _days, "source": _needed_source}
