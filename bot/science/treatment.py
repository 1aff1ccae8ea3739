"""Topic treatment: arithmetic on a stated target and strength, re-dose, what is left. Never a target of its own."""

from __future__ import annotations

from collections.abc import Callable
from math import log2
from typing import NoReturn

from bot.facts.load import table
from bot.items import Quantity
from bot.science.answers import figures_in, mass_figures, n, time_figures, working
from bot.science.inputs import Asked, Unanswerable, amount, ask, given, in_unit, measures, needed, volume_L, word, words
from bot.science.substances import Substance, label_rule, purity, solution_g_L, substance_known
from bot.science.working import Figure, Working

_MG_PER_L_OF_PERCENT = 1e4
_WEIGHED = ("g", "mg", "kg", "lb", "oz")


def active_mg(volume_L: float, from_mg_L: float, to_mg_L: float) -> float:
    """Active substance that brings a volume from one level to another, mg; source mass_balance."""
    return volume_L * (to_mg_L - from_mg_L)


def level_after_changes(level: float, share_changed: float, times: float) -> float:
    """Level after equal changes with untreated water, in the unit of `level`; share 0 to 1; source mass_balance."""
    return float(level * (1 - share_changed) ** times)


def level_after_time(level: float, hours: float, half_life_h: float) -> float:
    """Level left after a time, in the unit of `level`: halves with every half-life; source mass_balance."""
    return float(level * 0.5 ** (hours / half_life_h))


def hours_to_level(level: float, wanted: float, half_life_h: float) -> float:
    """Hours until a level has fallen to `wanted` (above 0, below `level`); the way back of level_after_time."""
    return half_life_h * log2(level / wanted)


def treatment(asked: Asked) -> Working:
    """Amount for a stated target, re-dose, level left or time to a level; a question without a target is refused."""
    _refuse_what_harms(asked)
    return _ANSWERS[_wanted(asked)](asked)


def _wanted(asked: Asked) -> str:
    if word(asked, "ask") is not None:
        return ask(asked)
    if given(asked, "half_life") is not None:
        return "time" if given(asked, "to") is not None and given(asked, "time") is None else "end"
    if given(asked, "added") is not None and given(asked, "to") is None:
        return "end"
    return "redose" if given(asked, "change") is not None else "amount"


def _amount(asked: Asked) -> Working:
    if given(asked, "to") is None:
        return _by_label(asked)
    volume, now = volume_L(asked), _level_mg_L(asked, "from") or 0.0
    return _for_level(asked, volume, now, _target_mg_L(asked))


def _redose(asked: Asked) -> Working:
    """What a change took out is put back: the target in the water that was changed."""
    if given(asked, "to") is None and label_rule(asked) is not None:
        return _by_label(asked, _changed_share(asked, volume_L(asked)))
    target = _target_mg_L(asked)
    volume = volume_L(asked)
    left = level_after_changes(target, _changed_share(asked, volume), _times(asked))
    asked.assume("the level stood at the target before the change; test it where a test exists")
    return _for_level(asked, volume, left, target)


def _for_level(asked: Asked, volume: float, now: float, target: float) -> Working:
    if target <= now:
        raise Unanswerable(f"The level is {n(now)} mg/L and the target {n(target)} mg/L: nothing is to be added.")
    if word(asked, "target_basis") == "v/v":
        return _by_volume(asked, volume, now, target)
    active = active_mg(volume, now, target)
    step = f"{n(volume)} L x ({n(target)} - {n(now)}) mg/L = {n(active)} mg of active substance"
    figures, more = _product_figures(asked, active)
    return _answer(asked, figures, (step, *more))


def _by_volume(asked: Asked, volume: float, now: float, target: float) -> Working:
    """A target by volume: 25 ppm v/v is 25 mL in 1 000 L."""
    mL = volume * (target - now) / 1000
    figures = figures_in(asked, "amount", mL, "mL", "mL")
    return _answer(asked, figures, (f"{n(volume)} L x {n(target - now)} mL per 1 000 L = {n(mL)} mL",))


