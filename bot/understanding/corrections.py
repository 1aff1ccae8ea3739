"""Later words about an earlier entry: "yesterday's gh was 8 not 18", "i meant 8.2", "wrong tank, that was den", a bare
value as a reply to a quote; and a reading taken back for another in the same breath ("ph 8.2 sorry alk 8.2")."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from bot.items import Correction, Item
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import is_named, places
from bot.understanding.lexicon import Hit, lexicon
from bot.understanding.pair import Pair
from bot.understanding.pairs import pair_of, pairs_in
from bot.understanding.parameters import TABLE, Name
from bot.understanding.text import Text
from bot.understanding.times import Instant
from bot.understanding.units import Measure


def claims(text: Text) -> Iterator[Claim]:
    """Every way in which the message puts an earlier entry right."""
    yield from _not_claims(text)
    yield from _denied_first(text)
    yield from _meant_claims(text)
    yield from _said_but(text)
    yield from _but_said(text)
    yield from _changed_to(text)
    yield from _from_to(text)


def _pairs(text: Text) -> list[Pair]:
    """The pairs whose number is no part of a tank's name."""
    return [p for p in pairs_in(text) if not (p.measure and is_named(text, p.measure.start))]


def _past_names(text: Text, place: int) -> int:
    return next((m.stop for m in text.mentions if m.start == place and m.plausible >= 1), place)


def _not_claims(text: Text) -> Iterator[Claim]:
    """ "ph was 8.1 not 7.1", "8.1 not 7.1", "gh was 8 instead of 18"."""
    for hit in text.hits(TABLE, "not"):
        new, old = _ending(text, hit.start), text.measure_at(hit.stop)
        if new is None or old is None or hit.start == 0:
            continue
        item = _of_measures(text, new, old)
        if item:
            yield from _with_context(text, item, frozenset(range(new.start, old.stop)), new.start)


def _denied_first(text: Text) -> Iterator[Claim]:
    """ "ph wasn't 8.5 it was 8.05": the wrong one is said first."""
    for hit in text.hits(TABLE, "not"):
        old, name = text.measure_at(hit.stop), _name_before(text, hit.start)
        place = old.stop if old else 0
        while old and _is(text, place, ",", "but", "it", "its", "it's", "was", "is", "actually", "really"):
            place += 1
        new = text.measure_at(place) if old and place > old.stop else None
        pair = pair_of(text, name, new, new.span) if name and new else None
        if old and new and pair and pair.value.why is None:
            item = Correction(
                pair.parameter, value=pair.value.value, unit=pair.value.unit, old=_as_same(text, pair, old)
            )
            yield from _with_context(text, item, frozenset(range(hit.start, new.stop)), hit.start)


def _value_for_value(text: Text, hit: Hit) -> Iterator[Claim]:
    """ "the 8.4 from this morning should be 8.1": an entry named by its value alone."""
    new = text.measure_at(hit.stop)
    told = {i for each in text.past for i in each.span}
    place = hit.start
    while place and (place - 1 in told or _is(text, place - 1, "from", "of", "at", "for")):
        place -= 1
    old = next((m for m in text.measures if m.stop == place and m.start <= 1), None)
    if new and old and not old.units and not _is(text, hit.start, "sorry", "oops", "*"):
        item = Correction(value=new.number.value, unit=_unit_of(new), old=old.number.value)
        yield _claim(text, item, frozenset(range(0, new.stop)), 1.3)


def _ending(text: Text, stop: int) -> Measure | None:
    """The measure that ends before `stop`, a comma left out."""
    return next((m for m in text.measures if m.stop == stop or (m.stop == stop - 1 and _is(text, m.stop, ","))), None)


def _of_measures(text: Text, new: Measure, old: Measure | None) -> Correction | None:
    """The right value and the old one; the parameter where a name stands before them."""
    pair = next((p for p in _pairs(text) if p.measure and p.measure.start == new.start and p.value.why is None), None)
    before = old.number.value if old else new.number.old
    if pair:
        old_pair = _as_same(text, pair, old)
        return Correction(pair.parameter, value=pair.value.value, unit=pair.value.unit, old=old_pair or before)
    quantity = new.quantity("volume", "mass", "share", "drops", "time")
    if quantity is None and new.units:
        return None
    unit = quantity.unit if quantity else _unit_of(old)
    return Correction(value=quantity.value if quantity else new.number.value, unit=unit, old=before)


def _unit_of(old: Measure | None) -> str | None:
    quantity = old.quantity("volume", "mass", "share", "drops", "time") if old else None
    return quantity.unit if quantity else None


