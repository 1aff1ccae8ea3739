"""Timers and pings: "timer 10 min", "remind me in 20 min to check the co2", "check on me in 45".

A length in minutes or hours is a wait; in days or as a date it is a task (tasks.py). As the answer to a ping
("remind me in 20 min", when something was asked) it puts that ping off.
"""

from __future__ import annotations

from collections.abc import Iterator

from bot.items import Control, Item, Wait
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import sentence, word
from bot.understanding.durations import Duration
from bot.understanding.lasting import Lasting, bare_minutes, until_in
from bot.understanding.lexicon import Hit, around
from bot.understanding.text import Text

_LEAD = around("pings", "lead")
_TAIL = _LEAD - {"on", "it", "again", "another"} | {":", "till", "til", "until", "by", "for"}
_STOP_AT = frozenset(".;!?\n,")


def claims(text: Text) -> Iterator[Claim]:
    """Each word that asks for a ping, with the length that follows it and what it is about."""
    for hit in text.hits("words_waits", "ping"):
        yield from _ping(text, hit)


def _ping(text: Text, hit: Hit) -> Iterator[Claim]:
    inside = sentence(text, hit.start)
    length = _length_after(text, hit, inside)
    until = None if length else until_in(text, inside)
    bare = None if length or until else bare_minutes(text, hit.stop, inside) or _bare_in(text, inside)
    if length and length.unit in ("s", "min", "h"):
        yield _claim(text, hit, inside, length.minutes, frozenset(range(length.start, length.stop)))
    elif until and hit.meaning == "timer":
        yield _claim(text, hit, inside, until.minutes, until.used)
    elif bare and bare.bare:
        yield _claim(text, hit, inside, bare.bare, bare.used)
    elif word(text, hit.start) not in _FOR_JOBS and (at := list(_at_a_time(text, hit, inside))):
        yield from at
    elif hit.meaning == "check_on_me":
        yield _claim(text, hit, inside, None, frozenset())


_FOR_JOBS = ("remind", "rmd", "reminder", "tell")


def _bare_in(text: Text, inside: range) -> Lasting | None:
    """ "ping me in 5 to feed", "remind me to switch it on in 15": minutes behind "in", and nothing they measure."""
    found = (m for m in text.measures if m.start in inside and not m.units and word(text, m.start - 1) == "in")
    last = next((m for m in found if m.stop == inside.stop or word(text, m.stop) == "to"), None)
    plain = last and last.number.value.is_integer() and last.number.value > 0
    used = frozenset(range(last.start - 1, last.stop)) if last else frozenset()
    return Lasting(None, None, used, bare=last.number.value) if last and plain else None


def _at_a_time(text: Text, hit: Hit, inside: range) -> Iterator[Claim]:
    """ "ping me at 10:15": until then; "remind me at 10:15 to ..." is a job."""
    place = hit.stop + (word(text, hit.stop) in ("for", "at"))
    found = (
        each
        for each in text.ahead
        if each.start in (hit.stop, place) and each.exact and not each.is_now and not each.doubt
    )
    at = next(found, None)
    if at:
        minutes = (at.at - text.situation.now).total_seconds() / 60
        yield _claim(text, hit, inside, round(minutes, 2), at.span)


def _length_after(text: Text, hit: Hit, inside: range) -> Duration | None:
    """The length after the word: right behind it or at the end of what is to be done."""
    following = [d for d in text.durations if d.start >= hit.stop and d.stop <= inside.stop]
    before = [d for d in text.durations if d.stop in (hit.start, hit.start - 1) and d.start >= inside.start]
    return next(iter(following or before), None)


def _claim(text: Text, hit: Hit, inside: range, minutes: float | None, length: frozenset[int]) -> Claim:
    stop = _end(text, max((hit.stop, *(i + 1 for i in length))), inside)
    span = frozenset(range(min((hit.start, *length)), max((hit.stop, *(i + 1 for i in length)))))
    said = _said(text, hit, span, stop)
    used = span | frozenset(range(said.start, said.stop)) | _polite(text, hit)
    subject = text.typed(said.start, said.stop) if said else None
    if hit.meaning == "check_on_me":
        subject = "check on me"
    elif hit.meaning == "timer" and subject is None:
        subject = "timer"
    item: Item = Wait("other", minutes=minutes, subject=subject)
    if text.situation.asked and not said and hit.meaning == "ping":
        item = Control("snooze", minutes=minutes)
    named = frozenset(i for m in text.mentions if m.plausible >= 1 for i in m.span)
    used -= named - span
    return Claim((item,), used, weigh(text.tokens, used, 1.0))


def _end(text: Text, place: int, inside: range) -> int:
    while place < inside.stop and word(text, place) not in _STOP_AT and word(text, place) not in ("and", "then", "n"):
        place += 1
    return place


def _said(text: Text, hit: Hit, span: frozenset[int], stop: int) -> range:
    """What it is about: between the word and the length, or behind the length."""
    inner = sorted(i for i in span if i >= hit.stop)
    length = [d for d in text.durations if d.start in span]
    middle = range(hit.stop, length[0].start if length else (inner[-1] + 1 if inner else hit.stop))
    behind = range(max(span) + 1, stop)
    for stretch in (behind, middle):
        trimmed = _trimmed(text, stretch)
        if trimmed:
            return trimmed
    return range(0)


def _trimmed(text: Text, stretch: range) -> range:
    start, stop = stretch.start, stretch.stop
    while start < stop and word(text, start) in _LEAD | {"that", "when", "-", ":"}:
        start += 1
    while stop > start and (word(text, stop - 1) in _TAIL or text.tokens[stop - 1].is_number):
        stop -= 1
    return range(start, stop)


def _polite(text: Text, hit: Hit) -> frozenset[int]:
    place = hit.start
    while place > 0 and word(text, place - 1) in ("can", "you", "could", "please", "pls", "and"):
        place -= 1
    return frozenset(range(place, hit.start))
