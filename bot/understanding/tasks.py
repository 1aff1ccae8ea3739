"""Jobs for later: "todo order salt", "remind me in 2 days retest po4 den", "tell tomasz to check the vat friday".

A word of the table opens a job; its text runs to the end of the sentence or to the next comma, without the words that
say when, how often and by whom. The day lies ahead.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime

from bot.items import Clarify, Item, Task
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import clause, sentence, word, words
from bot.understanding.lexicon import Hit, around
from bot.understanding.lookups import opens_as_question
from bot.understanding.rhythm import Rhythm, rhythm_in
from bot.understanding.text import Text
from bot.understanding.times import Instant

_EDGE = around("tasks", "edge")
_TAILS = (
    "dont let me forget",
    "don't let me forget",
    "dont forget",
    "don't forget",
    "please",
    "pls",
    "remember",
    "asap",
    "thx",
    "thanks",
)
_NO_JOB = around("tasks", "no_job")


@dataclass(frozen=True)
class _Parts:
    """What a job's stretch of the message says beside its text."""

    when: Instant | None
    rhythm: Rhythm | None
    who: str | None
    aside: frozenset[int]


def claims(text: Text) -> Iterator[Claim]:
    """Every job that is not asked about ("when is the next visit")."""
    for claim in _jobs(text):
        if not opens_as_question(text, min(claim.used)):
            yield claim


def _jobs(text: Text) -> Iterator[Claim]:
    """Once up to the next comma and once up to the end of the sentence."""
    for hit in text.hits("words_tasks", "opens"):
        yield from _job(text, hit, hit.stop, 0.95)
    for hit in text.hits("words_tasks", "verb"):
        if _opens(text, hit):
            yield from _job(text, hit, hit.start, 0.75 if hit.meaning == "work" else 0.9)
    yield from _by_day(text)


def _opens(text: Text, hit: Hit) -> bool:
    """A verb opens a job where it is an order: not after "how", "did", "i"; work only with a day or a rhythm."""
    before = word(text, hit.start - 1)
    inside = clause(text, hit.start)
    if before in _NO_JOB or (before in ("to", "we", "i") and hit.meaning == "work"):
        return False
    if hit.meaning == "work":
        return hit.start == inside.start and bool(_when(text, inside) or rhythm_in(text, inside))
    if words(text, hit.start, hit.stop) in (["take"], ["pick"], ["need"], ["needs"], ["short", "on"]):
        return hit.start == inside.start
    return True


def _job(text: Text, hit: Hit, start: int, plausible: float) -> Iterator[Claim]:
    """Up to the next comma; over commas while a list goes on; or to the end, where nothing reads the rest better."""
    if hit.meaning == "tell" and not _somebody(text, hit.stop):
        return
    if _asks_or_denies(text, hit):
        return
    whole = sentence(text, hit.start)
    first = _end(text, hit.stop, whole)
    listed = first
    while word(text, listed) == "," and _is_list(text, clause(text, listed + 1)):
        listed = clause(text, listed + 1).stop
    for stop in dict.fromkeys((first, listed, whole.stop)):
        claim = _claim(text, hit, start, range(hit.start, stop), plausible if stop <= listed else plausible - 0.4)
        if claim:
            yield claim


def _asks_or_denies(text: Text, hit: Hit) -> bool:
    """ "should i dose?" asks, "wasn't able to do" denies; what is "out of water", or "out of vat a", is no supply."""
    asks = word(text, hit.start) in ("should", "must") and word(text, hit.stop) in (
        "i",
        "we",
        "you",
        "it",
        "be",
        "have",
    )
    denies = word(text, hit.start - 1) in (
        "able",
        "not",
        "forgot",
        "unable",
        "managed",
        "used",
        "don't",
        "dont",
        "didn't",
        "didnt",
    )
    placed = any(m.start == hit.stop for m in text.mentions)
    runs_dry = words(text, hit.start, hit.stop) == ["out", "of"] and (placed or word(text, hit.stop) == "water")
    return asks or denies or runs_dry


def _end(text: Text, place: int, whole: range) -> int:
    while place < whole.stop and word(text, place) not in (",", "then"):
        place += 1
    return place


def _is_list(text: Text, inside: range) -> bool:
    """A clause of supplies and numbers only: "order salt, carbon and 2 socks"; or one that only says when or who."""
    groups = (("words_setup", "thing"), ("words_events", "thing"))
    spans = [h.span for name, group in groups for h in text.hits(name, group)] + [w.span for w in text.ahead]
    rhythm = rhythm_in(text, inside)
    known = {i for span in spans for i in span} | (rhythm.used if rhythm else frozenset())
    rest = [
        i
        for i in inside
        if i not in known and not text.tokens[i].is_number and word(text, i) not in _EDGE | {"more", "new"}
    ]
    return bool(len(inside)) and not rest


def _claim(text: Text, hit: Hit, start: int, stretch: range, plausible: float) -> Claim | None:
    before = range(clause(text, hit.start).start, hit.start)
    parts = _parts(text, hit, stretch, before)
    body = [i for i in range(start, stretch.stop) if i not in parts.aside]
    body = _trimmed(text, body)
    if not any(text.tokens[i].is_word for i in body):
        return None
    used = frozenset(range(hit.start, hit.stop)) | frozenset(body) | parts.aside | _between(text, hit, body)
    named = frozenset(i for m in text.mentions if m.plausible >= 1 for i in m.span)
    item = _item(text, _said(text, body), parts)
    return Claim((item,), used - named | hit.span, weigh(text.tokens, used - named, plausible))


