"""Water changed and topped off: "20% wc", "wc 30g", "half water change", "changed 30 l", "topped off with three"."""

from __future__ import annotations

from collections.abc import Iterator

from bot.understanding.claims import Claim
from bot.understanding.clauses import (
    amount_after,
    amount_before,
    clause,
    past_small,
    places,
    sentence,
    small_between,
    word,
    words,
)  # fmt: skip
from bot.understanding.lexicon import Hit, around
from bot.understanding.text import Text
from bot.understanding.units import Measure, without_unit
from bot.understanding.waters_told import TAIL, claim, fits, tail
from bot.understanding.waters_verbs import added_water, by_noun, changed, percent_change, to_amount

_BEFORE = around("waters", "before")
_LONE_EVAP = ("evap", "evaporation", "evaporated")


def claims(text: Text) -> Iterator[Claim]:
    """Each water change and top-off, with its amount where one stands beside it."""
    for hit in text.hits("words_events", "head"):
        if hit.meaning in ("water_change", "top_off") and not _put_off(text, hit):
            yield from _by_head(text, hit)
            yield from _again(text, hit)
    for hit in text.hits("words_events", "verb"):
        if hit.meaning == "water_change":
            yield from changed(text, hit)
            yield from by_noun(text, hit)
    yield from percent_change(text)
    yield from added_water(text)
    yield from to_amount(text)


def _put_off(text: Text, hit: Hit) -> bool:
    """ "wc postponed": none was made."""
    place = past_small(text, hit.stop, clause(text, hit.start).stop, ("is", "was", "got", "has", "been", "being"))
    return word(text, place) in _PUT_OFF


_PUT_OFF = (
    "postponed", "postpone", "cancelled", "canceled", "cancel", "rescheduled", "reschedule", "skipped", "due",
    "overdue", "needed", "pending",
)  # fmt: skip


def _by_head(text: Text, hit: Hit) -> Iterator[Claim]:
    inside = clause(text, hit.start)
    bare_head = words(text, hit.start, hit.stop)[0] in _LONE_EVAP
    if not bare_head:
        yield claim(text, hit.meaning, hit.span, None, 1.0)
    for measure, plausible in _amounts(text, hit, inside):
        if not (bare_head and not measure.units):
            used = (
                hit.span | measure.span | _between(text, hit, measure) | tail(text, max(hit.stop, measure.stop), inside)
            )
            yield claim(text, hit.meaning, used, measure, plausible)


def _again(text: Text, hit: Hit) -> Iterator[Claim]:
    """ "wc 40 l klinik 3 and 55 l klinik 5": each further amount beside a tank of its own."""
    amounts = [m for m in text.measures if m.unit("volume", "share") and m.start in sentence(text, hit.start)]
    for measure in [m for m in amounts if m.start >= hit.stop][1:]:
        told = places(text.mentions, amounts)
        free = all(i in told or word(text, i) in _JOINING for i in range(hit.stop, measure.start))
        own = any(m.start == measure.stop or m.stop == measure.start for m in text.mentions)
        tanks = [m for m in text.mentions if m.start in sentence(text, hit.start) and m.start <= measure.stop]
        if free and own and len(tanks) >= len([m for m in amounts if m.start <= measure.start]):
            used = measure.span | frozenset(i for i in (measure.start - 1,) if word(text, i) in _JOINING)
            yield claim(text, hit.meaning, used, measure, 1.0)


_JOINING = (",", "and", "n", "&", "+", ";", "/", "then")


def _amounts(text: Text, hit: Hit, inside: range) -> Iterator[tuple[Measure, float]]:
    place = _past_done(text, _past_time(text, hit.stop), inside.stop)
    after = amount_after(text, _past_time(text, place), inside.stop)
    if after and fits(after):
        yield after, 1.2 if after.units else 1.0
    before = amount_before(text, hit.start, inside.start) or _touching(text, hit)
    used = _used_for(text, hit, inside)
    if used:
        yield used, 1.2
    sized = before and after and any(m.stop == before.start for m in text.mentions)  # "main 120 gal wc 25"
    if before and not sized and fits(before) and (before.units or before.number.share or _opens(text, before, inside)):
        yield before, 1.2


def _past_time(text: Text, place: int) -> int:
    """ "wc at 2pm 20 gal": a time may stand between."""
    share = any(m.start == place and m.number.share for m in text.measures)
    return next((i.stop for i in text.past if i.start == place and i.exact and not share), place)


def _used_for(text: Text, hit: Hit, inside: range) -> Measure | None:
    """ "used 30 gal from vat a for wc": the amount of water is told before what it was for."""
    place = hit.start - (word(text, hit.start - 1) in ("a", "the"))
    if word(text, place - 1) != "for":
        return None
    found = (m for m in text.measures if m.start in inside and m.stop < place and m.unit("volume"))
    return next((m for m in found if word(text, m.start - 1) in ("used", "took", "pulled", "drew", "grabbed")), None)


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


def _between(text: Text, hit: Hit, measure: Measure) -> frozenset[int]:
    start, stop = (hit.stop, measure.start) if hit.stop <= measure.start else (measure.stop, hit.start)
    first = min(hit.start, measure.start)
    lead = range(max(first - 2, clause(text, first).start), first)
    did = frozenset(place for place in lead if word(text, place) in ("did", "a", "an", "did.", "doing"))
    return (
        small_between(text, start, stop)
        | frozenset(i for i in range(start, stop) if word(text, i) in TAIL | {"off", "up", "by"})
        | did
    )
