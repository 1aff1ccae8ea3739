"""What stands around a reading and belongs to it: how it is reported, what it was before, and which water it is of."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from bot.understanding.lexicon import lexicon
from bot.understanding.pair import Pair
from bot.understanding.parameters import TABLE
from bot.understanding.text import Text


def with_basis(text: Text, pair: Pair) -> Pair:
    """ "5 mg/L as N", "5 mg/L N"."""
    stop = max(pair.used) + 1
    hits = lexicon(TABLE, "basis").at(text.tokens, stop)
    if hits:
        return replace(pair, basis=hits[0].meaning, used=pair.used | hits[0].span)
    token = text.tokens[stop] if stop < len(text.tokens) else None
    letter = (
        token and token.typed == _ELEMENT.get(pair.parameter) and pair.measure and pair.measure.unit("concentration")
    )
    alone = not any(name.start == stop and name.stop > stop + 1 for name in text.parameters)
    return replace(pair, basis=token.typed, used=pair.used | {stop}) if token and letter and alone else pair


_ELEMENT = {"ammonia": "N", "nitrite": "N", "nitrate": "N", "phosphate": "P"}


def with_before(text: Text, pair: Pair) -> Pair:
    """ "8.0 was 8.2", "20 up from 10": the value of before is only told."""
    stop = max(pair.used) + 1
    at = stop + 1 if stop < len(text.tokens) and text.tokens[stop].text in ("(", ",") else stop
    for hit in lexicon(TABLE, "trend").at(text.tokens, at):
        measure = text.measure_at(hit.stop)
        if hit.meaning == "from" and measure and pair.measure:
            told = frozenset(range(stop, measure.stop)) | _when_behind(text, measure.stop)
            return replace(pair, used=pair.used | told)
    return _with_bracket(text, pair, stop)


def _with_bracket(text: Text, pair: Pair, stop: int) -> Pair:
    """ "8.3 (8.1 last wk)": a number in brackets with a time behind is of that time, and only told."""
    measure = text.measure_at(stop + 1) if stop < len(text.tokens) and text.tokens[stop].text == "(" else None
    when = _when_behind(text, measure.stop) if measure else frozenset()
    close = max(when, default=0) + 1
    if not when or close >= len(text.tokens) or text.tokens[close].text != ")":
        return pair
    return replace(pair, used=pair.used | frozenset(range(stop, close + 1)))


def _when_behind(text: Text, stop: int) -> frozenset[int]:
    """The time behind the value of before is its own: "8.4 was 8.9 last wk"."""
    return next((each.span for each in text.past if each.start == stop and not each.is_now), frozenset())


def with_water(text: Text, pair: Pair) -> Iterator[Pair]:
    """ "tap ph 7.8", "72 in the bag": the same with the other water named beside it."""
    words = lexicon(TABLE, "of")
    first, stop = min(pair.used), max(pair.used) + 1
    for hit in (hit for place in range(max(0, first - 4), first) for hit in words.at(text.tokens, place)):
        if _reaches(text, hit.stop, first):
            yield replace(pair, of=hit.meaning, used=pair.used | frozenset(range(hit.start, first)))
    opener = stop
    while opener < len(text.tokens) and text.tokens[opener].text in ("in", "of", "from", "the", "at", "out"):
        opener += 1
    for hit in words.at(text.tokens, opener):
        if opener == stop and not _ends_here(text, hit.stop):
            continue
        yield replace(pair, of=hit.meaning, used=pair.used | frozenset(range(stop, hit.stop)))


def _ends_here(text: Text, stop: int) -> bool:
    return stop == len(text.tokens) or text.tokens[stop].text in (",", ".", ";", "\n", ")")


def _reaches(text: Text, stop: int, first: int) -> bool:
    """Whether nothing but "water", "the", a colon or a dash stands between other water's name and the reading."""
    return stop <= first and all(t.text in ("water", "here", "is", ":", "-", "'s") for t in text.tokens[stop:first])
