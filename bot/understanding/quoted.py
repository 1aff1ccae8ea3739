"""A bare value as a reply to what was quoted puts that entry right."""

from __future__ import annotations

from collections.abc import Iterator

from bot.facts.load import table
from bot.items import Clarify, Correction, Event, Item, Reading
from bot.understanding.claims import Claim, weigh
from bot.understanding.lexicon import lexicon
from bot.understanding.pairs import pair_of
from bot.understanding.parameters import TABLE, Name
from bot.understanding.text import Text
from bot.understanding.units import Measure


def claims(text: Text) -> Iterator[Claim]:
    """A bare value as a reply to what was quoted."""
    quoted = text.situation.reply_to
    measure = _only_measure(text)
    if quoted is None or measure is None:
        return
    item = _for_quoted(text, quoted, measure)
    if item:
        used = frozenset(range(len(text.tokens)))
        yield Claim((item,), used, weigh(text.tokens, used, 3.0))


def _only_measure(text: Text) -> Measure | None:
    """The message's only number, where nothing else is said but small words and words of correction."""
    if len(text.measures) != 1:
        return None
    measure = text.measures[0]
    small = lexicon("words_plain", "small").words() | lexicon(TABLE, "take_back").words()
    rest = [t for i, t in enumerate(text.tokens) if i not in measure.span and t.is_word]
    return measure if all(t.text in small for t in rest) else None


def _for_quoted(text: Text, quoted: Item, measure: Measure) -> Item | None:
    if isinstance(quoted, Reading | Clarify) and quoted.parameter in table("parameters"):
        pair = pair_of(text, Name(measure.start, measure.start, quoted.parameter), measure, measure.span)
        if pair is None or pair.value.why:
            return Clarify("unlikely_value", text.raw, parameter=quoted.parameter, value=measure.number.value)
        return Correction(
            quoted.parameter, value=pair.value.value, unit=pair.value.unit, old=quoted.value, tank=quoted.tank
        )
    if isinstance(quoted, Event):
        quantity = measure.quantity("volume", "mass", "share", "drops")
        value, unit = (quantity.value, quantity.unit) if quantity else (measure.number.value, quoted.unit)
        old = quoted.amount if quoted.amount is not None else quoted.count
        return Correction(event=quoted.event, value=value, unit=unit, old=old, tank=quoted.tank)
    return None
