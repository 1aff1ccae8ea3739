"""Supplies told by where they are, and asked about: "61 kg salt in the shop", "14 strips left", "put 2 carbon in the
van", "salt?", "enough strips for tomorrow?".
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from bot.items import Stock
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import clause, hits_in, word, words
from bot.understanding.lexicon import Hit, around
from bot.understanding.stock import claim
from bot.understanding.stock_things import PACK, SINGLE, TABLE, amount_of, things_in
from bot.understanding.text import Text

_HAVE = around("stock", "have")
_MOVING = ("put", "moved", "loaded", "got", "brought", "threw", "packed")
_INTO = ("in", "into", "to", "on")
_OWN = (
    "i",
    "we",
    "have",
    "has",
    "got",
    "ive",
    "weve",
    "i've",
    "we've",
    "there",
    "is",
    "are",
    "still",
    "only",
    "now",
    "just",
    "about",
)
_PLAIN = frozenset((*_INTO, *_OWN, *_MOVING, *PACK, *SINGLE, "of", "the", "my", "our", "left", "at", "a", "from", ":"))


def claims(text: Text) -> Iterator[Claim]:
    """What is said to be somewhere, or put somewhere: one thing with its number, and nothing else in the clause."""
    for thing in things_in(text):
        inside = clause(text, thing.start)
        measure = amount_of(text, thing)
        if measure is None or measure.start not in inside or word(text, inside.stop) == "?":
            continue
        place = _place(text, inside)
        action = _action(text, inside, place, bool(text.tokens[measure.start]))
        told = thing.span | measure.span | (place.span if place else frozenset())
        if action and all(i in told or word(text, i) in _PLAIN for i in inside):
            at = _where(text, inside, place)
            used = frozenset(inside)
            made = claim(text, used, action, thing, measure, place=at if action == "count" else None)
            yield Claim(made.items, used, weigh(text.tokens, used, 1.4))


def asked(text: Text) -> Iterator[Claim]:
    """ "salt?", "how much carbon do we have", "enough for thursday?"."""
    for thing in things_in(text):
        yield from _of_thing(text, thing)
    for place, token in enumerate(text.tokens):
        if token.text in ("enough", "need"):
            yield from _of_day(text, place)


def _place(text: Text, inside: range) -> Hit | None:
    """ "in the van", "in the shop"."""
    found = hits_in(text, inside, TABLE, "place")
    return next((h for h in found if word(text, h.start - 1) in (*_INTO, "the", "my", "our", "from", "at")), None)


def _action(text: Text, inside: range, place: Hit | None, known: bool) -> str | None:
    """What is told: put into the van, brought to the shop, or simply there."""
    said = set(words(text, inside.start, inside.stop))
    if said & set(_MOVING) and place:
        return "took" if place.meaning == "van" else "arrived"
    if word(text, inside.start) == "got" and (said & PACK) and word(text, inside.stop - 1) == "in":
        return "arrived"
    stands = "left" in said or place is not None
    owns = word(text, inside.start) in ("i", "we", "ive", "weve", "i've", "we've") and said & {
        "have",
        "got",
        "ive",
        "weve",
        "i've",
        "we've",
    }
    return "count" if known and not said & set(_MOVING) - {"got"} and (stands or owns) else None


def _where(text: Text, inside: range, place: Hit | None) -> str | None:
    """The place named; "we have" means the shop, "I have" and "left" the van."""
    if place:
        return place.meaning
    return "shop" if word(text, inside.start) in ("we", "weve", "we've") else "van"


def _of_thing(text: Text, thing: Hit) -> Iterator[Claim]:
    inside = clause(text, thing.start)
    mark = word(text, inside.stop) == "?"
    days = [w for w in text.ahead if w.start in inside and not w.is_now]
    told = thing.span | {i for w in days for i in w.span}
    rest = [i for i in inside if i not in told]
    lone = not rest and not days and mark and inside.start == 0 and inside.stop + 1 >= len(text.tokens)
    if not (lone or _asks(text, inside, rest, mark)):
        return
    used = frozenset(range(inside.start, inside.stop + mark))
    yield Claim((Stock(text.typed(thing.start, thing.stop), "asked"),), used, weigh(text.tokens, used, 1.35))


def _asks(text: Text, inside: range, rest: list[int], mark: bool) -> bool:
    """Only words of asking for stock stand beside the thing."""
    said = set(words(text, inside.start, inside.stop))
    stock = bool({"have", "left", "got", "stock", "enough", "out"} & said)
    opens = bool(
        {"how", "any", "do", "have", "whats", "when", "enough", "is"} & set(words(text, inside.start, inside.start + 2))
    )
    return bool(rest) and all(word(text, i) in _HAVE for i in rest) and stock and (opens or mark)


def _of_day(text: Text, place: int) -> Iterator[Claim]:
    """ "enough for thursday?", "what do i need for thursday"."""
    inside = clause(text, place)
    day = _day_behind(text, place)
    opens = word(text, place) == "enough" or word(text, inside.start) in ("what", "whats", "what's")
    if day and opens:
        used = frozenset(range(inside.start, inside.stop + (word(text, inside.stop) == "?")))
        yield Claim((Stock("load", "asked", due=day),), used, weigh(text.tokens, used, 1.3))


def _day_behind(text: Text, place: int) -> date | None:
    """The day behind "enough for"."""
    if word(text, place + 1) != "for":
        return None
    return next((w.day for w in text.ahead if w.start in (place + 1, place + 2)), None)
