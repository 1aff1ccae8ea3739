"""Topic dechlorination: a named neutraliser for a chlorine residual, and the ammonia that chloramine leaves."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from bot.facts.load import table
from bot.science.answers import figures_in, mass_figures, n, working
from bot.science.inputs import Asked, Unanswerable, amount, ask, given, measures, needed, volume_L, word, words
from bot.science.substances import label_rule, purity, solution_g_L, substance_named
from bot.science.working import Figure, Working

_DEFAULT = "sodium thiosulfate pentahydrate"
_SULFITES = ("sodium sulfite", "sodium bisulfite", "sodium metabisulfite")


def neutraliser_g(volume_L: float, chlorine_mg_L: float, ratio: float) -> float:
    """Neutraliser for a residual, g.

    volume_L        all the water that is treated, above 0
    chlorine_mg_L   as Cl2, above 0
    ratio           grams to one gram of chlorine (facts/neutralisers.toml)
    Source          mass_balance
    Checked         fixtures/calc/dechlorination.jsonl
    """
    return volume_L * chlorine_mg_L / 1000 * ratio


def ammonia_left_mg_L(chloramine_mg_L: float) -> float:
    """Ammonia nitrogen that broken chloramine leaves, mg/L, from combined chlorine as Cl2; source IUPAC_weights."""
    return float(chloramine_mg_L * table("neutralisers")["chloramine"]["nitrogen"])


def dechlorination(asked: Asked) -> Working:
    """Mass or millilitres of neutraliser, the ammonia left, or the chlorine that an amount can take."""
    return _ANSWERS[_wanted(asked)](asked)


def _wanted(asked: Asked) -> str:
    if word(asked, "ask") is not None:
        return ask(asked)
    if given(asked, "added") is not None and given(asked, "chlorine") is None:
        return "chlorine"
    only_chloramine = word(asked, "form") == "chloramine" and "volume" not in asked.question.inputs
    return (
        "ammonia" if only_chloramine and word(asked, "chemical") is None and asked.known.volume_L is None else "amount"
    )


def _amount(asked: Asked) -> Working:
    by_label = _by_label(asked)
    if by_label is not None:
        return by_label
    volume, chlorine = volume_L(asked), _chlorine(asked)
    name = _neutraliser(asked)
    ratio = _ratio(asked, name)
    g_L = solution_g_L(asked, percent_is_liquid=True)
    grams = neutraliser_g(volume, chlorine, ratio) / (1 if g_L else purity(asked))
    step = f"{n(volume)} L x {n(chlorine)} mg/L / 1000 x {n(ratio)} = {n(grams)} g of {name}"
    figures = mass_figures(asked, name, grams) if g_L is None else figures_in(asked, name, grams / g_L, "L", "mL")
    return _answer(asked, (*figures, *_ammonia_figures(asked, chlorine)), (step,), name)


def _ammonia(asked: Asked) -> Working:
    chlorine = _chlorine(asked)
    left = ammonia_left_mg_L(chlorine)
    asked.assume("all of the residual is chloramine; what the utility added on top is not in it")
    step = f"{n(chlorine)} mg/L x {table('neutralisers')['chloramine']['nitrogen']:g} = {n(left)} mg/L as N"
    figures = figures_in(asked, "ammonia left, as N", left, "mg/L", "mg/L")
    return working(asked, figures, (step,), ("chloramine", "dechlorinate"), ("IUPAC_weights",))


def _chlorine_taken(asked: Asked) -> Working:
    volume, name = volume_L(asked), _neutraliser(asked)
    ratio, grams = _ratio(asked, name), _added_g(asked)
    chlorine = grams * 1000 / ratio / volume
    step = f"{n(grams)} g x 1000 / {n(ratio)} / {n(volume)} L = {n(chlorine)} mg/L"
    return _answer(asked, figures_in(asked, "chlorine it can take", chlorine, "mg/L", "mg/L"), (step,), name)


_ANSWERS: dict[str, Callable[[Asked], Working]] = {
    "amount": _amount, "ammonia": _ammonia, "chlorine": _chlorine_taken,
}  # fmt: skip


def _by_label(asked: Asked) -> Working | None:
    """A conditioner by its own label: so much for so many litres, whatever the residual."""
    rule = label_rule(asked)
    if rule is None or (rule[1] == "g" and given(asked, "chlorine") is not None):
        return None
    volume = volume_L(asked)
    whole = rule[0] * volume / rule[2]
    asked.assume("the label's rule is for usual tap water: more chlorine needs more")
    step = f"{n(rule[0])} {rule[1]} x {n(volume)} L / {n(rule[2])} L = {n(whole)} {rule[1]}"
    figures = figures_in(asked, "neutraliser", whole, rule[1], rule[1])
    return working(asked, figures, (step,), ("dechlorinate",), ("mass_balance",))


def _chlorine(asked: Asked) -> float:
    chlorine = needed(asked, "chlorine", "mg/L", "How much chlorine is in it? Test total chlorine and send mg/L.")
    if not 0 < chlorine <= 150_000:
        raise Unanswerable(
            f"With {n(chlorine)} mg/L of chlorine there is nothing to work out: send the total chlorine read."
        )
    return chlorine


def _neutraliser(asked: Asked) -> str:
    named = substance_named(asked)
    if named is None:
        asked.assume(f"{_DEFAULT} as the neutraliser")
        return _DEFAULT
    if named.name not in table("neutralisers"):
        raise Unanswerable(f"{named.name} does not neutralise chlorine. On file: {', '.join(_names())}.")
    return named.name


def _ratio(asked: Asked, name: str) -> float:
    """The ratio said, else the one on file; the sources that disagree are named in `assumed`."""
    said = given(asked, "ratio")
    if said is not None:
        if not 0 < said.value <= 100:
            raise Unanswerable(
                f"A ratio of {words(said)} cannot be: send grams of chemical to one of chlorine, such as 7:1."
            )
        return said.value
    entry: dict[str, Any] = table("neutralisers")[name]
    others = "; ".join(f"{each['ratio']:g} ({_title(each)})" for each in entry["other"])
    asked.assume(f"{entry['says']}. Other figures: {others}")
    return float(entry["ratio"])


def _title(other: dict[str, Any]) -> str:
    title = "by formula" if other["source"] == "IUPAC_weights" else str(table("sources")[other["source"]]["title"])
    short = title.split(",")[0]
    return f"{short}, {other['says']}" if "says" in other else short


def _added_g(asked: Asked) -> float:
    said = given(asked, "added")
    if said is None:
        raise Unanswerable("How much neutraliser is there? Send grams, or mL with its strength.")
    if measures(said.unit) == "mass":
        return (amount(asked, "added", "g") or 0.0) * purity(asked)
    g_L = solution_g_L(asked, percent_is_liquid=True)
    if g_L is None:
        raise Unanswerable("How strong is the solution? Send g/L or per cent.")
    return (amount(asked, "added", "L") or 0.0) * g_L


def _ammonia_figures(asked: Asked, chlorine_mg_L: float) -> tuple[Figure, ...]:
    if word(asked, "form") != "chloramine":
        return ()
    return (Figure("ammonia left, as N", ammonia_left_mg_L(chlorine_mg_L), "mg/L"),)


def _names() -> list[str]:
    return [name for name, entry in table("neutralisers").items() if "ratio" in entry]


def _answer(asked: Asked, figures: tuple[Figure, ...], steps: tuple[str, ...], name: str) -> Working:
    cautions = ["dechlorinate"]
    cautions += ["chloramine"] if word(asked, "form") != "free" else []
    cautions += ["sulfites"] if name in _SULFITES else []
    return working(
        asked, figures, steps, cautions, ("IUPAC_weights", "AWWA_field_guide", "Piper_1982", "Standard_Methods")
    )
