"""Animals in a message: "2 yellow tangs", "the cleaner shrimp", "a pair of clowns", with how many."""

from __future__ import annotations

from dataclasses import dataclass

from bot.understanding.clauses import found_with_plurals, is_named, is_stop, timed, word
from bot.understanding.lexicon import around, lexicon
from bot.understanding.numerals import Number
from bot.understanding.pairs import is_value_of_name
from bot.understanding.text import Text

_ARTICLES = around("animals", "articles")
_NO_NOUNS = around("animals", "no_nouns")


@dataclass(frozen=True, slots=True)
class Animals:
    """Tokens `start` up to `stop` name animals; the name alone, as typed, is `named:stop`; `count` as said."""

    start: int
    stop: int
    named: int
    count: int | None = None

    @property
    def span(self) -> frozenset[int]:
        return frozenset(range(self.start, self.stop))


def animals_in(text: Text) -> list[Animals]:
    """Every animal named, words of colour and size and the number before it included."""
    joined: list[Animals] = []
    for hit in sorted(found_with_plurals(text, "words_animals", "animal"), key=lambda h: h.start):
        if joined and joined[-1].stop == hit.start:
            joined[-1] = Animals(joined[-1].start, hit.stop, joined[-1].named)
        elif not joined or hit.start >= joined[-1].stop:
            joined.append(Animals(hit.start, hit.stop, hit.start))
    return [_with_count(text, _with_unknown(text, _with_colour(text, each))) for each in joined]


def unknown_after(text: Text, place: int, stop: int) -> Animals | None:
    """Words after a verb that are no known animal but counted or with an article like one: "lost 2 glassfish"."""
    start = place
    number = _number_at(text, place)
    counted = number is not None or word(text, place) in ("a", "an", "the", "one", "another", "our")
    place = number.stop if number else place
    while place < stop and word(text, place) in _ARTICLES:
        place += 1
    named = place
    while place < stop and place - named < 3 and _may_name(text, place):
        place += 1
    return Animals(start, place, named, _whole(number)) if counted and place > named else None


def unknown_before(text: Text, stop: int, start: int) -> Animals | None:
    """Counted words before a verb that are no known animal: "6 glassfish moved"."""
    named = stop
    while named > start and stop - named < 3 and _may_name(text, named - 1):
        named -= 1
        number = _number_ending(text, named)
        if number:
            return Animals(number.start, stop, named, _whole(number))
    return None


def _with_colour(text: Text, animals: Animals) -> Animals:
    start = animals.start
    colours = lexicon("words_animals", "which").words()
    while start > 0 and word(text, start - 1) in colours and not _number_ending(text, start):
        start -= 1
    return Animals(start, animals.stop, start)


def _with_unknown(text: Text, animals: Animals) -> Animals:
    """A counted name whose first words no table knows: "1 chalk bass"."""
    for start in (animals.start - 1, animals.start - 2):
        if start < 0 or not _may_name(text, start) or word(text, start) in lexicon("words_events", "verb").words():
            return animals
        if _number_ending(text, start):
            return Animals(start, animals.stop, start)
    return animals


def _with_count(text: Text, animals: Animals) -> Animals:
    start = animals.start
    while start > 0 and word(text, start - 1) in _ARTICLES and not _number_ending(text, start):
        start -= 1
    number = _number_ending(text, start)
    if number is None:
        one = word(text, start) in ("a", "an", "one", "another") and start < animals.named
        return Animals(start, animals.stop, animals.named, 1 if one else None)
    number = _number_of_more(text, number) or number
    return Animals(number.start, animals.stop, animals.named, _whole(number))


def _number_ending(text: Text, stop: int) -> Number | None:
    """The plain number just before a token; "3x" and "3 x" count too."""
    if stop > 0 and word(text, stop - 1) == "x":
        stop -= 1
    bare = [m for m in text.measures if m.number.stop == stop and not m.units and _counts(text, m.number)]
    good = bare and bare[0].start not in timed(text) and not is_named(text, bare[0].start) and _whole(bare[0].number)
    return bare[0].number if good and not is_value_of_name(text, bare[0]) else None


def _number_of_more(text: Text, more: Number) -> Number | None:
    """The 3 of "3 of 5 chromis", "3 out of the 5"; None where nothing is a part of it."""
    place = more.start
    for small in ("the", "our", "of", "out"):
        place -= word(text, place - 1) == small
    return _number_ending(text, place) if word(text, place) in ("of", "out") else None


def _number_at(text: Text, place: int) -> Number | None:
    bare = [m.number for m in text.measures if m.start == place and not m.units and _counts(text, m.number)]
    return bare[0] if bare and _whole(bare[0]) else None


def _counts(text: Text, number: Number) -> bool:
    """Whether it may count animals: nothing typed with a point ("o2 9.0 lost 3 hermits"), and no share."""
    return not number.share and all("." not in text.tokens[i].text for i in number.span if text.tokens[i].is_number)


def _whole(number: Number | None) -> int | None:
    good = number is not None and number.value.is_integer() and 0 < number.value < 10000 and number.low is None
    return int(number.value) if number and good else None


def _may_name(text: Text, place: int) -> bool:
    token = text.tokens[place]
    named = any(m.start <= place < m.stop and m.plausible >= 1 for m in text.mentions)
    return (
        token.is_word and not named and not is_stop(token) and token.text not in _NO_NOUNS and place not in timed(text)
    )
