"""What makes the digits of a reading doubtful: a unit that is none of ours, letters that touch them."""

from __future__ import annotations

from dataclasses import replace

from bot.understanding.lexicon import lexicon, vocabulary
from bot.understanding.parameters import TABLE
from bot.understanding.text import Text
from bot.understanding.units import Measure
from bot.understanding.values import Value


def strange(text: Text, measure: Measure, value: Value) -> tuple[Value, frozenset[int]]:
    """The value, in doubt if a unit that is none of ours stands behind it, or letters that touch the digits and are no
    words ("1O", "4e3"); and the tokens of these."""
    stop = measure.stop
    if measure.units or stop >= len(text.tokens) or any(name.start == stop for name in text.parameters):
        return value, frozenset()
    cut = _cut_short(text, stop)
    if cut:
        return replace(value, why="unlikely_value", plausible=0.7), cut
    hits = lexicon(TABLE, "foreign_unit").at(text.tokens, stop)
    if hits:
        return replace(value, why="which_unit", plausible=0.7), hits[0].span
    apart = _digits_apart(text, measure) if value.plausible < 1 else frozenset()
    if apart:
        return replace(value, why="unlikely_value", plausible=0.7), apart
    letters = _touching(text, stop)
    return (replace(value, why="unlikely_value", plausible=0.7) if letters else value), letters


def _cut_short(text: Text, stop: int) -> frozenset[int]:
    """ "8.O2": whole digits, a point, and letters that touch it."""
    tokens = text.tokens[stop - 1 : stop + 2]
    if len(tokens) < 3 or not (tokens[0].text.isdigit() and tokens[1].text == "."):
        return frozenset()
    if not (tokens[1].glued and tokens[2].glued and tokens[2].is_word):
        return frozenset()
    digits = stop + 2 < len(text.tokens) and text.tokens[stop + 2].glued and text.tokens[stop + 2].is_number
    return frozenset(range(stop, stop + 2 + digits))


def _digits_apart(text: Text, measure: Measure) -> frozenset[int]:
    """ "calcium 4 2 0": single digits with spaces between."""
    stop = measure.number.start
    while stop < len(text.tokens) and text.tokens[stop].is_number and len(text.tokens[stop].text) == 1:
        stop += 1
    return frozenset(range(measure.stop, stop)) if stop - measure.number.start > 1 else frozenset()


def _touching(text: Text, stop: int) -> frozenset[int]:
    """Letters right behind digits that are no word of ours, with what touches them in turn."""
    end = stop
    while (
        end < len(text.tokens) and text.tokens[end].glued and (text.tokens[end].is_word or text.tokens[end].is_number)
    ):
        end += 1
    first = text.tokens[stop]
    small = first.text in lexicon("words_plain", "small").words() and len(first.text) > 1
    known = end == stop + 1 and (small or (len(first.text) > 2 and first.text in vocabulary()))
    return (
        frozenset()
        if known or not first.is_word or not text.tokens[stop - 1].is_number
        else frozenset(range(stop, end))
    )
