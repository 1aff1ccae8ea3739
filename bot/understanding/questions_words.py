"""The inputs of a question that are words: chemical, water, instrument, shape, the unit wanted ..."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from bot.facts.load import table
from bot.understanding.lexicon import Hit, Lexicon
from bot.understanding.questions_amount import Amount
from bot.understanding.text import Text

# topic: the groups of words_questions whose meaning is an input of that name
_GROUPS: dict[str, dict[str, str]] = {
    "salt_mix": {"reference": "reference", "basis": "basis"},
    "salinity_change": {"reference": "reference"},
    "top_off": {"reference": "reference"},
    "dilution": {"model": "model", "halved": "halved"},
    "dechlorination": {"form": "residual"},
    "bleach_solution": {"strength_basis": "chlorine_basis"},
    "free_ammonia": {"water": "water", "reference": "reference"},
    "heating": {"water": "water", "no_loss": "no_loss"},
    "temperature_blend": {"model": "blend_model"},
    "drip_rate": {"model": "model", "reference": "reference"},
    "volume": {"shape": "shape", "displaced_from": "displaced_from", "water": "water"},
    "treatment": {"ordered": "ordered", "target_basis": "target_basis", "strength_basis": "strength_basis"},
    "oxygen": {"water": "water"},
    "co2": {"water": "water"},
    "convert": {"reference": "reference", "compensated": "compensated", "water": "water"},
}


def word_inputs(topic: str, text: Text) -> dict[str, str]:
    """The words that the topic reads, by the name of the input."""
    found = {name: _first(text, group) for name, group in _GROUPS.get(topic, {}).items()}
    if topic == "temperature_blend" and is_of_two_taps(text):
        found["model"] = "total"
    return {name: word for name, word in found.items() if word}


def is_of_two_taps(text: Text) -> bool:
    """Whether hot and cold water are put together to one volume."""
    return {"hot", "cold"} <= {hit.meaning for hit in text.hits("words_questions", "cues")}


def chemical_in(topic: str, text: Text) -> str | None:
    """The key in substances.toml of the chemical with the longest name, with its hydrate where that is said apart."""
    hits = [hit for hit in _chemicals().find(text.tokens) if _serves(topic, hit.meaning)]
    longest = max(hits, key=lambda hit: hit.stop - hit.start, default=None)
    if longest is None:
        return None
    with_water = f"{longest.meaning} {_first(text, 'hydrate')}"
    return with_water if with_water in table("substances") else longest.meaning


def _serves(topic: str, chemical: str) -> bool:
    """Neutralisers neutralise, hypochlorites make bleach, all others are dosed."""
    kind = "bleach_solution" if "hypochlorite" in chemical else "dose"
    if chemical in table("neutralisers") or chemical == "sodium thiosulfate":
        kind = "dechlorination"
    return kind == topic or (kind == "dose" and topic in ("treatment", "convert", "dilution"))


def parameter_in(text: Text, units: frozenset[int]) -> str | None:
    """The parameter named first, the tokens of `units` ("mg/L") left out."""
    chemicals = frozenset(i for hit in _chemicals().find(text.tokens) for i in hit.span)
    hits = [hit for hit in text.hits("words_questions", "parameter") if not hit.span & (units | chemicals)]
    return hits[0].meaning if hits else None


def raised_by(chemical: str | None) -> str | None:
    """The parameter that the chemical is bought for."""
    row = table("substances").get(chemical or "", {})
    raises = row.get("raises") or table("substances").get(row.get("is", ""), {}).get("raises")
    return str(raises[0]["parameter"]) if raises else None


def no_numbers(text: Text) -> frozenset[int]:
    """The tokens with numbers in them that are none of the sum: "60F/60F", "CaCl2 2H2O", "half life"."""
    hits = [hit for group in ("reference", "hydrate", "whole_words") for hit in text.hits("words_questions", group)]
    return frozenset(i for hit in (*hits, *_chemicals().find(text.tokens)) for i in hit.span)


def forms_in(text: Text, value: Amount | None) -> tuple[str | None, str | None]:
    """How the value is reported and how it is wanted: ("NO3-N", "NO3") of "10 ppm nitrate-n as nitrate"."""
    hits = [hit for hit in text.hits("words_questions", "form") if hit.meaning]
    if value is None or not hits:
        return None, None
    near = min(hits, key=lambda hit: _distance(text, hit, value))
    others = [hit for hit in hits if hit != near]
    if not others and any(token.text == "as" for token in text.tokens[near.start : near.stop]):
        return None, near.meaning  # "0.05 po4 as p"
    wanted = _joined_form(near.meaning, others[-1].meaning) if others else None
    given = near.meaning
    return (given, wanted) if given not in ("N", "P") else (None, wanted)


def _distance(text: Text, hit: Hit, value: Amount) -> float:
    """Words between; a form behind "in", "as", "to" is the one wanted."""
    asked = hit.start and text.tokens[hit.start - 1].text in ("in", "as", "to", "into")
    gap = hit.start - value.stop if hit.start >= value.stop else value.start - hit.stop
    return gap + (10 if asked else 0)


def _joined_form(given: str, wanted: str) -> str | None:
    if wanted in ("N", "P"):
        joined = f"{given}-{wanted}"
        return {"NH4-N": "NH3-N"}.get(joined, joined if joined in _FORMS else None)
    return wanted if wanted != given else None


_FORMS = frozenset(("NO3-N", "NO2-N", "NH3-N", "PO4-P"))


def _first(text: Text, group: str) -> str | None:
    hits = text.hits("words_questions", group)
    return hits[0].meaning if hits else None


@cache
def _chemicals() -> Lexicon:
    names: dict[str, list[str]] = {}
    for key, row in table("substances").items():
        if isinstance(row, Mapping):
            names[key] = [key, *row.get("words", ())]
    for name, row in table("neutralisers").items():
        if isinstance(row, Mapping) and name not in names and "ratio" in row:
            names[name] = [name, *row.get("words", ())]
    return Lexicon(names)