def _as_same(text: Text, pair: Pair, old: Measure | None) -> float | None:
    if old is None:
        return None
    named = pair_of(text, Name(old.start, old.start, pair.parameter), old, old.span)
    return named.value.value if named else None


def _with_context(text: Text, item: Correction, core: frozenset[int], start: int) -> Iterator[Claim]:
    """The correction with what it is about, named before it: a parameter, an event, a day."""
    name = _name_before(text, start)
    if item.parameter is None and name:
        item = replace(item, parameter=name.parameter)
    event = None if item.parameter else _event_before(text, start)
    if event:
        item = replace(item, event=event.meaning)
    first = min([name.start] if name and item.parameter else [event.start] if event else [start])
    used = core | frozenset(range(first, start)) | _leading_word(text, first)
    day = _day_near(text, first, max(used) + 1)
    if day:
        used |= day.span
        item = replace(item, at=day.at) if day.exact else replace(item, date=day.day)
    named = frozenset(i for mention in text.mentions for i in mention.span)
    yield _claim(text, item, used - named, 1.3)


def _leading_word(text: Text, first: int) -> frozenset[int]:
    """ "Correction:", "sorry," at the head of the message."""
    hits = lexicon(TABLE, "take_back").at(text.tokens, 0)
    return frozenset(range(hits[0].stop)) if hits and hits[0].stop <= first else frozenset()


def _name_before(text: Text, stop: int) -> Name | None:
    names = [n for n in text.parameters if n.stop <= stop and stop - n.stop <= 6 and not n.letter and n.stop > n.start]
    clear = [n for n in names if not any(_breaks(text, place) for place in range(n.stop, stop))]
    return max(clear, key=lambda n: (n.stop, n.stop - n.start), default=None)


def _breaks(text: Text, place: int) -> bool:
    token = text.tokens[place]
    return token.is_number or token.kind == "line" or token.text in (".", ";")


def _event_before(text: Text, stop: int) -> Hit | None:
    hits = lexicon("words_events", "head").find(text.tokens)
    verbs = text.hits("words_events", "verb")
    hits = (*hits, *(h for h in verbs if h.meaning == "water_change" and _is(text, h.start, *_NOUNS)))
    near = [h for h in hits if h.stop <= stop and stop - h.stop <= 6]
    return near[-1] if near else None


_NOUNS = ("change", "swap", "exchange")


def _day_near(text: Text, start: int, stop: int) -> Instant | None:
    """The time that stands in front of the entry or behind the correction."""
    near = [i for i in text.past if start - 4 <= i.stop <= stop or stop <= i.start <= stop + 3]
    return near[0] if near and not near[0].is_now else None


def _meant_claims(text: Text) -> Iterator[Claim]:
    """ "i meant 8.2", "*8.2", "sorry ph 8.2", "ph should have been 8.1", with nothing before it to take back."""
    for hit in text.hits(TABLE, "take_back"):
        yield from _opening(text, hit)
        yield from _after_name(text, hit)
        yield from _value_for_value(text, hit)
    for hit in text.hits(TABLE, "take_back_first")[:1]:
        yield from _opening(text, hit) if hit.start == 0 else ()


def _changed_to(text: Text) -> Iterator[Claim]:
    """ "change that alk to 8.3", "fix yesterday's ph to 8.1"; not "change 20% to get ..."."""
    for name in text.parameters:
        place = name.stop + 1
        measure = text.measure_at(place) if _is(text, name.stop, "to", "=", ":") else None
        opener = next((i for i in range(min(3, name.start)) if _is(text, i, *_CHANGING)), None)
        if measure is None or opener is None or name.start - opener > 5:
            continue
        pair = pair_of(text, name, measure, frozenset(range(name.start, measure.stop)))
        if pair and pair.value.why is None:
            item = Correction(name.parameter, value=pair.value.value, unit=pair.value.unit)
            yield from _with_context(text, item, pair.used | {opener}, name.start)


def _from_to(text: Text) -> Iterator[Claim]:
    """ "ph 7.8 to 8.4 please", "change the ph from 7.8 to 8.4"."""
    for name in text.parameters:
        opener = next((i for i in range(min(3, name.start)) if _is(text, i, *_CHANGING)), None)
        old = text.measure_at(name.stop + _is(text, name.stop, "from"))
        new = text.measure_at(old.stop + 1) if old and _is(text, old.stop, "to", "=", ">") else None
        if not old or not new or not (opener is not None or _is(text, new.stop, *_PLEASE)):
            continue
        first, pair = (pair_of(text, name, each, name.span | each.span) for each in (old, new))
        if first and pair and first.value.why is None and pair.value.why is None:
            item = Correction(name.parameter, value=pair.value.value, unit=pair.value.unit, old=first.value.value)
            stop = new.stop + _is(text, new.stop, *_PLEASE)
            start = name.start if opener is None else opener
            yield from _with_context(text, item, frozenset(range(start, stop)), name.start)


