"""Filters served; glass, sand and rocks cleaned: "changed floss", "skimmer cup", "new carbon 200g", "scraped"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from bot.items import Event, Quantity
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import (
    SMALL,
    amount_at,
    clause,
    found_with_plurals,
    past_small,
    phrase,
    places,
    word,
    words,
)
from bot.understanding.lexicon import Hit, around, lexicon
from bot.understanding.text import Text

_LISTED = around("upkeep", "listed")
_FILL = frozenset(SMALL | around("upkeep", "fill"))
_TAIL = around("upkeep", "tail")
_QUIET = around("upkeep", "quiet")


@dataclass(frozen=True)
class _Thing:
    """What was worked on, or a list of such things: tokens `start` up to `stop`."""

    start: int
    stop: int
    event: str


def claims(text: Text) -> Iterator[Claim]:
    """Each thing with its verb before or behind; a thing or a verb alone where nothing else stands in the clause."""
    things = _things(text)
    for thing in things:
        inside = clause(text, thing.start)
        yield from _with_verb(text, thing, inside)
        yield from _in_or_out(text, thing, inside)
        if _lone(text, thing, inside):
            yield _claim(text, thing.event, range(thing.start, thing.stop), thing, 0.85)
    for head in text.hits("words_events", "head"):
        if head.meaning in ("filter_service", "cleaning"):
            yield from _head_alone(text, head, things)


def _things(text: Text) -> list[_Thing]:
    units = places(m for m in text.measures if m.units)  # "half a cup of salt" is no skimmer cup
    hits = [h for h in found_with_plurals(text, "words_events", "thing") if h.start not in units]
    found = [_Thing(h.start, h.stop, h.meaning) for h in hits if h.meaning in ("filter_service", "cleaning")]
    lists = []
    for first, second in pairwise(found):
        gap = words(text, first.stop, second.start)
        if first.event == second.event and 0 < len(gap) <= 3 and all(each in _LISTED for each in gap):
            lists.append(_Thing(first.start, second.stop, first.event))
    return [*found, *lists]


def _with_verb(text: Text, thing: _Thing, inside: range) -> Iterator[Claim]:
    for verb in _verbs(text, thing.event, inside):
        if verb.stop <= thing.start and _only(text, verb.stop, thing.start):
            yield _claim(text, thing.event, range(verb.start, thing.stop), thing, 1.1)
        elif verb.start >= thing.stop and _only(text, thing.stop, verb.start):
            yield _claim(text, thing.event, range(thing.start, verb.stop), thing, 1.3)


def _in_or_out(text: Text, thing: _Thing, inside: range) -> Iterator[Claim]:
    """ "put a fine pad in", "took the sock out": the verb tells only with the little word behind."""
    if thing.event != "filter_service":
        return
    start = thing.start
    while start > inside.start and (word(text, start - 1) in _FILL or word(text, start - 1) in _colours()):
        start -= 1
    stop = thing.stop + (word(text, thing.stop) == "back")
    if word(text, start - 1) in _PUT and start > inside.start and word(text, stop) in ("in", "out", "on", "off"):
        yield _claim(text, thing.event, range(start - 1, stop + 1), thing, 1.15)


def _colours() -> frozenset[str]:
    return lexicon("words_animals", "which").words()


_PUT = around("upkeep", "put")


def _verbs(text: Text, event: str, inside: range) -> list[Hit]:
    """Phrases of work inside the clause, at every place ("cleaned" is seen in "cleaned glass" too)."""
    table = lexicon("words_events", "verb") if event == "filter_service" else lexicon("words_events", "head")
    hits = [hit for place in inside for hit in table.at(text.tokens, place)]
    return [hit for hit in hits if hit.meaning == event and hit.stop <= inside.stop]


def _only(text: Text, start: int, stop: int) -> bool:
    between = range(start, stop)
    return len(between) <= 5 and all(
        word(text, i) in _FILL or word(text, i) in _colours() or _named(text, i) for i in between
    )


def _named(text: Text, place: int) -> bool:
    return any(m.start <= place < m.stop and m.plausible >= 1 for m in text.mentions)


def _lone(text: Text, thing: _Thing, inside: range) -> bool:
    """Nothing but small words and tanks beside it in the clause, or a head of the table such as "skimmer cup"."""
    inside = phrase(text, thing.start)
    rest = [
        i for i in inside if not thing.start <= i < thing.stop and word(text, i) not in _FILL | _TAIL | {"and", "n"}
    ]
    rest = [i for i in rest if not any(m.start <= i < m.stop for m in text.mentions)]
    if thing.event == "cleaning":
        amount = next((m for m in text.measures if m.stop == thing.start and m.units), None)
        last = thing.stop == inside.stop and amount is not None  # "wc 12g glass"
        return (not rest or last) and words(text, thing.start, thing.stop) in (["glass"], ["algae"])
    return not rest


def _head_alone(text: Text, head: Hit, things: Sequence[_Thing]) -> Iterator[Claim]:
    """ "magged", "scraped and vacced", "floss": the word says all."""
    inside = phrase(text, head.start)
    quiet = head.stop - head.start == 1 and word(text, head.start) in _QUIET
    if quiet and not _alone_in(text, head, inside):
        return
    if head.meaning == "filter_service" and _goes_on(text, head, inside):
        return
    thing = _Thing(head.start, head.stop, head.meaning)
    yield _claim(
        text, head.meaning, range(head.start, head.stop), thing, 0.75 if head.meaning == "filter_service" else 0.9
    )
    listed = _second_head(text, head, inside)
    if listed:
        yield _claim(
            text, head.meaning, range(head.start, listed.stop), _Thing(head.start, listed.stop, head.meaning), 0.95
        )


def _goes_on(text: Text, head: Hit, inside: range) -> bool:
    """ "gfo stays", "carbon running low": a word behind says something else of it."""
    behind = word(text, head.stop)
    if head.stop >= inside.stop or len(head.span) > 1 or behind in _FILL | _TAIL | {"in", "out", "back"}:
        return False
    known = (hit for group in ("thing", "verb", "head") for hit in text.hits("words_events", group))
    return text.tokens[head.stop].is_word and not any(head.stop in hit.span for hit in known)


def _alone_in(text: Text, head: Hit, inside: range) -> bool:
    rest = [i for i in inside if i not in head.span and word(text, i) not in _FILL | _TAIL and not _named(text, i)]
    deeds = (
        h for h in text.hits("words_events", "head") if h.stop == head.start and h.meaning in ("feeding", "cleaning")
    )
    return not rest or (head.stop == inside.stop and any(deeds))  # "fed cleaned"


def _second_head(text: Text, head: Hit, inside: range) -> Hit | None:
    """ "scraped and vacced" is one piece of work."""
    if head.meaning != "cleaning" or word(text, head.stop) not in ("and", "&", "n", "+"):
        return None
    hits = lexicon("words_events", "head").at(text.tokens, head.stop + 1)
    return next((hit for hit in hits if hit.meaning == "cleaning" and hit.stop <= inside.stop), None)


def _claim(text: Text, event: str, span: range, thing: _Thing, plausible: float) -> Claim:
    named = frozenset(i for i in span if not _inside_mention(text, i, thing))
    used = named | _before(text, span.start) | _behind(text, span.stop)
    quantity, said = _amount(text, span) if event == "filter_service" else (None, frozenset[int]())
    used |= said
    item = Event(
        event,
        amount=quantity.value if quantity else None,
        unit=quantity.unit if quantity else None,
        subject=text.thing(thing.start, thing.stop),
    )
    return Claim((item,), used, weigh(text.tokens, used, plausible))


def _amount(text: Text, span: range) -> tuple[Quantity | None, frozenset[int]]:
    """How much of it, behind or right before ("carbon 200 g", "200 g carbon"), and the words that say so."""
    small = SMALL | {"new", "fresh"}
    after = amount_at(text, past_small(text, span.stop, clause(text, span.start).stop, small))
    if after and (quantity := after.quantity("mass", "volume")):
        return quantity, frozenset(range(span.stop, after.stop))
    before = next((m for m in text.measures if m.stop == span.start and m.unit("mass")), None)
    return (before.quantity("mass"), before.span) if before else (None, frozenset())


def _inside_mention(text: Text, place: int, thing: _Thing) -> bool:
    return not thing.start <= place < thing.stop and _named(text, place)


def _before(text: Text, place: int) -> frozenset[int]:
    start = place
    while start > 0 and word(text, start - 1) in ("did", "done", "the", "just", "also", "i", "gave"):
        start -= 1
    return frozenset(range(start, place))


def _behind(text: Text, place: int) -> frozenset[int]:
    stop = place
    while stop < len(text.tokens) and word(text, stop) in ("done", "today", "again", "too", "well", "down"):
        stop += 1
    return frozenset(range(place, stop))
