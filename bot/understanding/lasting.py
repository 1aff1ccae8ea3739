"""How long a wait is to be, and since when it runs: "20 min", "for an hour", "15", "since 10:40", "until 8"."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from bot.understanding.clauses import clause, is_named, word, words
from bot.understanding.lexicon import around, lexicon
from bot.understanding.text import Text
from bot.understanding.times import Instant
from bot.understanding.units import Measure

_LEADS = around("lasting", "leads")
_UNTIL = around("lasting", "until")


@dataclass(frozen=True)
class Lasting:
    """Minutes (None where only a beginning is said), when it began, and the tokens that say so. `bare`: a number
    without a unit."""

    minutes: float | None
    started: datetime | None
    used: frozenset[int]
    bare: float | None = None


def lasting_in(text: Text, inside: range) -> Lasting | None:
    """The length and the beginning that are said in a stretch, wherever they stand in it."""
    length = next((d for d in text.durations if d.start in inside and d.stop <= inside.stop), None)
    since = _since(text, inside)
    until = None if length else until_in(text, inside)
    if not (length or since or until):
        return None
    used = frozenset().union(*(each.used for each in (since, until) if each))
    if length:
        used |= length.span | _led(text, length.start, inside)
    begun = since.started if since else None
    minutes = length.minutes if length else _whole(text, until, begun) if until else None
    return Lasting(minutes, begun, used)


def _whole(text: Text, until: Lasting, begun: datetime | None) -> float | None:
    """From its beginning, where that is said too: "since 8:50 till 9:10"."""
    run = (text.situation.now - begun).total_seconds() / 60 if begun else 0.0
    return until.minutes and round(until.minutes + run, 2)


def lasting_after(text: Text, place: int, inside: range) -> Lasting | None:
    """The length that follows right behind a place, or a beginning in what follows it."""
    lead = place
    while lead < inside.stop and word(text, lead) in _LEADS:
        lead += 1
    length = next((d for d in text.durations if place <= d.start <= lead and d.stop <= inside.stop), None)
    since = _since(text, range(place, _end(text, inside.stop)))
    if length is None:
        return since and _with_later_length(text, since, inside)
    used = frozenset(range(place, length.stop)) | (since.used if since else frozenset())
    return Lasting(length.minutes, since.started if since else None, used)


def _end(text: Text, stop: int) -> int:
    """One comma further: "pumps off since 9:20, 30 min"."""
    return stop


def _with_later_length(text: Text, since: Lasting, inside: range) -> Lasting:
    last = max(since.used) + 1
    lead = last
    while lead < len(text.tokens) and (word(text, lead) in (",", "for", "about", "~")):
        lead += 1
    length = next((d for d in text.durations if d.start == lead), None)
    if length is None:
        return since
    return Lasting(length.minutes, since.started, since.used | frozenset(range(last, length.stop)))


def lasting_before(text: Text, place: int, inside: range) -> Lasting | None:
    """The length just before a place: "15 min pump off"."""
    length = next((d for d in text.durations if d.start >= inside.start and d.stop in (place, place - 1)), None)
    good = length and (length.stop == place or word(text, place - 1) in _LEADS - {"to"})  # "in 20 min to shut it"
    return Lasting(length.minutes, None, frozenset(range(length.start, place))) if length and good else None


_BEHIND = ("and", "then", "n", "&", "pls", "please", "while", "so", "now")


def bare_minutes(text: Text, place: int, inside: range) -> Lasting | None:
    """A number without a unit at the end of a clause: "check on me in 45", "float bag 15"."""
    lead = place
    while lead < inside.stop and word(text, lead) in _LEADS:
        lead += 1
    measure = text.measure_at(lead)
    ends = measure and (measure.stop >= inside.stop or word(text, measure.stop) in _BEHIND)
    if not (measure and ends) or _is_of_a_name(text, measure) or measure.units or not measure.number.value.is_integer():
        return None
    return Lasting(None, None, frozenset(range(place, measure.stop)), bare=measure.number.value)


def _is_of_a_name(text: Text, measure: Measure) -> bool:
    """The number of "vat 2" or "chlorine 15" belongs to the name before it; not that of "in chlorine 15"."""
    names = (name for name in text.parameters if name.stop == measure.start and not name.letter)
    measured = any(word(text, name.start - 1) not in ("in", "into", "the") for name in names)
    return measured or is_named(text, measure.start) or word(text, measure.start - 1) in _NUMBERED


_NUMBERED = around("lasting", "numbered")


def _led(text: Text, start: int, inside: range) -> frozenset[int]:
    place = start
    while place > inside.start and word(text, place - 1) in ("for", "about", "another", "~", "in", "of"):
        place -= 1
    return frozenset(range(place, start))


def _since(text: Text, inside: range) -> Lasting | None:
    """An instant that lies behind, after "since", "from", "at", or told as "20 min ago"."""
    for instant in text.past:
        if (
            instant.start in inside
            and instant.stop <= inside.stop
            and not instant.is_now
            and instant.exact
            and not instant.doubt
        ):
            opened = _opened(text, instant, inside)
            behind = instant.at <= text.situation.now
            if behind and (opened or word(text, instant.stop - 1) in ("ago", "back")):
                start = opened or instant.start
                return Lasting(None, instant.at, frozenset(range(start, instant.stop)))
    return None


def _opened(text: Text, instant: Instant, inside: range) -> int | None:
    """Where "since" (or its like) stands: the first token of the instant, or the words just before it."""
    for start in range(max(inside.start, instant.start - 3), instant.start + 1):
        hits = lexicon("words_waits", "since").at(text.tokens, start)
        if any(hit.stop in (instant.start, instant.start + 1) for hit in hits):
            return start
    return None


ENDS = around("lasting", "ends")


def _ends_at(text: Text, place: int) -> bool:
    """ "out at 9:10", "back on at 11"."""
    return word(text, place) == "at" and word(text, place - 1) in ENDS


def with_until(text: Text, last: Lasting | None, inside: range) -> Lasting | None:
    """A beginning with the end that is said behind it: "off since 8:50 until 9:20"."""
    until = until_in(text, inside) if last and last.minutes is None else None
    if last is None or until is None:
        return last
    return Lasting(_whole(text, until, last.started), last.started, last.used | until.used)


def back_on_in(text: Text, stop: int) -> Lasting | None:
    """ "heater off, back on in 20": the length stands in the clause behind."""
    after = clause(text, stop + 1) if word(text, stop) == "," else range(0)
    said = words(text, after.start, after.stop)
    if said[:3] != ["back", "on", "in"] and said[:3] != ["on", "again", "in"]:
        return None
    last = lasting_after(text, after.start + 3, after) or bare_minutes(text, after.start + 3, after)
    minutes = last and (last.minutes if last.bare is None else last.bare)
    return Lasting(minutes, None, frozenset(after)) if minutes else None


def until_in(text: Text, inside: range) -> Lasting | None:
    """An instant ahead after "until": as the minutes that are left to it."""
    for instant in text.ahead:
        places = (instant.start, instant.start - 1)
        opener = next((i for i in places if i in inside and (word(text, i) in _UNTIL or _ends_at(text, i))), None)
        if opener is not None and instant.start in inside and instant.exact and not instant.doubt:
            minutes = (instant.at - text.situation.now).total_seconds() / 60
            if minutes > 0:
                return Lasting(minutes, None, frozenset(range(opener, instant.stop)))
    return None
