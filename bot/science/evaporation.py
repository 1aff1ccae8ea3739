"""Evaporation and topping off: water lost, the salinity it leaves, the loss a day, how long a can lasts."""

from __future__ import annotations

from math import pi

from bot.items import Quantity
from bot.science.answers import flow_figures, n, time_figures, volume_figures, working
from bot.science.density import sea_density_kg_L, water_density_kg_L
from bot.science.inputs import Asked, Lacking, Unanswerable, amount, ask, given, volume_L, word
from bot.science.salinity import HIGHEST_PSU, salinity_from_salt, salt_g_kg
from bot.science.water import (
    SEA_WORDS,
    recorded_salinity,
    salinity_figures,
    salinity_given,
    salinity_now,
    temperature_C,
)
from bot.science.working import Figure, Working

_SOURCES = ("mass_balance", "EOS80", "TEOS10")
_CAUTIONS = ("top_off_level",)


def top_off(asked: Asked) -> Working:
    """Water evaporated for a rise in salinity, the rise for a loss, the loss a day, or how long a can lasts."""
    return _UNKNOWNS[_unknown(asked)](asked)


def evaporated_L(full_L: float, full_PSU: float, risen_PSU: float, temp_C: float) -> float:
    """Fresh water lost (and to be put back) when salinity has risen, L; the salt stays where it is.

    full_L                  water when the level is right, above 0
    full_PSU, risen_PSU     salinity at that level, and after the loss
    temp_C                  of the water
    Source                  balance of mass, EOS80, TEOS10; the shorthand V (1 - S0/S1) is within 0.3 %
    Checked                 fixtures/calc/top_off.jsonl
    """
    mass_kg = full_L * sea_density_kg_L(full_PSU, temp_C)
    return mass_kg * (1 - salt_g_kg(full_PSU) / salt_g_kg(risen_PSU)) / water_density_kg_L(temp_C)


def salinity_after_loss(full_L: float, full_PSU: float, lost_L: float, temp_C: float) -> float:
    """Practical salinity once so much fresh water has evaporated; the inverse of `evaporated_L`."""
    mass_kg = full_L * sea_density_kg_L(full_PSU, temp_C)
    return salinity_from_salt(salt_g_kg(full_PSU) * mass_kg / (mass_kg - lost_L * water_density_kg_L(temp_C)))


def salinity_after_top_off(full_L: float, full_PSU: float, lost_L: float, source_PSU: float, temp_C: float) -> float:
    """Practical salinity once a loss of fresh water was made up with water of source_PSU; source as `evaporated_L`."""
    whole_kg = full_L * sea_density_kg_L(full_PSU, temp_C)
    put_kg = lost_L * sea_density_kg_L(source_PSU, temp_C)
    salt_g = whole_kg * salt_g_kg(full_PSU) + put_kg * salt_g_kg(source_PSU)
    return salinity_from_salt(salt_g / (whole_kg - lost_L * water_density_kg_L(temp_C) + put_kg))


def _amount(asked: Asked) -> Working:
    time, rate = amount(asked, "time", "day"), amount(asked, "rate", "L/day")
    if time is not None and rate is not None:
        return _needed_for(asked, rate, time)
    return _amount_from_drop(asked) if given(asked, "depth") else _amount_from_rise(asked)


def _needed_for(asked: Asked, rate: float, time: float) -> Working:
    steps = (f"{n(rate)} L/day x {n(time)} days = {n(rate * time)} L",)
    return working(asked, volume_figures(asked, "top-off water", rate * time), steps, _CAUTIONS, ("mass_balance",))


def _amount_from_drop(asked: Asked) -> Working:
    lost = _dropped_L(asked)
    steps = (f"surface x drop of the level = {n(lost)} L",)
    figures = (*volume_figures(asked, "water lost", lost), *_daily(asked, lost))
    return working(asked, figures, steps, _CAUTIONS, ("mass_balance",))


def _amount_from_rise(asked: Asked) -> Working:
    litres, temp = volume_L(asked), temperature_C(asked)
    full, risen = _full_and_risen(asked)
    lost = evaporated_L(litres, full, risen, temp)
    steps = (f"salt stays: V (1 - S0/S1), by mass: {n(litres)} L, {n(full)} to {n(risen)} ppt = {n(lost)} L",)
    figures = (*volume_figures(asked, "fresh water", lost), *_daily(asked, lost))
    return working(asked, figures, steps, _CAUTIONS, _SOURCES)


def _end(asked: Asked) -> Working:
    litres, full, lost, temp = volume_L(asked), _from(asked), _lost_L(asked), temperature_C(asked)
    source = _source(asked, full)
    end = (
        _risen_to(litres, full, lost, temp)
        if source is None
        else salinity_after_top_off(litres, full, lost, source, temp)
    )
    if end > HIGHEST_PSU:
        raise Unanswerable(f"That loss would pass {HIGHEST_PSU:g} ppt, which no tank reaches. Send the amounts again.")
    back = "not made up" if source is None else f"made up with {n(source)} ppt"
    steps = (f"{n(litres)} L of {n(full)} ppt less {n(lost)} L of fresh water, {back}: {n(end)} ppt",)
    rise = Figure("rise", end - full, "ppt")
    return working(asked, (*salinity_figures(asked, "salinity", end), rise), steps, _CAUTIONS, _SOURCES)


