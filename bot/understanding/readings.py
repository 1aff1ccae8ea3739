"""What was measured, as readings; what cannot be, as something to ask back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bot.items import Clarify, Item, Reading
from bot.understanding.claims import Claim, weigh
from bot.understanding.lexicon import lexicon
from bot.understanding.lists import inherited_in, on_both_scales, rows_in
from bot.understanding.pair import Pair
from bot.understanding.pairs import pairs_in
from bot.understanding.parameters import TABLE
from bot.understanding.text import Text
from bot.understanding.values import is_possible, near_misses


def claims(text: Text) -> Iterator[Claim]:
    """One for each pair of a name and a number; one for each row of names with its numbers."""
    pairs = pairs_in(text)
    for pair in (*pairs, *inherited_in(text, pairs), *on_both_scales(text, pairs)):
        yield _claim(text, (pair,))
    for row in rows_in(text):
        yield _claim(text, row)
    yield from _skipped(text)
    yield from _shares(text)


def as_item(text: Text, pair: Pair) -> Item:
    """The pair as a reading, or as what is to be asked."""
    value = pair.value
    if value.why or value.unit is None:
        part = text.typed(min(pair.used), max(pair.used) + 1)
        off = value.why == "unlikely_value" and value.unit and not is_possible(pair.parameter, value.value, value.unit)
        odd = off or (pair.parameter == "salinity" and value.value >= 1.041)
        options = near_misses(pair.parameter, value.value) if value.why == "unlikely_value" and odd else ()
        why = value.why or "which_unit"
        return Clarify(why, part, parameter=pair.parameter, value=value.value, unit=value.unit, options=options)
    number = pair.measure.number if pair.measure else None
    return Reading(
        pair.parameter,
        value.value,
        value.unit,
        below=pair.below,
        above=pair.above,
        low=value.low,
        high=value.high,
        about=bool(number and number.about),
        basis=pair.basis,
        of=pair.of or "tank",
    )


def _claim(text: Text, pairs: Sequence[Pair]) -> Claim:
    used = frozenset(i for pair in pairs for i in pair.used)
    plausible = min(pair.plausible * pair.value.plausible for pair in pairs)
    items = tuple(as_item(text, pair) for pair in pairs)
    water = next((pair.of for pair in pairs if pair.of), None)
    return Claim(items, used, weigh(text.tokens, used, plausible), place=min(p.place for p in pairs), water=water)


def _skipped(text: Text) -> Iterator[Claim]:
    """ "alk not tested", "out of reagent for ca": understood, and nothing to store."""
    for hit in text.hits(TABLE, "limit"):
        if hit.meaning == "skipped":
            near = [n for n in text.parameters if abs(n.stop - hit.start) <= 1 or 0 <= n.start - hit.stop <= 2]
            if near:
                used = hit.span | near[0].span
                yield Claim((), used, weigh(text.tokens, used))


def _shares(text: Text) -> Iterator[Claim]:
    """ "free ammonia 0.02" is no reading of the total: asked."""
    for hit in lexicon(TABLE, "other_quantity").find(text.tokens):
        measure = next((m for m in text.measures if 0 <= m.start - hit.stop <= 2), None)
        if measure:
            used = frozenset(range(hit.start, measure.stop))
            part = text.typed(hit.start, measure.stop)
            yield Claim((Clarify("which_parameter", part),), used, weigh(text.tokens, used, 0.9))
