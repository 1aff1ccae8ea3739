"""Topic bleach_solution: product for a strength, strength of what was mixed, water that an amount makes, ratio."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from bot.facts.load import table
from bot.items import Quantity
from bot.science.answers import figures_in, mass_figures, n, volume_figures, working
from bot.science.hypochlorite import (
    available_chlorine_g_L,
    granules_g,
    half_life_days,
    product_mL,
    solution_mg_L,
    strength_left,
)
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
from bot.science.working import Figure, Working

_GRANULES = "calcium hypochlorite"
_BASES = {"w/w": "NaOCl by weight", "w/v": "grams NaOCl in 100 mL", "trade": "grams of available chlorine in 100 mL"}


@dataclass(frozen=True)
class _Product:
    """A liquid's available chlorine in g/L, or granules' share of it in per cent; `percent` is the label's figure."""

    g_L: float
    percent: float
    granules: bool = False


def bleach_solution(asked: Asked) -> Working:
    """Product for a target, or strength, volume or ratio of a mixture; source White_chlorination."""
    return _ANSWERS[_wanted(asked)](asked)


def _wanted(asked: Asked) -> str:
    if word(asked, "ask") is not None:
        return ask(asked)
    if given(asked, "to") is None and (given(asked, "amount") is not None or given(asked, "ratio") is not None):
        return "end" if given(asked, "volume") is not None or given(asked, "amount") is None else "volume"
    return "volume" if given(asked, "amount") is not None and given(asked, "volume") is None else "amount"


def _amount(asked: Asked) -> Working:
    if given(asked, "ratio") is not None and given(asked, "to") is None:
        return _amount_by_ratio(asked)
    product = _product(asked)
    volume, target = _volume_L(asked), _target(asked, product)
    if product.granules:
        grams = granules_g(volume, target, product.percent)
        step = f"{n(volume)} L x {n(target)} mg/L / 1000 / {n(product.percent / 100)} = {n(grams)} g"
        return _answer(asked, mass_figures(asked, "granules", grams), (step,), product)
    mL = product_mL(volume, target, product.g_L)
    steps = (_strength_step(product), f"{n(volume)} L x {n(target)} mg/L / {n(product.g_L)} g/L = {n(mL)} mL")
    ratio = Figure("parts of finished solution to one of product", product.g_L * 1000 / target, "")
    return _answer(asked, (*_mL_figures(asked, mL), ratio), steps, product)


def _amount_by_ratio(asked: Asked) -> Working:
    parts, volume, product = _parts(asked), _volume_L(asked), _product(asked)
    mL = volume * 1000 / parts
    strength = Figure("available chlorine", product.g_L * 1000 / parts, "mg/L")
    step = f"{n(volume)} L / {n(parts)} parts = {n(mL)} mL"
    return _answer(asked, (*_mL_figures(asked, mL), strength), (step, _strength_step(product)), product)


def _end(asked: Asked) -> Working:
    product = _product(asked)
    if given(asked, "ratio") is not None:
        parts = _parts(asked)
        end, step = product.g_L * 1000 / parts, f"{n(product.g_L)} g/L x 1000 / {n(parts)} parts"
    else:
        volume = _volume_L(asked)
        end, step = _mixed(asked, product, volume)
    if end > product.g_L * 1000 * 1.0001:
        raise Unanswerable("More product than finished solution: send the finished volume again.")
    steps = (_strength_step(product), f"{step} = {n(end)} mg/L")
    return _answer(asked, figures_in(asked, "available chlorine", end, "mg/L", "mg/L"), steps, product)


def _mixed(asked: Asked, product: _Product, volume: float) -> tuple[float, str]:
    if product.granules:
        grams = needed(asked, "amount", "g", "How many grams of granules went in? Send them.")
        return grams * product.percent * 10 / volume, f"{n(grams)} g x {n(product.percent)} % / {n(volume)} L"
    mL = needed(asked, "amount", "mL", "How much bleach went in? Send it, such as 150 mL.")
    return solution_mg_L(volume, mL, product.g_L), f"{n(mL)} mL x {n(product.g_L)} g/L / {n(volume)} L"


def _volume(asked: Asked) -> Working:
    product = _product(asked)
    target = _target(asked, product)
    if product.granules:
        grams = needed(asked, "amount", "g", "How many grams of granules are there? Send them.")
        made, step = grams * product.percent * 10 / target, f"{n(grams)} g x {n(product.percent)} %"
    else:
        mL = needed(asked, "amount", "mL", "How much bleach is there? Send it, such as 150 mL.")
        made, step = mL * product.g_L / target, f"{n(mL)} mL x {n(product.g_L)} g/L"
    return _answer(
        asked, volume_figures(asked, "finished solution", made), (f"{step} / {n(target)} mg/L = {n(made)} L",), product
    )


def _ratio(asked: Asked) -> Working:
    product = _product(asked)
    target = _target(asked, product)
    parts = product.g_L * 1000 / target
    step = f"{n(product.g_L)} g/L x 1000 / {n(target)} mg/L = one part in {n(parts)}"
    return _answer(asked, (Figure("parts of finished solution to one of product", parts, ""),), (step,), product)


