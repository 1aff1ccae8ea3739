"""A change of water or a top-off as it was told: its amount, and the words that round it off."""

from __future__ import annotations

from dataclasses import replace

from bot.items import Clarify, Event, Item
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import tokens_of, word, words
from bot.understanding.lexicon import around
from bot.understanding.text import Text
from bot.understanding.units import Measure

TAIL = around("waters", "tail")


def claim(text: Text, event: str, used: frozenset[int], measure: Measure | None, plausible: float) -> Claim:
    item = _item(text, event, measure) if measure else Event(event)
    return Claim((item,), used, weigh(text.tokens, used | tokens_of(measure), plausible))


def _item(text: Text, event: str, measure: Measure) -> Item:
    said = text.typed(measure.start, measure.stop)
    value, unit = measure.number.value, None
    quantity = measure.quantity("share", "volume")
    if measure.number.share and not measure.units:
        value, unit = value * 100, "%"
    elif quantity and not _grams(text, measure):
        value, unit = quantity.value, quantity.unit
    elif not measure.units and (event == "top_off" or value > 100):
        unit = "L" if text.metric else "gal"
    made = Event(event, amount=value, unit=unit)
    if unit is None:
        return Clarify("which_unit", said, value=value, options=("%", "L" if text.metric else "gal"), about=made)
    if value <= 0 or (unit == "%" and value > 100):
        return Clarify("unlikely_value", said, value=value, unit=unit, about=replace(made, unit=unit))
    return made


def _grams(text: Text, measure: Measure) -> bool:
    """ "30g" of water is gallons where gallons are the habit; elsewhere it is nothing, and asked about."""
    return text.metric and measure.unit("mass") is not None and measure.unit("volume") is not None


def fits(measure: Measure) -> bool:
    kinds = {unit.measures for unit in measure.units}
    return not kinds or bool(kinds & {"volume", "share", "unsized"})


def tail(text: Text, place: int, inside: range) -> frozenset[int]:
    """Words behind that only round it off: "done", "RO", "put 20 gal new back"."""
    stop = place
    while stop < inside.stop and word(text, stop) in TAIL and not _in_mention(text, stop):
        stop += 1
    if words(text, stop, stop + 2) in (["and", "refilled"], ["n", "refilled"], ["&", "refilled"], ["and", "filled"]):
        stop += 2
    return frozenset(range(place, stop))


def _in_mention(text: Text, place: int) -> bool:
    return any(m.start <= place < m.stop for m in text.mentions)
