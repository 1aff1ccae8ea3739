"""What the numbers and units of a question say for a topic, apart from its words (facts/question_signs.toml)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from bot.facts.load import table
from bot.understanding.lexicon import around
from bot.understanding.questions_amount import Amount, looks_like_sg
from bot.understanding.questions_words import chemical_in, forms_in
from bot.understanding.text import Text
from bot.understanding.units import Unit

Loose = Sequence[tuple[int, Unit]]

_LITTLE = frozenset(("mL", "drop", "tsp", "g", "mg", "oz", "fl oz", "tbsp"))
_SPOONS = frozenset(("tsp", "tbsp", "cup"))
_OF_SALINITY = frozenset(("salinity", "salt", "salty", "how_salty"))
_WASTE = frozenset(("nitrate", "nitrite", "ammonia", "phosphate"))
_WHO = around("questions_signs", "who")


def worth(topic: str, signs: frozenset[str]) -> float:
    """What the signs are worth to the topic, all together."""
    return float(sum(table("question_signs")[sign].get(topic, 0.0) for sign in signs))


def signs_in(text: Text, amounts: Sequence[Amount], loose: Loose) -> frozenset[str]:
    """The signs that the question shows."""
    return frozenset((*_of_salinity(text, amounts, loose), *_of_amounts(text, amounts, loose), *_units(amounts, loose)))


def _of_salinity(text: Text, amounts: Sequence[Amount], loose: Loose) -> Iterator[str]:
    salty = sum(looks_like_sg(each.value) or each.unit("salinity") is not None for each in amounts)
    if salty >= 2:
        yield "two_salinities"
    if salty:
        yield "salinity"
    if salty and _wanted(loose, "mass"):
        yield "salinity_to_mass"
    said = {hit.meaning for hit in text.hits("words_questions", "cues")} & _OF_SALINITY
    named = any(
        _word(text, each.start - 1) in ("s", "=") and _word(text, each.start - 2) in ("s", "") for each in amounts
    )
    if not (
        salty
        or said
        or named
        or _are_thinned(text, amounts)
        or _wanted(loose, "salinity")
        or any(each.unit("conductivity") for each in amounts)
    ):
        yield "no_salinity"


def _are_thinned(text: Text, amounts: Sequence[Amount]) -> bool:
    """Two bare numbers that may be salinities, thinned with water that holds no salt ("35.5 with RO to 34")."""
    able = [each for each in amounts if each.bare and 5 < each.value <= 45]
    other = text.hits("words_questions", "parameter") or any(each.unit("temperature") for each in amounts)
    return len(able) >= 2 and not other and bool(text.hits("words_questions", "saltless"))


def _of_amounts(text: Text, amounts: Sequence[Amount], loose: Loose) -> Iterator[str]:
    kinds = {unit.measures for each in amounts for unit in each.units}
    if any(each.ratio for each in amounts):
        yield "ratio"
    dissolved = text.hits("words_questions", "parameter") or any(t.text == "concentration" for t in text.tokens)
    if not (kinds & {"concentration", "alkalinity", "hardness"} or dissolved):
        yield "nothing_dissolved"
    if any(hit.meaning in _WASTE for hit in text.hits("words_questions", "parameter")):
        yield "waste"
    if _are_two_waters(amounts):
        yield "two_waters"
    if "power" in kinds and kinds & {"volume", "temperature"}:
        yield "power"
    if _is_by_label(text, amounts):
        yield "label"
    if any(_is_oxygen(text, each) for each in amounts):
        yield "oxygen_reading"
    if {"concentration", "temperature"} <= kinds and "volume" not in kinds and _share_asked(text, loose):
        yield "saturation"
    if any(each.unit("share") and each.value <= 5 and _word(text, each.stop) == "salt" for each in amounts):
        yield "per_cent_salt"
    if len(amounts) == 1 and _is_spoon(amounts[0]) and _wanted(loose, "mass") and chemical_in("convert", text):
        yield "spoon_to_mass"
    if len(amounts) == 1 and forms_in(text, amounts[0])[1] is not None:
        yield "other_form"
    plain = all(each.bare and not looks_like_sg(each.value) for each in amounts)
    if amounts and plain and not loose and not text.hits("words_questions", "form"):
        yield "bare_alone"


def _units(amounts: Sequence[Amount], loose: Loose) -> Iterator[str]:
    """A unit said alone that measures the same as a number is a conversion; one that does not is none."""
    if not loose or (len(amounts) == 1 and _is_spoon(amounts[0]) and _wanted(loose, "mass")):
        return
    wanted = {unit.measures for _, unit in loose}
    given = {unit.measures for each in amounts for unit in each.units}
    given |= {"salinity"} if any(each.bare and 1 < each.value < 1.3 for each in amounts) else set()
    if {unit.name for _, unit in loose} & {unit.name for each in amounts for unit in each.units}:
        yield "same_unit"
        return
    if any(wanted & group and given & group for group in _SAME):
        yield from ("other_unit",) if len(amounts) <= 2 else ()
    elif not (wanted & {"mass"} and given & {"volume"}):
        yield "unlike_unit"


_SAME = (
    {"volume"},
    {"mass"},
    {"salinity", "conductivity"},
    {"conductivity", "concentration"},
    {"temperature"},
    {"alkalinity", "hardness", "concentration"},
    {"flow"},
    {"length"},
    {"pressure"},
    {"power"},
    {"energy"},
)


def _is_by_label(text: Text, amounts: Sequence[Amount]) -> bool:
    """ "5 mL per 10 gal": a little for much water, as labels say it."""
    for little, much in pairwise(amounts):
        between = {token.text for token in text.tokens[little.stop : much.start]}
        if between & {"per", "/", "every", "each"} and _LITTLE & {unit.name for unit in little.units}:
            return much.unit("volume") is not None
    return False


def _are_two_waters(amounts: Sequence[Amount]) -> bool:
    """A volume and its temperature, twice; of bare numbers one at least too high for a salinity."""
    if len(amounts) != 4 or not all(each.unit("volume") for each in amounts[::2]):
        return False
    warm = amounts[1::2]
    able = all(each.unit("temperature") or (each.bare and 5 < each.value < 110) for each in warm)
    return able and any(each.unit("temperature") or each.value >= 46 for each in warm)


def _is_oxygen(text: Text, amount: Amount) -> bool:
    """ "do 6.1", not "i do 25 %"."""
    return _word(text, amount.start - 1) == "do" and _word(text, amount.start - 2) not in _WHO


def _is_spoon(amount: Amount) -> bool:
    return bool(_SPOONS & {unit.name for unit in amount.units})


def _share_asked(text: Text, loose: Loose) -> bool:
    return _wanted(loose, "share") or any(h.meaning == "share" for h in text.hits("words_questions", "cues"))


def _wanted(loose: Loose, measures: str) -> bool:
    return any(unit.measures == measures for _, unit in loose)


def _word(text: Text, place: int) -> str:
    return text.tokens[place].text if 0 <= place < len(text.tokens) else ""