def _item(text: Text, said: str, parts: _Parts) -> Item:
    every = parts.rhythm.days if parts.rhythm else None
    task = Task(said, due=_due(parts.when), who=parts.who, every_days=every)
    if parts.rhythm and parts.rhythm.open:
        return Clarify("which_time", parts.rhythm.said, options=("twice a week", "every 2 weeks"), about=task)
    if parts.when and parts.when.doubt:
        return replace(task, due=parts.when.at)
    return task


def _due(when: Instant | None) -> datetime | date | None:
    return None if when is None else when.at if when.exact else when.day


def _parts(text: Text, hit: Hit, stretch: range, before: range) -> _Parts:
    when = _when(text, stretch) or _when(text, before)
    rhythm = rhythm_in(text, stretch) or rhythm_in(text, before)
    who, named = _who(text, hit, stretch)
    aside = set(named)
    if when:
        aside |= _with_lead(text, when.start, when.stop)
    if rhythm:
        aside |= rhythm.used
    aside |= _tail(text, stretch)
    return _Parts(when, rhythm, who, frozenset(aside))


def _with_lead(text: Text, start: int, stop: int) -> set[int]:
    while word(text, start - 1) in ("by", "on", "due", "before", "for", "in", "at", "this", "from"):
        start -= 1
    return set(range(start, stop))


def _when(text: Text, stretch: range) -> Instant | None:
    shares = {m.start for m in text.measures if m.number.share and m.units}
    found = [w for w in text.ahead if w.start in stretch and w.stop <= stretch.stop and not w.is_now]
    found = [w for w in found if w.start not in shares]
    found = [w for w in found if w.at >= text.situation.now or not w.exact]
    return found[0] if found else None


def _tail(text: Text, stretch: range) -> set[int]:
    """ "... dont let me forget" at the end belongs to no job's text."""
    for tail in _TAILS:
        size = len(tail.split())
        if words(text, stretch.stop - size, stretch.stop) == tail.split():
            return set(range(stretch.stop - size, stretch.stop))
    return set()


def _who(text: Text, hit: Hit, stretch: range) -> tuple[str | None, set[int]]:
    """The person after "remind", "tell", "ask"; also short ("tom"), and the office."""
    if hit.meaning == "office":
        return "office", set()
    if hit.meaning == "work" and hit.start == hit.stop and (first := _somebody(text, hit.start)):
        return first, {
            hit.start,
            *((hit.start + 1,) if word(text, hit.start + 1) in ("to", "should", "please") else ()),
        }
    if hit.meaning not in ("tell", "remind"):
        return None, set()
    place = hit.stop
    found = _somebody(text, place)
    if not found:
        return None, set()
    stop = place + 1 + (word(text, place) == "the")
    return found, set(range(place, stop + (word(text, stop) == "to")))


def _somebody(text: Text, place: int) -> str | None:
    """The person of the team named at a place, or "office"; a name not on the team stays as typed after "tell" only."""
    said = word(text, place)
    if said == "the":
        said = word(text, place + 1)
    if said in ("office", "desk", "reception"):
        return "office"
    known = [p for p in text.situation.people if p.lower() == said or (len(said) >= 3 and p.lower().startswith(said))]
    return known[0] if known else None


def _trimmed(text: Text, body: list[int]) -> list[int]:
    while body and word(text, body[0]) in _EDGE:
        body.pop(0)
    while body and (
        word(text, body[-1]) in _EDGE or not (text.tokens[body[-1]].is_word or text.tokens[body[-1]].is_number)
    ):
        body.pop()
    return body


def _between(text: Text, hit: Hit, body: list[int]) -> frozenset[int]:
    return frozenset(i for i in range(hit.start, body[-1] + 1) if word(text, i) in _EDGE)


def _said(text: Text, body: list[int]) -> str:
    """The text as typed, in one line, with what was taken aside left out."""
    runs: list[list[int]] = []
    for place in body:
        if runs and place == runs[-1][-1] + 1:
            runs[-1].append(place)
        else:
            runs.append([place])
    return " ".join(" ".join(text.typed(run[0], run[-1] + 1).split()) for run in runs)


def _by_day(text: Text) -> Iterator[Claim]:
    """A job without an opening word, told by its rhythm, by "next visit", or by a day still to come: "water the plants
    every 2 wks", "tomasz do the floss tomorrow"."""
    for place in dict.fromkeys(clause(text, i).start for i in range(len(text.tokens))):
        inside = clause(text, place)
        plausible = _planned(text, inside)
        claim = (
            _claim(text, Hit(inside.start, inside.start, "work"), inside.start, inside, plausible)
            if plausible
            else None
        )
        if claim:
            yield claim


def _planned(text: Text, inside: range) -> float:
    """How sure it is that a clause tells of work still to be done."""
    if rhythm_in(text, inside):
        return 1.1
    later = any(h.start in inside and h.meaning == "next_visit" for h in text.hits("words_tasks", "later"))
    today = text.situation.now.date()
    ahead = any(w.start in inside and w.day > today for w in text.past)
    deeds = (*text.hits("words_events", "head"), *text.hits("words_events", "verb"), *text.hits("words_tasks", "verb"))
    somebody = _somebody(text, inside.start) is not None
    opened = any(h.start in inside for h in text.hits("words_tasks", "opens"))
    ordered = any(h.start in inside and h.meaning != "work" for h in text.hits("words_tasks", "verb"))
    deed = (any(h.start in inside for h in deeds) or somebody) and not (opened or ordered)
    return 1.1 if ahead and deed else 0.8 if somebody and _when(text, inside) else 0.7 if later else 0.0
