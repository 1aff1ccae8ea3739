"""Water changed and topped off: "20% wc", "wc 30g", "half water change", "changed 30 l", "topped off with three"."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from bot.items import Clarify, Event, Item
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import (
    amount_after,
    amount_at,
    amount_before,
    before_small,
    clause,
    hits_in,
    past_small,
    places,
    sentence,
    small_between,
    tokens_of,
    word,
    words,
)  # fmt: skip
from bot.understanding.lexicon import Hit, around
from bot.understanding.text import Text
from bot.understanding.units import Measure, without_unit

_TAIL = around("waters", "tail")
_BEFORE = around("waters", "before")
_OPEN_VERBS = around("waters", "open_verbs")
_LONE_EVAP = ("evap", "evaporation", "evaporated")


def claims(text: Text) -> Iterator[Claim]:
    """Each water change and top-off, with its amount where one stands beside it."""
    for hit in text.hits("words_events", "head"):
        if hit.meaning in ("water_change", "top_off"):
            yield from _by_head(text, hit)
            yield from _again(text, hit)
    for hit in text.hits("words_events", "verb"):
        if hit.meaning == "water_change":
            yield from _changed(text, hit)
            yield from _noun(text, hit)
    yield from _percent_change(text)
    yield from _added_water(text)
    yield from _to_amount(text)


def _by_head(text: Text, hit: Hit) -> Iterator[Claim]:
    inside = clause(text, hit.start)
    bare_head = words(text, hit.start, hit.stop)[0] in _LONE_EVAP
    if not bare_head:
        yield _claim(text, hit.meaning, hit.span, None, 1.0)
    for measure, plausible in _amounts(text, hit, inside):
        if not (bare_head and not measure.units):
            used = (
                hit.span
                | measure.span
                | _between(text, hit, measure)
                | _tail(text, max(hit.stop, measure.stop), inside)
            )
            yield _claim(text, hit.meaning, used, measure, plausible)


def _again(text: Text, hit: Hit) -> Iterator[Claim]:
    """ "wc 40 l klinik 3 and 55 l klinik 5": each further amount beside a tank of its own."""
    amounts = [m for m in text.measures if m.unit("volume", "share") and m.start in sentence(text, hit.start)]
    for first, measure in pairwise(m for m in amounts if m.start >= hit.stop):
        told = places(text.mentions, amounts)
        free = all(i in told or word(text, i) in _JOINING for i in range(hit.stop, measure.start))
        own = any(m.start == measure.stop or m.stop == measure.start for m in text.mentions)
        if free and own and any(m.start < measure.start and m.stop > first.start for m in text.mentions):
            used = measure.span | frozenset(i for i in (measure.start - 1,) if word(text, i) in _JOINING)
            yield _claim(text, hit.meaning, used, measure, 1.0)


_JOINING = (",", "and", "n", "&", "+", ";", "/", "then")


def _amounts(text: Text, hit: Hit, inside: range) -> Iterator[tuple[Measure, float]]:
    place = _past_done(text, _past_time(text, hit.stop), inside.stop)
    after = amount_after(text, _past_time(text, place), inside.stop)
    if after and _fits(after):
        yield after, 1.2 if after.units else 1.0
    before = amount_before(text, hit.start, inside.start) or _touching(text, hit)
    if before and _fits(before) and (before.units or before.number.share or _opens(text, before, inside)):
        yield before, 1.2


def _past_time(text: Text, place: int) -> int:
    """ "wc at 2pm 20 gal": a time may stand between."""
    share = any(m.start == place and m.number.share for m in text.measures)
    return next((i.stop for i in text.past if i.start == place and i.exact and not share), place)


def _touching(text: Text, hit: Hit) -> Measure | None:
    """The number just before "w/c", whose "w" is no unit of it."""
    return next((without_unit(m) for m in text.measures if m.number.stop == hit.start and m.stop > hit.start), None)


def _past_done(text: Text, place: int, stop: int) -> int:
    return past_small(
        text,
        place,
        stop,
        (
            "done",
            "today",
            "off",
            "up",
            "with",
            "of",
            ":",
            "=",
            "-",
            "about",
            "it",
            "was",
            "by",
            "at",
            "a",
            "the",
            "complete",
            "ro",
        ),
    )


def _opens(text: Text, measure: Measure, inside: range) -> bool:
    """A bare number before "wc" is its amount only at the head of the clause or after "did a"."""
    start = measure.start
    while start > inside.start and word(text, start - 1) in _BEFORE:
        start -= 1
    return start == inside.start


def _fits(measure: Measure) -> bool:
    kinds = {unit.measures for unit in measure.units}
    return not kinds or bool(kinds & {"volume", "share", "unsized"})


def _between(text: Text, hit: Hit, measure: Measure) -> frozenset[int]:
    start, stop = (hit.stop, measure.start) if hit.stop <= measure.start else (measure.stop, hit.start)
    first = min(hit.start, measure.start)
    lead = range(max(first - 2, clause(text, first).start), first)
    did = frozenset(place for place in lead if word(text, place) in ("did", "a", "an", "did.", "doing"))
    return (
        small_between(text, start, stop)
        | frozenset(i for i in range(start, stop) if word(text, i) in _TAIL | {"off", "up", "by"})
        | did
    )


def _tail(text: Text, place: int, inside: range) -> frozenset[int]:
    """Words behind that only round it off: "done", "RO", "put 20 gal new back"."""
    stop = place
    while stop < inside.stop and word(text, stop) in _TAIL and not _in_mention(text, stop):
        stop += 1
    if words(text, stop, stop + 2) in (["and", "refilled"], ["n", "refilled"], ["&", "refilled"], ["and", "filled"]):
        stop += 2
    return frozenset(range(place, stop))


def _in_mention(text: Text, place: int) -> bool:
    return any(m.start <= place < m.stop for m in text.mentions)


def _changed(text: Text, hit: Hit) -> Iterator[Claim]:
    """A verb with an amount of water: "changed 30 %", "pulled 20 gal", "swap 15 gallons", "did a 30"."""
    inside = clause(text, hit.start)
    measure = amount_after(text, hit.stop, inside.stop)
    if measure is None or not _fits(measure) or measure.unit("unsized") or not _of_water(text, measure, inside):
        return
    if measure.units or _share_of_water(text, measure, inside) or _open_verb(text, hit, measure, inside):
        used = hit.span | measure.span | small_between(text, hit.stop, measure.start) | _refill(text, measure, inside)
        into_store = {"ato", "reservoir"} & set(words(text, inside.start, inside.stop))
        if into_store:
            used |= frozenset(range(inside.start, measure.stop))
        yield _claim(text, "top_off" if into_store else "water_change", used, measure, 1.1)


def _noun(text: Text, hit: Hit) -> Iterator[Claim]:
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
        yield _claim(text, "water_change", used, measure, 1.1)


_CLOSING = around("waters", "closing")
_NOUNS = ("change", "swap", "exchange", "changed", "swapped", "exchanged")


def _percent_change(text: Text) -> Iterator[Claim]:
    """ "10% change", where the table of units takes "% change" as one."""
    for measure in text.measures:
        if measure.unit("share") and word(text, measure.stop - 1) == "change":
            before = frozenset(i for i in (measure.start - 1,) if word(text, i) in _BEFORE)
            yield _claim(text, "water_change", measure.span | before, measure, 1.1)


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
    return frozenset(range(measure.stop, stop)) | _tail(text, stop, inside)


def _added_water(text: Text) -> Iterator[Claim]:
    """ "added 3 L of fresh water", "filled up with 12 litres RO", "put 2 gal ro in"."""
    for water in text.hits("words_events", "thing"):
        if water.meaning != "top_off":
            continue
        inside = clause(text, water.start)
        measure = amount_before(text, water.start, inside.start)
        verbs = hits_in(text, range(inside.start, water.start), "words_events", "verb", "top_off")
        led = measure and verbs and 0 <= measure.start - verbs[-1].stop <= _MOST_BETWEEN
        if measure and led and _fits(measure) and not measure.unit("share"):
            used = frozenset(range(verbs[-1].start, water.stop)) | _tail(text, water.stop, inside)
            yield _claim(text, "top_off", used, measure, 1.2)
        elif (
            measure
            and word(text, water.stop) in ("added", "in", "topped")
            and _fits(measure)
            and not measure.unit("share")
        ):
            used = frozenset(range(measure.start, water.stop + 1))
            yield _claim(text, "top_off", used, measure, 1.1)


_MOST_BETWEEN = 3
"""Small words between "added" and the amount of water: "added back about another 3 gal ro"."""


def _to_amount(text: Text) -> Iterator[Claim]:
    """ "to 2 gal", "filled 4 gal": short for a top-off, only at the head of a clause."""
    for place, token in enumerate(text.tokens):
        if token.text in ("to", "filled") and clause(text, place).start == place:
            measure = amount_at(text, place + 1)
            if measure and measure.unit("volume"):
                yield _claim(text, "top_off", measure.span | {place}, measure, 1.0)


def _claim(text: Text, event: str, used: frozenset[int], measure: Measure | None, plausible: float) -> Claim:
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
