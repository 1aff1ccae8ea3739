"""Steps along a message, shared by the kinds told in words: clauses, small words passed over, amounts beside a word.

Places are token numbers; `stop` is not included.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

from bot.understanding.lexicon import Hit, around
from bot.understanding.text import Text
from bot.understanding.tokens import Token
from bot.understanding.units import Measure

STOPS = frozenset(".;!?,\n()|")
JOINS = around("clauses", "joins")
SMALL = around("clauses", "small")
"""Words that may stand between a thing and its amount, its verb or its state."""


class Placed(Protocol):
    """Anything found in a message: it has a first token and one behind its last."""

    @property
    def start(self) -> int: ...
    @property
    def stop(self) -> int: ...


def places(*groups: Iterable[Placed]) -> frozenset[int]:
    """Every token of what was found."""
    return frozenset(place for group in groups for each in group for place in range(each.start, each.stop))


def is_stop(token: Token) -> bool:
    """A mark or the end of a line, after which something else may begin."""
    return token.text in STOPS and not token.is_word


def clause(text: Text, place: int) -> range:
    """The tokens around `place` up to the nearest stop on either side."""
    return _stretch(text, place, STOPS)


def phrase(text: Text, place: int) -> range:
    """The tokens around `place` up to the nearest stop or joining word on either side."""
    return _stretch(text, place, STOPS | JOINS)


def sentence(text: Text, place: int) -> range:
    """The tokens around `place` up to the nearest full stop or end of a line on either side."""
    return _stretch(text, place, frozenset(".;!?\n"))


def line(text: Text, place: int) -> range:
    """The tokens around `place` up to the ends of its line."""
    return _stretch(text, place, frozenset("\n"))


def _stretch(text: Text, place: int, ends: frozenset[str]) -> range:
    tokens, start, stop = text.tokens, place, place
    while start > 0 and tokens[start - 1].text not in ends:
        start -= 1
    while stop < len(tokens) and tokens[stop].text not in ends:
        stop += 1
    return range(start, stop)


def word(text: Text, place: int) -> str:
    """The plain form of the token at `place`, "" outside the message."""
    return text.tokens[place].text if 0 <= place < len(text.tokens) else ""


def words(text: Text, start: int, stop: int) -> list[str]:
    return [token.text for token in text.tokens[max(start, 0) : max(stop, 0)]]


def past_small(text: Text, place: int, stop: int, small: Iterable[str] = SMALL) -> int:
    """The first place from `place` on that holds no small word and names no tank."""
    while place < stop:
        if text.measure_at(place):
            return place
        named = next(
            (m.stop for m in text.mentions if m.start <= place < m.stop and not _names_a_thing(text, place)), 0
        )
        if not named and word(text, place) not in small:
            return place
        place = max(named, place + 1)
    return place


def before_small(text: Text, place: int, start: int, small: Iterable[str] = SMALL) -> int:
    """The place after the last token before `place` that is no small word."""
    while place > start and word(text, place - 1) in small:
        place -= 1
    return place


def _names_a_thing(text: Text, place: int) -> bool:
    """The word of a tank's name is at the same time that of an animal, a product or a machine, and stands alone."""
    if any(m.start <= place < m.stop and m.plausible >= 1 for m in text.mentions):
        return False
    groups = (("words_events", "thing"), ("words_animals", "animal"), ("words_machines", "machine"))
    return any(place in hit.span for name, group in groups for hit in text.hits(name, group))


def is_named(text: Text, place: int) -> bool:
    """The token belongs to the name of a tank or vat."""
    return any(m.start <= place < m.stop and m.plausible >= 1 for m in text.mentions)


def timed(text: Text) -> frozenset[int]:
    """Tokens that tell an instant or a length of time."""
    shares = {m.start for m in text.measures if m.number.share}
    dates = [i for i in text.past if not i.is_now and i.start not in shares]
    return places(text.durations, dates)


def amount_after(text: Text, place: int, stop: int) -> Measure | None:
    """The number with its unit that follows at `place`, small words passed over; none that tells a time."""
    return amount_at(text, past_small(text, place, stop))


def amount_at(text: Text, place: int) -> Measure | None:
    measure = text.measure_at(place)
    return measure if measure and not (measure.unit("time") or place in timed(text)) else None


def amount_before(text: Text, place: int, start: int) -> Measure | None:
    """The number with its unit that ends just before `place`, small words passed over."""
    end = before_small(text, place, start)
    found = [m for m in text.measures if m.stop == end and m.start >= start and not m.unit("time")]
    return found[0] if found and found[0].start not in timed(text) else None


def tokens_of(measure: Measure | None) -> frozenset[int]:
    return measure.span if measure else frozenset()


def small_between(text: Text, start: int, stop: int, small: Iterable[str] = SMALL) -> frozenset[int]:
    """The small words from `start` to `stop` that belong to what surrounds them; names of tanks are left out."""
    taken = timed(text) | places(text.mentions)
    return frozenset(place for place in range(start, stop) if word(text, place) in small and place not in taken)


def hits_in(text: Text, stretch: range, table_name: str, group: str, *meanings: str) -> list[Hit]:
    """The phrases of a table that lie wholly inside a stretch."""
    hits = text.hits(table_name, group)
    return [
        h for h in hits if h.start in stretch and h.stop <= stretch.stop and (not meanings or h.meaning in meanings)
    ]


def found_with_plurals(text: Text, name: str, group: str) -> tuple[Hit, ...]:
    return text.hits_with_plurals(name, group)