_PLEASE = ("please", "pls", "plz", "thanks", "thx")
_CHANGING = ("change", "fix", "correct", "update", "edit", "make", "set")


def _said_but(text: Text) -> Iterator[Claim]:
    """ "i said ph 7.8 but it was 8.2", "logged nitrate 20 but meant 12"."""
    for pair in _pairs(text):
        stop = max(pair.used) + 1
        told = min(pair.used) and text.tokens[min(pair.used) - 1].text in _TOLD
        if not told or not pair.measure or not _is(text, stop, "but", ","):
            continue
        new = next((m for m in text.measures if 1 <= m.start - stop <= 5), None)
        named = pair_of(text, Name(new.start, new.start, pair.parameter), new, new.span) if new else None
        if new and named and named.value.why is None:
            item = Correction(pair.parameter, value=named.value.value, unit=named.value.unit, old=pair.value.value)
            yield _claim(text, item, frozenset(range(min(pair.used) - 1, new.stop)), 1.3)


def _but_said(text: Text) -> Iterator[Claim]:
    """ "monday's calcium was 451, i wrote 415"."""
    for pair in _pairs(text):
        place = max(pair.used) + 1
        while (named := _past_names(text, place)) > place or _is(text, place, *_LEADS_ON):
            place = max(named, place + 1)
        old = text.measure_at(place + 1) or text.measure_at(place + 2)
        told = _is(text, place, *_TOLD) and place > max(pair.used) + 1
        if told and old and pair.measure and pair.value.why is None:
            before = _as_same(text, pair, old)
            item = Correction(pair.parameter, value=pair.value.value, unit=pair.value.unit, old=before)
            used = pair.used | frozenset(range(max(pair.used) + 1, old.stop))
            yield from _with_context(text, item, used, min(pair.used))


_LEADS_ON = (",", ";", "-", "but", "i", "we", "had", "have")
_TOLD = frozenset(("said", "put", "typed", "entered", "logged", "wrote", "sent", "told"))


def _opening(text: Text, hit: Hit) -> Iterator[Claim]:
    if any(token.is_number for token in text.tokens[: hit.start]) or text.tokens[hit.start].text == "should":
        return
    if hit.start > 2 and not _is(text, hit.start - 1, ".", ",", "\n", "-", "!"):
        return
    for pair in _pairs(text):
        near = min(pair.used) - _past_names(text, hit.stop + _is(text, hit.stop, ":", ","))
        if pair.measure and -1 <= near <= 2 and min(pair.used) >= hit.stop and pair.value.why is None:
            item = Correction(pair.parameter, value=pair.value.value, unit=pair.value.unit, old=pair.measure.number.old)
            yield _claim(text, item, frozenset(range(hit.start, max(pair.used) + 1)) | pair.used, 1.2)
    measure = text.measure_at(hit.stop) or text.measure_at(hit.stop + 1)
    if measure and measure.stop >= len(text.tokens) - 1:
        meant = _of_measures(text, measure, None)
        if meant:
            plausible = 1.1 if measure.number.value.is_integer() else 1.4
            yield _claim(text, meant, frozenset(range(hit.start, measure.stop)), plausible)


def _after_name(text: Text, hit: Hit) -> Iterator[Claim]:
    """ "ph should have been 8.1", "that ph was actually 8.1"."""
    measure, name = text.measure_at(hit.stop), _name_before(text, hit.start)
    strong = " ".join(t.text for t in text.tokens[hit.start : hit.stop]) not in (
        "*",
        "sorry",
        "oops",
        "rather",
        "should be",
    )
    told = places(text.past, text.mentions)
    between = [] if name is None else [i for i in range(name.stop, hit.start) if i not in told]
    earlier = any(_is(text, i, "earlier", "before") for i in between)
    if measure is None or name is None or not (strong or earlier) or len(between) > 2:
        return
    pair = pair_of(text, name, measure, frozenset(range(name.start, measure.stop)))
    if pair and pair.value.why is None:
        item = Correction(name.parameter, value=pair.value.value, unit=pair.value.unit)
        yield from _with_context(text, item, pair.used, name.start)


def _claim(text: Text, item: Item, used: frozenset[int], plausible: float) -> Claim:
    return Claim((item,), used, weigh(text.tokens, used, plausible))


def _is(text: Text, place: int, *words: str) -> bool:
    return 0 <= place < len(text.tokens) and text.tokens[place].text in words
