"""Water changed and added by a verb: "changed 30 %", "half the water changed", "added 3 L of fresh water"."""

from __future__ import annotations

from collections.abc import Iterator

from bot.understanding.claims import Claim
from bot.understanding.clauses import (
    amount_after,
    amount_at,
    amount_before,
    before_small,
    clause,
    hits_in,
    past_small,
    small_between,
    word,
    words,
)  # fmt: skip
from bot.understanding.lexicon import Hit, around
from bot.understanding.text import Text
from bot.understanding.units import Measure
from bot.understanding.waters_told import claim, fits, tail

_BEFORE = around("waters", "before")
_OPEN_VERBS = around("waters", "open_verbs")


def changed(text: Text, hit: Hit) -> Iterator[Claim]:
    """A verb with an amount of water: "changed 30 %", "pulled 20 gal", "swap 15 gallons", "did a 30"."""
    inside = clause(text, hit.start)
    measure = amount_after(text, hit.stop, inside.stop)
    if measure is None or not fits(measure) or measure.unit("unsized") or not _of_water(text, measure, inside):
        return
    if measure.units or _share_of_water(text, measure, inside) or _open_verb(text, hit, measure, inside):
        used = hit.span | measure.span | small_between(text, hit.stop, measure.start) | _refill(text, measure, inside)
        into_store = {"ato", "reservoir"} & set(words(text, inside.start, inside.stop))
        if into_store:
            used |= frozenset(range(inside.start, measure.stop))
        yield claim(text, "top_off" if into_store else "water_change", used, measure, 1.1)


def by_noun(text: Text, hit: Hit) -> Iterator[Claim]:
    """ "quick 10 % change", "half the water changed": the amount before, and nothing behind that could be changed."""
    inside = clause(text, hit.start)
    end = before_small(text, hit.start, inside.start, ("the", "water", "tank", "of", "was", "is", "got"))
    measure = next((m for m in text.measures if m.stop in (hit.start, end) and m.start >= inside.start), None)
    ends = hit.stop >= inside.stop or word(text, hit.stop) in (*_CLOSING, "from", "with", "using")
    touching = measure and measure.stop == hit.start and measure.unit("share", "volume")
    shared = measure and measure.number.share and not measure.units
    if measure and ends and ((touching and word(text, hit.start) in _NOUNS) or shared):
        before = frozenset(i for i in (measure.start - 1,) if word(text, i) in _BEFORE)
        used = before | frozenset(range(measure.start, hit.stop))
        yield claim(text, "water_change", used, measure, 1.1)


_CLOSING = around("waters", "closing")


_NOUNS = ("change", "swap", "exchange", "changed", "swapped", "exchanged")


def percent_change(text: Text) -> Iterator[Claim]:
    """ "10% change", where the table of units takes "% change" as one."""
    for measure in text.measures:
        if measure.unit("share") and word(text, measure.stop - 1) == "change":
            before = frozenset(i for i in (measure.start - 1,) if word(text, i) in _BEFORE)
            yield claim(text, "water_change", measure.span | before, measure, 1.1)


def _of_water(text: Text, measure: Measure, inside: range) -> bool:
    """Not "pulled 5 gal of sand"; a cup or a spoon is no change of water."""
    unit = measure.unit("volume")
    if unit and unit.name in ("cup", "tsp", "tbsp", "mL", "fl oz"):
        return False
    after = past_small(text, measure.stop, inside.stop, ("of", "the", "worth", "out", "off"))
    of = word(text, measure.stop) == "of"
    return not of or word(text, after) in ("water", "tank", "it", "saltwater", "system")


def _share_of_water(text: Text, measure: Measure, inside: range) -> bool:
    """ "drained half n refilled", "changed a third": a share of nothing else."""
    place = past_small(text, measure.stop, inside.stop, ("of", "the", "it", "all", "our"))
    ends = place >= inside.stop or word(text, place) in ("and", "n", "&", "water", "tank", "system", "today", "at")
    return measure.number.share and ends


def _open_verb(text: Text, hit: Hit, measure: Measure, inside: range) -> bool:
    """A bare number after the verb counts only where no noun follows it ("changed 2 socks")."""
    verb = " ".join(words(text, hit.start, hit.stop))
    end = past_small(text, measure.stop, inside.stop, ("and", "n", "&", "at", "on", "in", "today", "now", "percent"))
    return verb in _OPEN_VERBS and (
        end >= inside.stop or word(text, measure.stop) in ("and", "n", "&", "at", "on", "in")
    )


def _refill(text: Text, measure: Measure, inside: range) -> frozenset[int]:
    """ "... put 20 gal new back": the same amount said again of the new water."""
    stop = measure.stop
    again = [
        m for m in text.measures if m.start >= stop and m.stop <= inside.stop and m.number.value == measure.number.value
    ]
    verbs = {"put", "replaced", "refilled", "filled", "added", "back", "in", "refill"}
    if again and verbs & set(words(text, stop, inside.stop)):
        stop = again[0].stop
    return frozenset(range(measure.stop, stop)) | tail(text, stop, inside)


def added_water(text: Text) -> Iterator[Claim]:
    """ "added 3 L of fresh water", "filled up with 12 litres RO", "put 2 gal ro in"."""
    for water in text.hits("words_events", "thing"):
        if water.meaning != "top_off":
            continue
        inside = clause(text, water.start)
        measure = amount_before(text, water.start, inside.start)
        verbs = hits_in(text, range(inside.start, water.start), "words_events", "verb", "top_off")
        led = measure and verbs and 0 <= measure.start - verbs[-1].stop <= _MOST_BETWEEN
        if measure and led and fits(measure) and not measure.unit("share"):
            used = frozenset(range(verbs[-1].start, water.stop)) | tail(text, water.stop, inside)
            yield claim(text, "top_off", used, measure, 1.2)
        elif (
            measure
            and word(text, water.stop) in ("added", "in", "topped")
            and fits(measure)
            and not measure.unit("share")
        ):
            used = frozenset(range(measure.start, water.stop + 1))
            yield claim(text, "top_off", used, measure, 1.1)


_MOST_BETWEEN = 3
"""Small words between "added" and the amount of water: "added back about another 3 gal ro"."""


def to_amount(text: Text) -> Iterator[Claim]:
    """ "to 2 gal", "filled 4 gal": short for a top-off, only at the head of a clause."""
    for place, token in enumerate(text.tokens):
        if token.text in ("to", "filled") and clause(text, place).start == place:
            measure = amount_at(text, place + 1)
            if measure and measure.unit("volume"):
                yield claim(text, "top_off", measure.span | {place}, measure, 1.0)
