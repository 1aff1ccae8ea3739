"""New water made: "mixed 150 in a", "mixed 40 gal in vat a to 1.025", "made 30 gal ro in vat b"."""

from __future__ import annotations

from collections.abc import Iterator

from bot.items import Batch, Quantity
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import clause, hits_in, past_small, word
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
    inside = clause(text, verb.start)
    measures = [m for m in text.measures if m.start in inside and m.start >= verb.stop]
    water = next((m for m in measures if _is_water(m) and _near(text, verb, m)), None)
    vat, named = _vat(text, inside, verb.stop)
    if water is None or not (
        vat or (water.unit("volume") and word(text, verb.start) in ("mixed", "mixd", "made", "brewed"))
    ):
        return
    salinity, told = _salinity(measures, water)
    named_waters = (h for h in hits_in(text, inside, "words_setup", "batch") if h.meaning != "mixed")
    waters = [h for h in named_waters if word(text, h.start - 1) not in ("with", "from", "using")]
    sources = hits_in(text, inside, "words_vats", "water", "ro", "tap", "sea")
    verb_word = word(text, verb.start)
    used = verb.span | water.span | told | frozenset(i for h in (*waters, *sources) for i in h.span)
    by_name = frozenset(i for m in text.mentions for i in m.span)
    used |= frozenset(i for i in range(min(used | named), max(used | named)) if word(text, i) in _SMALL) - by_name
    used |= named - by_name
    quantity = water.quantity("volume") or Quantity(water.number.value, "L" if text.metric else "gal")
    item = Batch(
        waters[0].meaning if waters else _of_vat(vat, verb_word if salinity is None else "mixed"),
        vat=vat,
        amount=quantity.value,
        unit=quantity.unit,
        source=sources[0].meaning if sources else None,
        salinity=salinity.value if salinity else None,
        salinity_unit=salinity.unit if salinity else None,
    )
    yield Claim((item,), used, weigh(text.tokens, used, 1.3))


def _is_water(measure: Measure) -> bool:
    unit = measure.unit("volume")
    if unit:
        return unit.name not in ("cup", "tsp", "tbsp", "mL", "fl oz")
    return not measure.units and measure.number.value >= _LEAST_BARE


def _near(text: Text, verb: Hit, measure: Measure) -> bool:
    return (
        past_small(text, verb.stop, measure.start + 1, (*_SMALL, "vat", "salt", "ro", "rodi", "a", "b", "c", "1", "2"))
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