def _source(asked: Asked, full: float) -> float | None:
    """Salinity of what the loss was made up with; salt water that was not described is as salty as the tank."""
    if word(asked, "source") in SEA_WORDS:
        asked.assume(f"the salt water put in has {full:.4g} ppt, like the tank")
        return full
    return salinity_given(asked, "source")


def _risen_to(litres: float, full: float, lost: float, temp: float) -> float:
    if lost >= litres:
        raise Unanswerable(f"{lost:.4g} L cannot evaporate from {litres:.4g} L and leave water. Send both again.")
    return salinity_after_loss(litres, full, lost, temp)


def _rate(asked: Asked) -> Working:
    time = _days(asked)
    lost = amount(asked, "amount", "L")
    if lost is None:
        lost = _dropped_L(asked) if given(asked, "depth") else _lost_by_rise(asked)
    return working(asked, _flow_a_day(asked, lost / time), (f"{n(lost)} L / {n(time)} days",), _CAUTIONS, _SOURCES)


def _time(asked: Asked) -> Working:
    can, rate = _can_L(asked), amount(asked, "rate", "L/day")
    if rate is None:
        raise Lacking(
            "rate", Quantity(1.0, "L/day"), "The loss a day is missing. Send it, such as 0.7 gal/day or 3 L/day."
        )
    steps = (f"{n(can)} L / {n(rate)} L/day = {n(can / rate)} days",)
    lasts = time_figures(asked, "lasts", can / rate * 1440, "day", "h")
    return working(asked, lasts, steps, _CAUTIONS, ("mass_balance",))


def _unknown(asked: Asked) -> str:
    if word(asked, "ask"):
        return ask(asked)
    has = {name for name in ("amount", "to", "rate", "time") if given(asked, name)}
    if has == {"amount", "rate"}:
        return "time"
    if has == {"amount", "time"}:
        return "rate"
    return "end" if "amount" in has and "to" not in has else "amount"


def _from(asked: Asked) -> float:
    full = salinity_now(asked)
    if full is None:
        raise Lacking(
            "from", Quantity(30.0, "ppt"), "The salinity at full level is missing. Send it, such as 1.025 or 34 ppt."
        )
    return full


def _full_and_risen(asked: Asked) -> tuple[float, float]:
    """The lower and the higher salinity, in whichever order they were said; the tank's target and reading fill in."""
    said = [each for each in (salinity_given(asked, "from"), salinity_given(asked, "to")) if each is not None]
    for kept_in, what in (("targets", "target"), ("readings", "now")):
        kept = recorded_salinity(asked, kept_in, what) if len(said) < 2 else None
        said += [] if kept is None else [kept]
    if len(said) < 2 or min(said) <= 0 or said[0] == said[1]:
        raise Unanswerable("Two salinities above 0 are needed: full and now, such as 1.025 and 1.027. Send both.")
    return min(said), max(said)


def _lost_by_rise(asked: Asked) -> float:
    return evaporated_L(volume_L(asked), *_full_and_risen(asked), temperature_C(asked))


def _lost_L(asked: Asked) -> float:
    lost, rate, time = amount(asked, "amount", "L"), amount(asked, "rate", "L/day"), amount(asked, "time", "day")
    if lost is not None:
        return lost
    if given(asked, "depth"):
        return _dropped_L(asked)
    if rate is None or time is None:
        raise Lacking(
            "amount",
            Quantity(1.0, "L"),
            "How much water is gone is missing. Send it, such as 4 gal, or a rate and a time.",
        )
    return rate * time


def _dropped_L(asked: Asked) -> float:
    drop, across = amount(asked, "depth", "cm"), amount(asked, "diameter", "cm")
    length, width = amount(asked, "length", "cm"), amount(asked, "width", "cm")
    if drop is None or (across is None and (length is None or width is None)):
        raise Unanswerable("For a drop of the level send length, width and the drop, such as 48 x 24 in, down 1 in.")
    surface_cm2 = pi * across**2 / 4 if across is not None else (length or 0.0) * (width or 0.0)
    return surface_cm2 * drop / 1000


def _can_L(asked: Asked) -> float:
    can = amount(asked, "amount", "L")
    return can if can is not None else volume_L(asked)


def _days(asked: Asked) -> float:
    time = amount(asked, "time", "day")
    if time is None:
        raise Lacking("time", Quantity(1.0, "day"), "Over how long is missing. Send it, such as 5 days.")
    return time


def _daily(asked: Asked, lost_L: float) -> tuple[Figure, ...]:
    time = amount(asked, "time", "day")
    return () if time is None else _flow_a_day(asked, lost_L / time)


def _flow_a_day(asked: Asked, rate_L_day: float) -> tuple[Figure, ...]:
    return flow_figures(asked, "loss a day", rate_L_day / 24, "day")


_UNKNOWNS = {"amount": _amount, "end": _end, "rate": _rate, "time": _time}