def _by_label(asked: Asked, share: float = 1.0) -> Working:
    rule = label_rule(asked)
    if rule is None:
        _no_target(asked)
    volume = volume_L(asked) * share
    whole = rule[0] * volume / rule[2]
    step = f"{n(rule[0])} {rule[1]} x {n(volume)} L / {n(rule[2])} L = {n(whole)} {rule[1]}"
    return _answer(asked, figures_in(asked, "amount", whole, rule[1], rule[1]), (step,))


def _end(asked: Asked) -> Working:
    start, steps = _start_mg_L(asked)
    level = start
    if given(asked, "change") is not None:
        level = level_after_changes(level, _changed_share(asked, _volume_or_1(asked)), _times(asked))
        steps += (f"after the change: {n(level)}",)
    hours, half_life = amount(asked, "time", "h"), amount(asked, "half_life", "h")
    if hours is not None and half_life is not None:
        level = level_after_time(level, hours, half_life)
        steps += (f"x 0.5^({n(hours)} h / {n(half_life)} h) = {n(level)}",)
    return _answer(asked, figures_in(asked, "level", level, "mg/L", "mg/L"), steps)


def _time(asked: Asked) -> Working:
    start, wanted = _start_mg_L(asked)[0], _target_mg_L(asked)
    half_life = needed(asked, "half_life", "h", "What is its half-life in the water? The label or the order says so.")
    if not 0 < wanted < start:
        raise Unanswerable(
            f"A level of {n(start)} mg/L does not fall to {n(wanted)} mg/L: send a level below it, above 0."
        )
    hours = hours_to_level(start, wanted, half_life)
    step = f"{n(half_life)} h x log2({n(start)} / {n(wanted)}) = {n(hours)} h"
    return _answer(asked, time_figures(asked, "time", hours * 60, "h", "day"), (step,))


def _advice(asked: Asked) -> Working:
    _no_target(asked)


_ANSWERS: dict[str, Callable[[Asked], Working]] = {
    "amount": _amount, "redose": _redose, "end": _end, "time": _time, "advice": _advice,
}  # fmt: skip


def _start_mg_L(asked: Asked) -> tuple[float, tuple[str, ...]]:
    """Level at the start: as said, or from an amount put in."""
    level = _level_mg_L(asked, "from")
    if level is None and given(asked, "added") is None:
        raise Unanswerable("From what level? Send the level in mg/L, or the amount put in with its strength.")
    if given(asked, "added") is None:
        return level or 0.0, (f"from {n(level or 0.0)} mg/L",)
    volume, active = volume_L(asked), _added_mg(asked)
    start = (level or 0.0) + active / volume
    return start, (f"{n(active)} mg / {n(volume)} L = {n(start)} mg/L",)


def _added_mg(asked: Asked) -> float:
    said, chemical = given(asked, "added"), substance_known(asked)
    if said is not None and measures(said.unit) == "mass":
        return (amount(asked, "added", "mg") or 0.0) * _active_share(asked, chemical) * purity(asked)
    g_L = _liquid_g_L(asked)
    if g_L is None:
        raise Unanswerable("How strong is the product? Send g/L or per cent from the label.")
    return (amount(asked, "added", "mL") or 0.0) * g_L * _active_share(asked, chemical)


def _product_figures(asked: Asked, active_mg: float) -> tuple[tuple[Figure, ...], tuple[str, ...]]:
    """The product that holds so much active substance, with the step from one to the other."""
    chemical = substance_known(asked)
    share, g_L = _active_share(asked, chemical), _liquid_g_L(asked)
    if g_L is not None:
        mL = active_mg / share / g_L
        return figures_in(asked, "amount", mL, "mL", "mL"), (f"/ {n(g_L)} g/L = {n(mL)} mL",)
    grams = active_mg / share / purity(asked) / 1000
    shown = (
        figures_in(asked, "amount", grams, "g", "mg", "g")
        if grams < 1 and share < 1
        else mass_figures(asked, "amount", grams)
    )
    return shown, ((f"/ {n(share)} g active in a gram = {n(grams)} g",) if share < 1 else ())


