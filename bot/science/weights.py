"""Weight of a volume: of water, or of a powder by the level spoon; and the volume of a weight."""

from __future__ import annotations

from bot.items import Quantity
from bot.science.answers import n
from bot.science.density import sea_density_kg_L
from bot.science.inputs import Asked, Unanswerable, converted, customary, word, words
from bot.science.substances import substance_named
from bot.science.water import FRESH_WORDS, salinity_given, temperature_C

Result = tuple[float, tuple[str, ...], tuple[str, ...]]

_SEA_PSU = 35.0
_SALT_WORDS = ("salt", "salt mix", "sea salt", "marine salt", "reef salt")


def mass_of_volume(asked: Asked, said: Quantity, goal: str) -> Result:
    """What a volume of water, or of a powder where a chemical is named, weighs in `goal`."""
    per_L = _grams_per_L(asked)
    grams = converted(said.value, said.unit, "L") * per_L
    value = converted(grams, "g", goal)
    return value, (f"{words(said)} x {n(per_L)} g/L = {n(value)} {goal}",), _sources(asked)


def volume_of_mass(asked: Asked, said: Quantity, goal: str) -> Result:
    """The volume of water, or of a powder by the level spoon, that weighs so much."""
    per_L = _grams_per_L(asked)
    value = converted(converted(said.value, said.unit, "g") / per_L, "L", goal)
    return value, (f"{words(said)} / {n(per_L)} g/L = {n(value)} {goal}",), _sources(asked)


def _grams_per_L(asked: Asked) -> float:
    chemical = word(asked, "chemical")
    if chemical is None:
        return 1000 * sea_density_kg_L(_salinity(asked), temperature_C(asked))
    if chemical in _SALT_WORDS:
        return customary(asked, "salt_cup") / converted(1, "cup", "L")
    return _level_teaspoon_g(asked) / converted(1, "tsp", "L")


def _level_teaspoon_g(asked: Asked) -> float:
    named = substance_named(asked)
    if named is None or named.level_tsp_g is None:
        raise Unanswerable("How heavy a level spoon of that is, is not known here. Weigh it, and send grams.")
    asked.assume(f"a level US teaspoon of {named.name} holds about {named.level_tsp_g:g} g; grain and packing differ")
    return named.level_tsp_g


def _salinity(asked: Asked) -> float:
    said = salinity_given(asked, "salinity")
    if said is not None:
        return said
    if word(asked, "water") in FRESH_WORDS:
        return 0.0
    if word(asked, "water") is None:
        asked.assume(f"sea water of {_SEA_PSU:g} ppt (fresh water weighs 2.6 % less)")
    return _SEA_PSU


def _sources(asked: Asked) -> tuple[str, ...]:
    return ("EOS80",) if word(asked, "chemical") is None else ("common practice, no source",)
