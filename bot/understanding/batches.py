"""New water made: "mixed 150 in a", "mixed 40 gal in vat a to 1.025", "made 30 gal ro in vat b"."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from bot.items import Batch, Quantity
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import hits_in, past_small, sentence, word
from bot.understanding.lexicon import Hit, around
from bot.understanding.text import Text
from bot.understanding.units import Measure

_SMALL = around("batches", "small")
_SG = (0.99, 1.041)
_LEAST_BARE = 5


def claims(text: Text) -> Iterator[Claim]:
    """Every amount of water mixed or filled, with the vat it stands in and its salinity."""
    for verb in text.hits("words_setup", "batch"):
        if verb.meaning == "mixed":
            yield from _batch(text, verb)


def _batch(text: Text, verb: Hit) -> Iterator[Claim]:
    inside = sentence(text, verb.start)
    names = {i for m in text.mentions for i in m.span}
    measures = [
        m
        for m in text.measures
        if m.start in inside and (m.start >= verb.stop or m.stop == verb.start) and names.isdisjoint(m.span)
    ]
    water = next((m for m in measures if _is_water(m) and _near(text, verb, m)), None)
    vat, named = _vat(text, inside, verb.stop)
    if water is None or not (vat or _is_plain(text, verb, water)):
        return
    salinity, told = _salinity(measures, water)
    waters, sources = _waters(text, inside)
    item = _item(text, verb, water, vat)
    item = replace(
        item,
        subject=waters[0].meaning if waters else _of_vat(vat, "mixed" if salinity else word(text, verb.start)),
        source=sources[0].meaning if sources else None,
        salinity=salinity.value if salinity else None,
        salinity_unit=salinity.unit if salinity else None,
    )
    said = verb.span | water.span | told | frozenset(i for h in (*waters, *sources) for i in h.span)
    yield from _claims(text, item, said, named)


def _claims(text: Text, item: Batch, said: frozenset[int], named: frozenset[int]) -> Iterator[Claim]:
    """With the vat's name left to cover what stands around it, and, where others need a word of it, with it."""
    by_name = frozenset(i for m in text.mentions for i in m.span)
    small = frozenset(i for i in range(min(said | named), max(said | named)) if word(text, i) in _SMALL)
    used = said | (small - by_name) | (named - by_name)
    weight = weigh(text.tokens, used, 1.3)
    yield Claim((item,), used, weight)
    if named & by_name:
        yield Claim((item,), used | named, weight + weigh(text.tokens, named & by_name, 0.9))


def _item(text: Text, verb: Hit, water: Measure, vat: str | None) -> Batch:
    quantity = water.quantity("volume") or Quantity(water.number.value, "L" if text.metric else "gal")
    return Batch("water", vat, quantity.value, quantity.unit)


def _is_plain(text: Text, verb: Hit, water: Measure) -> bool:
    """Without a vat only water itself is mixed: "mixed 40 gal", not "mixed 5 g bicarb in 1 L"."""
    verbs = ("mixed", "mixd", "made", "brewed")
    return bool(water.unit("volume")) and not water.unit("mass") and word(text, verb.start) in verbs


def _waters(text: Text, inside: range) -> tuple[list[Hit], list[Hit]]:
    """What it was mixed to be, and from what."""
    named = (h for h in hits_in(text, inside, "words_setup", "batch") if h.meaning != "mixed")
    waters = [h for h in named if word(text, h.start - 1) not in ("with", "from", "using")]
    return waters, hits_in(text, inside, "words_vats", "water", "ro", "tap", "sea")


def _is_water(measure: Measure) -> bool:
    unit = measure.unit("volume")
    if unit:
        return unit.name not in ("cup", "tsp", "tbsp", "mL", "fl oz")
    return not measure.units and measure.number.value >= _LEAST_BARE


def _near(text: Text, verb: Hit, measure: Measure) -> bool:
    return measure.stop == verb.start or (
        past_small(
            text,
            verb.stop,
            measure.start + 1,
            (*_SMALL, "vat", "salt", "ro", "rodi", "a", "b", "c", "1", "2", ",", ":"),
        )
        >= measure.start
    )


def _vat(text: Text, inside: range, start: int) -> tuple[str | None, frozenset[int]]:
    """The vat named, in full or by its letter after "in": "in a"."""
    for mention in text.mentions:
        if mention.vat and mention.start in inside and len(mention.options) == 1:
            return mention.options[0], mention.span
    for place in range(start, inside.stop):
        last = [v for v in text.situation.vats if v.split()[-1].lower() == word(text, place)]
        if len(last) == 1 and word(text, place - 1) in ("in", "into", "vat"):
            return last[0], frozenset((place - 1, place))
    return None, frozenset()


def _of_vat(vat: str | None, verb: str) -> str:
    """What a vat called "Fresh vat" or "RO barrel" holds; where its name does not say, salt water if it was mixed."""
    said = set((vat or "").lower().split())
    if said & {"fresh", "ro", "rodi", "freshwater", "di"}:
        return "fresh"
    return "salt" if "mix" in verb or "brew" in verb or "salt" in said else "water"


def _salinity(measures: list[Measure], water: Measure) -> tuple[Quantity | None, frozenset[int]]:
    for measure in measures:
        unit = measure.unit("salinity")
        if measure is not water and unit:
            return Quantity(measure.number.value, unit.name), measure.span
        if measure is not water and not measure.units and _SG[0] <= measure.number.value <= _SG[1]:
            return Quantity(measure.number.value, "SG"), measure.span
    return None, frozenset()
