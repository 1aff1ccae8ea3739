"""The chemical that a question means, with its water of crystallisation, and the strength of the product."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from bot.facts.load import table
from bot.science.answers import n
from bot.science.inputs import Asked, Unanswerable, amount, converted, given, in_unit, measures, word, words

_GRAMS_PER_L_OF_PERCENT = 10.0


@dataclass(frozen=True)
class Substance:
    """A chemical by its full name; `brings` is what one gram brings, by parameter, as (value, unit)."""

    name: str
    brings: dict[str, tuple[float, str]]
    level_tsp_g: float | None = None


def substance_named(asked: Asked) -> Substance | None:
    """The chemical that the question names; a name that leaves the hydrate open is settled and named in `assumed`."""
    said = word(asked, "chemical")
    if said is None:
        return None
    name = _key(said)
    if name is None:
        raise Unanswerable(f"“{said}” is not a chemical on file. On file: {', '.join(_full_names())}.")
    return substance(_with_water(asked, name))


def substance_known(asked: Asked) -> Substance | None:
    """The chemical that the question names where it is on file; None for any other name (a medicine by its label)."""
    said = word(asked, "chemical")
    return None if said is None or _key(said) is None else substance_named(asked)


def substance(name: str) -> Substance:
    """The entry of facts/substances.toml; KeyError where there is none."""
    entry = table("substances")[name]
    brings = {each["parameter"]: (each["value"], each["unit"]) for each in entry.get("raises", [])}
    return Substance(name, brings, entry.get("level_tsp", {}).get("value"))


def solution_g_L(asked: Asked, percent_is_liquid: bool) -> float | None:
    """Grams in a litre of the product; None where no liquid strength is said.

    Reads `strength` in g/L, mg/L or per cent (weight in volume, only where `percent_is_liquid`), or a mass dissolved
    in a volume (`strength` and `strength_per`).
    """
    said = given(asked, "strength")
    if said is None:
        return None
    if measures(said.unit) == "concentration":
        return _above_0(in_unit(said, "g/L", "strength"), words(said))
    if said.unit == "%" and percent_is_liquid:
        asked.assume(f"{words(said)} read as weight in volume, {n(said.value * _GRAMS_PER_L_OF_PERCENT)} g/L")
        return _above_0(said.value * _GRAMS_PER_L_OF_PERCENT, words(said))
    return _dissolved_g_L(asked) if measures(said.unit) == "mass" else None


def purity(asked: Asked) -> float:
    """Share of the dry product that is the chemical, 0 to 1; pure where nothing is said, named in `assumed`."""
    said = given(asked, "strength")
    if said is None or said.unit != "%":
        asked.assume("the pure dry chemical: divide by the label's share where it is less")
        return 1.0
    return _above_0(in_unit(said, "%", "strength"), words(said)) / 100


def label_rule(asked: Asked) -> tuple[float, str, float] | None:
    """A label's rule as (amount, its unit, litres it is for); None where none is said."""
    said, per_L = given(asked, "strength"), amount(asked, "strength_per", "L")
    if said is None or per_L is None or measures(said.unit) not in ("volume", "mass"):
        return None
    unit = "mL" if measures(said.unit) == "volume" else "g"
    return in_unit(said, unit, "strength"), unit, per_L


def _dissolved_g_L(asked: Asked) -> float | None:
    rule = label_rule(asked)
    return None if rule is None or rule[1] != "g" else rule[0] / rule[2]


def _key(said: str) -> str | None:
    entries = table("substances")
    if said in entries:
        return said
    return next((name for name, entry in entries.items() if said in entry.get("words", ())), None)


def _with_water(asked: Asked, name: str) -> str:
    entry: dict[str, Any] = table("substances")[name]
    if "is" not in entry:
        return name
    asked.assume(
        f"{name} is {entry['is']}, the usual one; {' or '.join(entry['or'])} needs another amount: read the label"
    )
    return str(entry["is"])


def _full_names() -> list[str]:
    return [name for name, entry in table("substances").items() if "raises" in entry]


def _above_0(value: float, said: str) -> float:
    if not value > 0:
        raise Unanswerable(f"A strength of {said} holds nothing: send the strength from the label.")
    return value


def spoons(asked: Asked, chemical: Substance, mass_g: float) -> float | None:
    """Level US teaspoons of a dry chemical, their mass named in `assumed`; None where that is not on file."""
    if chemical.level_tsp_g is None or converted(mass_g / chemical.level_tsp_g, "tsp", "cup") > 2:
        return None
    asked.assume(f"a level teaspoon of {chemical.name} weighs about {chemical.level_tsp_g:g} g: a scale is better")
    return mass_g / chemical.level_tsp_g