def _active_share(asked: Asked, chemical: Substance | None) -> float:
    """Share of the chemical that is the active part; 1 where the target is for the chemical as a whole."""
    parameter = word(asked, "parameter") or ("copper" if chemical is not None and "copper" in chemical.brings else None)
    if chemical is None or parameter not in chemical.brings:
        return 1.0
    value, unit = chemical.brings[parameter]
    if unit != "g/g":
        return 1.0
    asked.assume(f"the target counts {parameter}, {n(value * 100)} % of {chemical.name}")
    return value


def _liquid_g_L(asked: Asked) -> float | None:
    """Grams in a litre of a liquid; None for a powder: said so, or weighed by the unit that was asked for."""
    weighed = asked.question.inputs.get("to_unit") in _WEIGHED or word(asked, "strength_basis") == "w/w"
    return solution_g_L(asked, percent_is_liquid=not weighed)


def _target_mg_L(asked: Asked) -> float:
    target = _level_mg_L(asked, "to")
    if target is None:
        _no_target(asked)
    if not target > 0:
        raise Unanswerable("A target of 0 is no treatment: send the target of the order.")
    asked.assume("target and strength as stated in the question; the veterinarian's order decides")
    return target


def _level_mg_L(asked: Asked, name: str) -> float | None:
    said = given(asked, name)
    if said is None:
        return None
    if said.unit == "%":
        return in_unit(said, "%", name) * _MG_PER_L_OF_PERCENT
    return in_unit(Quantity(said.value, said.unit or "mg/L"), "mg/L", name)


def _changed_share(asked: Asked, volume: float) -> float:
    said = given(asked, "change")
    if said is None:
        raise Unanswerable("How much water was changed? Send the volume or the per cent.")
    share = in_unit(said, "%", "change") / 100 if said.unit == "%" else in_unit(said, "L", "change") / volume
    if not 0 < share <= 1:
        raise Unanswerable(f"A change of {words(said)} cannot be: it lies above 0 and up to all of the water.")
    return share


def _volume_or_1(asked: Asked) -> float:
    said = given(asked, "change")
    return 1.0 if said is not None and said.unit == "%" else volume_L(asked)


def _times(asked: Asked) -> float:
    said = given(asked, "times")
    if said is None:
        return 1.0
    if not 1 <= said.value <= 1000:
        raise Unanswerable(f"{words(said)} changes cannot be: send a whole number.")
    return said.value


def _no_target(asked: Asked) -> NoReturn:
    on_file = "; ".join(asked.known.orders)
    order = f" On file: {on_file}." if on_file else " No order is on file: ask the veterinarian."
    raise Unanswerable(
        "What to give, how much and how long is the veterinarian's decision. Send the target and the product's "
        f"strength from the order, and the amount is worked out.{order}"
    )


def _answer(asked: Asked, figures: tuple[Figure, ...], steps: tuple[str, ...]) -> Working:
    where = "; ".join(asked.known.orders) if asked.known.orders else "none on file here"
    asked.assume(f"arithmetic only, on what was stated; veterinarian's order: {where}")
    copper = _is_copper(asked)
    cautions = ("treatment_order", *(("copper",) if copper else ()), "treatment_stacking")
    return working(asked, figures, steps, cautions, ("mass_balance", *(("IUPAC_weights",) if copper else ())))


def _is_copper(asked: Asked) -> bool:
    chemical = substance_known(asked)
    return word(asked, "parameter") == "copper" or (chemical is not None and "copper" in chemical.brings)


def _refuse_what_harms(asked: Asked) -> None:
    """No amount of what kills invertebrates for a tank that holds some, whatever the order says."""
    harmful = next((name for name in _harmful_to_invertebrates() if _is_meant(asked, name)), None)
    if asked.known.invertebrates and harmful is not None:
        raise Unanswerable(
            f"{asked.known.tank or 'This tank'} holds invertebrates, and {harmful} kills them: no amount is worked out "
            "for it. Treat in a quarantine tank, on the veterinarian's order, and ask for that tank."
        )


def _harmful_to_invertebrates() -> list[str]:
    return str(table("medicines")["harms"]["invertebrates"]).split(", ")


def _is_meant(asked: Asked, medicine: str) -> bool:
    if medicine == "copper" and _is_copper(asked):
        return True
    said = (word(asked, "chemical"), word(asked, "parameter"))
    return any(each in (medicine, *table("medicines")["words"][medicine].split(", ")) for each in said if each)
