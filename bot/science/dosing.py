"""Topic dose: a named chemical to raise alkalinity, calcium, ...; what an amount does; days to spread it over."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil

from bot.facts.load import table
from bot.science.answers import figures_in, mass_figures, n, working
from bot.science.dose_amounts import Raise, raise_wanted, value_figures, value_now
from bot.science.inputs import Asked, Unanswerable, amount, ask, given, measures, volume_L, word
from bot.science.pace import pace
from bot.science.substances import (
    Substance,
    label_rule,
    purity,
    solution_g_L,
    spoons,
    substance,
    substance_named,
)
from bot.science.working import Figure, Working


def mass_to_raise_g(volume_L: float, rise_per_L: float, brings_per_g: float) -> float:
    """Chemical for a rise, g.

    volume_L       water, above 0
    rise_per_L     in the unit that `brings_per_g` counts: meq, mg or mmol in a litre
    brings_per_g   meq, mg or mmol that one gram brings (facts/substances.toml)
    Source         mass_balance, IUPAC_weights
    Checked        fixtures/calc/dose.jsonl
    """
    return volume_L * rise_per_L / brings_per_g


def rise_from_mass(volume_L: float, mass_g: float, brings_per_g: float) -> float:
    """What a mass does to a volume, in meq, mg or mmol a litre; the way back of mass_to_raise_g."""
    return mass_g * brings_per_g / volume_L


@dataclass(frozen=True)
class _Product:
    """What is in the hand: the chemical, what a gram of product brings, and grams in a litre where it is a liquid."""

    chemical: Substance
    per_g: float
    g_L: float | None


def dose(asked: Asked) -> Working:
    """Amount, amount a day, rise, end value or days for a chemical in a volume; the way of `_wanted` decides."""
    _refuse_medicine(asked)
    return _ANSWERS[_wanted(asked)](asked)


def _wanted(asked: Asked) -> str:
    if word(asked, "ask") is not None:
        return ask(asked)
    if given(asked, "rate") is not None:
        return "per_day"
    return "change" if given(asked, "added") is not None else "amount"


def _amount(asked: Asked) -> Working:
    rise = raise_wanted(asked, _parameter(asked))
    by_label = _by_label(asked, rise)
    if by_label is not None:
        return by_label
    volume, product = volume_L(asked), _product(asked, rise)
    grams = mass_to_raise_g(volume, rise.per_L, product.per_g)
    steps = (f"{n(volume)} L x {n(rise.per_L)} {rise.counted}/L / {n(product.per_g)} {rise.counted}/g = {n(grams)} g",)
    figures = (*_product_figures(asked, product, "amount", grams), *_days_figures(asked, rise, grams, product))
    return _answer(asked, figures, steps, product.chemical, rise)


def _per_day(asked: Asked) -> Working:
    rise = raise_wanted(asked, _parameter(asked), "rate")
    by_label = _by_label(asked, rise)
    if by_label is not None:
        return by_label
    volume, product = volume_L(asked), _product(asked, rise)
    grams = mass_to_raise_g(volume, rise.per_L, product.per_g)
    step = f"{n(volume)} L x {n(rise.per_L)} {rise.counted}/L a day / {n(product.per_g)} = {n(grams)} g a day"
    return _answer(asked, _product_figures(asked, product, "amount a day", grams), (step,), product.chemical, rise)


def _change(asked: Asked) -> Working:
    parameter, volume = _parameter(asked), volume_L(asked)
    base = Raise(parameter, 0.0)
    product = _product(asked, base)
    grams = _added_g(asked, product)
    rise = Raise(parameter, rise_from_mass(volume, grams, product.per_g))
    step = f"{n(grams)} g x {n(product.per_g)} {rise.counted}/g / {n(volume)} L = {n(rise.per_L)} {rise.counted}/L"
    now = value_now(asked, parameter)
    after = () if now is None else value_figures(asked, parameter, "after", now + rise.per_L)
    change = value_figures(asked, parameter, "rise", rise.per_L)
    both = (*after, *change) if ask(asked) == "end" and after else (*change, *after)
    return _answer(asked, both, (step,), product.chemical, rise)


def _days(asked: Asked) -> Working:
    rise = raise_wanted(asked, _parameter(asked))
    spread = _spread(asked, rise)
    if spread is None:
        raise Unanswerable(f"No daily limit is on file for {rise.parameter}: the office can set one for the tank.")
    days, per_day = spread
    step = f"{n(rise.shown)} {rise.unit} at {n(per_day)} a day: {days} days"
    figures = (Figure("days", float(days), "day"), Figure("rise a day", rise.shown / days, rise.unit))
    return _answer(asked, figures, (step,), None, rise)


_ANSWERS: dict[str, Callable[[Asked], Working]] = {
    "amount": _amount, "per_day": _per_day, "change": _change, "end": _change, "days": _days,
}  # fmt: skip


def _refuse_medicine(asked: Asked) -> None:
    if word(asked, "parameter") == "copper":
        raise Unanswerable("Copper is a treatment: ask for it as one, with the target of the veterinarian's order.")


def _parameter(asked: Asked) -> str:
    """The parameter named; else the one the chemical is usually bought for."""
    said, chemical = word(asked, "parameter"), substance_named(asked)
    if said is not None:
        return said
    if chemical is None or not chemical.brings:
        raise Unanswerable("What should be raised? Name it with the question: alkalinity, calcium, magnesium, ...")
    return next(iter(chemical.brings))


def _product(asked: Asked, rise: Raise) -> _Product:
    chemical = substance_named(asked) or _usual(asked, rise.parameter)
    if rise.parameter not in chemical.brings:
        raise Unanswerable(f"{chemical.name} does not raise {rise.parameter}: it brings {', '.join(chemical.brings)}.")
    value, unit = chemical.brings[rise.parameter]
    per_g = value * 1000 if unit == "g/g" else value
    g_L = solution_g_L(asked, percent_is_liquid=_asks_for_volume(asked))
    return _Product(chemical, per_g if g_L else per_g * purity(asked), g_L)


def _usual(asked: Asked, parameter: str) -> Substance:
    """The chemical usually taken for a parameter, named in `assumed`; asked for where there is none."""
    usual = table("usual_chemicals")["for"].get(parameter)
    if usual is None:
        raise Unanswerable(f"With what chemical should {parameter} be raised? Send its name with the question.")
    asked.assume(f"{usual} as the chemical: name another one where you use it")
    return substance(usual)


def _asks_for_volume(asked: Asked) -> bool:
    wanted = asked.question.inputs.get("to_unit")
    return word(asked, "strength_basis") == "w/v" or wanted in ("mL", "L", "fl oz", "tsp", "tbsp")


def _added_g(asked: Asked, product: _Product) -> float:
    said = given(asked, "added")
    if said is None:
        raise Unanswerable("How much was put in? Send the amount, such as 10 g.")
    if measures(said.unit) != "volume":
        return amount(asked, "added", "g") or 0.0
    if product.g_L is not None:
        return (amount(asked, "added", "L") or 0.0) * product.g_L
    return _from_spoons(product.chemical, asked, amount(asked, "added", "tsp") or 0.0)


def _from_spoons(chemical: Substance, asked: Asked, teaspoons: float) -> float:
    if chemical.level_tsp_g is None:
        raise Unanswerable(f"How strong is the {chemical.name} solution? Send g/L, or the grams of the dry chemical.")
    asked.assume(f"level teaspoons of about {chemical.level_tsp_g:g} g")
    return teaspoons * chemical.level_tsp_g


def _product_figures(asked: Asked, product: _Product, name: str, grams: float) -> tuple[Figure, ...]:
    if product.g_L is not None:
        return figures_in(asked, name, grams / product.g_L, "L", "mL")
    level = spoons(asked, product.chemical, grams)
    in_spoons = () if level is None else figures_in(asked, f"{name}, level", level, "tsp", "tsp")
    weighed = mass_figures(asked, name, grams)
    return (*in_spoons, *weighed) if _asks_for_volume(asked) else (*weighed, *in_spoons)


def _by_label(asked: Asked, rise: Raise) -> Working | None:
    """A product by its own label: so much for so many litres raises by so much."""
    rule, promised = label_rule(asked), given(asked, "strength_rise")
    if rule is None or promised is None:
        return None
    per_rise = raise_wanted(asked, rise.parameter, "strength_rise").per_L
    volume = volume_L(asked)
    whole = rule[0] * volume / rule[2] * rise.per_L / per_rise
    step = (
        f"{n(rule[0])} {rule[1]} x {n(volume)} L / {n(rule[2])} L x {n(rise.per_L / per_rise)} = {n(whole)} {rule[1]}"
    )
    spread = _spread(asked, rise)
    days = () if spread is None else (Figure("days", float(spread[0]), "day"),)
    return _answer(asked, (*figures_in(asked, "amount", whole, rule[1], rule[1]), *days), (step,), None, rise)


def _days_figures(asked: Asked, rise: Raise, grams: float, product: _Product) -> tuple[Figure, ...]:
    spread = _spread(asked, rise)
    if spread is None:
        return ()
    days = Figure("days", float(spread[0]), "day")
    if spread[0] == 1:
        return (days,)
    return (days, _product_figures(asked, product, "amount a day", grams / spread[0])[0])


def _spread(asked: Asked, rise: Raise) -> tuple[int, float] | None:
    """Days and the rise a day that is allowed; None where no daily limit is on file."""
    if rise.parameter not in table("limits") and rise.parameter not in asked.known.most_per_day:
        return None
    allowed = pace(asked, rise.parameter, True, rise.unit)
    days = max(1, ceil(rise.shown / allowed.per_day - 1e-9), _days_said(asked))
    if days > 1:
        asked.assume(allowed.said)
    return days, allowed.per_day


def _days_said(asked: Asked) -> int:
    return ceil((amount(asked, "time", "day") or 0.0) - 1e-9)


def _answer(
    asked: Asked, figures: tuple[Figure, ...], steps: tuple[str, ...], chemical: Substance | None, rise: Raise
) -> Working:
    own = table("usual_chemicals")["cautions"]
    keys = [*own.get(rise.parameter, []), *(own.get(chemical.name, []) if chemical else [])]
    return working(asked, figures, steps, ("dose_slowly", *dict.fromkeys(keys)), ("IUPAC_weights", "mass_balance"))