def _strength(asked: Asked) -> Working:
    """The product's own available chlorine, as it is today."""
    product = _product(asked)
    figures = figures_in(asked, "available chlorine", product.g_L, "g/L", "g/L", "mg/L")
    return _answer(asked, figures, (_strength_step(product),), product)


_ANSWERS: dict[str, Callable[[Asked], Working]] = {
    "amount": _amount, "end": _end, "volume": _volume, "ratio": _ratio, "strength": _strength,
}  # fmt: skip


def _product(asked: Asked) -> _Product:
    if word(asked, "chemical") == _GRANULES:
        return _granules(asked)
    stock, said = amount(asked, "from", "mg/L"), given(asked, "strength")
    if stock is not None:
        return _Product(_above_0(stock, "the stock") / 1000, stock / 1e4)
    if said is not None and measures(said.unit) == "concentration":
        g_L = _above_0(in_unit(said, "g/L", "strength"), words(said))
        return _aged(asked, _Product(g_L, g_L / 10))
    return _aged(asked, _by_percent(asked, said))


def _granules(asked: Asked) -> _Product:
    said = amount(asked, "strength", "%")
    percent = customary(asked, "granule_strength") if said is None else _above_0(said, f"{said:g} %")
    return _Product(percent * 10, percent, granules=True)


def _by_percent(asked: Asked, said: Quantity | None) -> _Product:
    percent = customary(asked, "bleach_strength") if said is None else in_unit(said, "%", "strength")
    if not 0 < percent <= 20:
        raise Unanswerable(
            f"Bleach of {n(percent)} % is not sold: household bleach has 5 to 8.25 %, trade liquid up to 15 %."
        )
    basis = _basis(asked, percent) if said is not None else "w/w"
    return _Product(available_chlorine_g_L(percent, basis), percent)


def _basis(asked: Asked, percent: float) -> str:
    said = word(asked, "strength_basis")
    if said in _BASES:
        return said
    basis = "trade" if percent >= table("hypochlorite")["trade_from"]["value"] else "w/w"
    other = "w/w" if basis == "trade" else "w/v"
    instead = available_chlorine_g_L(percent, other)
    asked.assume(f"{n(percent)} % is {_BASES[basis]}; if the label means {_BASES[other]}, it holds {n(instead)} g/L")
    return basis


def _aged(asked: Asked, product: _Product) -> _Product:
    """The product as it is today, where its age is said; its loss is a rough figure and named so."""
    age = amount(asked, "age", "day")
    if age is None:
        asked.assume("the strength printed on the label: old bleach is weaker")
        return product
    half = amount(asked, "half_life", "day")
    half = half_life_days(product.percent, customary(asked, "bleach_shelf")) if half is None else half
    left = strength_left(age, half)
    asked.assume(f"{n(age)} days old with half its strength gone at {n(half)} days: {n(left * 100)} % is left, roughly")
    return _Product(product.g_L * left, product.percent * left)


def _volume_L(asked: Asked) -> float:
    return needed(asked, "volume", "L", "How much solution should be made? Send the volume, such as 5 gal or 20 L.")


def _target(asked: Asked, product: _Product) -> float:
    target = amount(asked, "to", "mg/L") if _is_concentration(asked) else _percent_target(asked)
    target = customary(asked, "bleach_target") if target is None else target
    strongest = product.g_L * 1000
    if not 0 < target <= strongest:
        raise Unanswerable(
            f"{n(target)} mg/L cannot be made from this product: it holds {n(strongest)} mg/L itself. "
            "Send a target below that, or a stronger product."
        )
    return target


def _is_concentration(asked: Asked) -> bool:
    said = given(asked, "to")
    return said is None or said.unit != "%"


def _percent_target(asked: Asked) -> float:
    """A target such as 0.05 %: 1 % of available chlorine is 10 000 mg/L."""
    return (amount(asked, "to", "%") or 0.0) * 1e4


def _parts(asked: Asked) -> float:
    said = given(asked, "ratio")
    if said is None or not 1 <= said.value <= 1e6:
        raise Unanswerable("Send the ratio as one part in so many, such as 1:100.")
    asked.assume(f"1:{said.value:g} is one part of bleach in {said.value:g} parts of finished solution")
    return said.value


def _above_0(value: float, said: str) -> float:
    if not value > 0:
        raise Unanswerable(f"A strength of {said} holds no chlorine: send the strength from the label.")
    return value


def _strength_step(product: _Product) -> str:
    return f"product of {n(product.percent)} %: {n(product.g_L)} g/L of available chlorine"


def _mL_figures(asked: Asked, mL: float) -> tuple[Figure, ...]:
    handy = ("fl oz",) if asked.known.habit == "us" else ()
    return figures_in(asked, "bleach", mL, "mL", "mL", *handy)


def _answer(asked: Asked, figures: tuple[Figure, ...], steps: tuple[str, ...], product: _Product) -> Working:
    own = "granules" if product.granules else "bleach_weakens"
    return working(asked, figures, steps, ("bleach", own), ("White_chlorination", "IUPAC_weights", "CDC_bleach"))
