"""Tables of phrases, looked up in tokens.

A table file is facts/words_*.toml: groups of `meaning = "phrase, phrase, ..."`. Phrases are cut by the same tokeniser
as a message, so "s.g.", "no3-n" and "top off" need no care; a hyphen or apostrophe between words may be left out
("top-off", "whats"). Names in a situation (tanks, people) become a Lexicon in the same way.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any

from bot.facts.load import table
from bot.understanding.tokens import Token, opening_of, tokenise

TABLES = (
    "words_questions",
    "words_readings",
    "words_plain",
    "words_times",
    "units",
    "words_animals",
    "words_machines",
    "words_events",
    "words_waits",
    "words_controls",
    "words_tasks",
    "words_setup",
    "words_round",
    "words_hurt",
    "words_intent",
    "words_pictures",
    "words_vats",
    "words_supplies",
    "words_lookups",
)
"""Every table of words; a new one is named here, so that its words are known to the spelling too."""


_WORD = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)*")


@dataclass(frozen=True, slots=True)
class Hit:
    """The tokens `start` up to (not including) `stop` mean `meaning`."""

    start: int
    stop: int
    meaning: str

    @property
    def span(self) -> frozenset[int]:
        return frozenset(range(self.start, self.stop))


class Lexicon:
    """Phrases with their meanings; one phrase may have several meanings. A phrase is cut when its first word occurs."""

    def __init__(self, meanings: Mapping[str, Iterable[str]]) -> None:
        """`meanings` maps each meaning to its phrases."""
        self._by_first: dict[str, list[tuple[str, str]]] = {}
        self._cut: dict[str, list[tuple[tuple[Token, ...], str]]] = {}
        for meaning, phrases in meanings.items():
            for phrase in phrases:
                self._by_first.setdefault(opening_of(phrase), []).append((phrase, meaning))

    def _entries(self, first: str) -> list[tuple[tuple[Token, ...], str]]:
        """The phrases that begin with this word, cut, the longest first."""
        if first not in self._cut:
            entries = [(tokenise(phrase), meaning) for phrase, meaning in self._by_first.get(first, ())]
            self._cut[first] = sorted(entries, key=lambda entry: -len(entry[0]))
        return self._cut[first]

    def at(self, tokens: Sequence[Token], start: int) -> list[Hit]:
        """Every phrase that begins at token `start`, the longest first."""
        if start >= len(tokens):
            return []
        first = tokens[start].text
        if first not in self._by_first:
            return []
        second = tokens[start + 1].text if start + 1 < len(tokens) else ""
        entries = (e for e in self._entries(first) if len(e[0]) == 1 or e[0][1].text == second or second == "-")
        stops = ((meaning, _stop(phrase, tokens, start)) for phrase, meaning in entries)
        return [Hit(start, stop, meaning) for meaning, stop in stops if stop]

    def find(self, tokens: Sequence[Token]) -> tuple[Hit, ...]:
        """The longest phrases at every place, shorter ones inside them left out; several meanings give several hits."""
        found: list[Hit] = []
        end = 0
        by_first = self._by_first
        for start in [place for place, token in enumerate(tokens) if token.text in by_first]:
            hits = self.at(tokens, start)
            longest = [hit for hit in hits if hit.stop == hits[0].stop]
            if longest and longest[0].stop > end:
                found += longest
                end = longest[0].stop
        return tuple(found)

    def openers(self) -> frozenset[str]:
        """The first word or mark of every phrase."""
        return frozenset(self._by_first)

    def words(self) -> frozenset[str]:
        """Every word that occurs in a phrase."""
        return self._words

    @cached_property
    def _words(self) -> frozenset[str]:
        phrases = (phrase for group in self._by_first.values() for phrase, _ in group)
        return frozenset(word for phrase in phrases for word in _WORD.findall(phrase.lower()))


def _stop(phrase: tuple[Token, ...], tokens: Sequence[Token], start: int) -> int:
    """Where the phrase ends in the text, 0 where it does not stand there."""
    place = start
    for wanted in phrase:
        if place > start and place + 1 < len(tokens) and tokens[place].text == "-" != wanted.text:
            place += 1
        if place >= len(tokens) or not _same(wanted, tokens[place], first=place == start):
            return 0
        place += 1
    return place


def _same(wanted: Token, typed: Token, first: bool) -> bool:
    if wanted.text != typed.text:
        return False
    return first or not wanted.glued or typed.glued or (wanted.kind, typed.kind) == ("mark", "mark")


@cache
def lexicon(name: str, group: str) -> Lexicon:
    """The phrases of group `group` in facts/NAME.toml, each with the key it stands under as its meaning."""
    return Lexicon({meaning: phrases(words) for meaning, words in table(name)[group].items()})


@cache
def lexicon_with_plurals(name: str, group: str) -> Lexicon:
    """A group of a table in which each phrase stands for its plurals too."""
    rows = table(name)[group].items()
    return Lexicon({meaning: [form for each in phrases(line) for form in _forms(each)] for meaning, line in rows})


def _forms(one: str) -> list[str]:
    plural = one[:-1] + "ies" if one.endswith("y") and one[-2:-1] not in "aeiou" else one + "s"
    return [one, plural, one + "es"] if one.endswith(("s", "x", "sh", "ch", "o", "z")) else [one, plural]


@cache
def around(kind: str, part: str) -> frozenset[str]:
    """Small words of facts/words_around.toml: those that play a part around the words of a kind of thing."""
    return frozenset(table("words_around")[kind][part])


def phrases(words: str) -> list[str]:
    """A table's "a, b, c", on one line or more, as a list."""
    return [each for each in " ".join(words.split()).split(", ") if each]


@cache
def vocabulary() -> frozenset[str]:
    """Every word of every table."""
    return frozenset(word for name in TABLES for line in _strings(table(name)) for word in _WORD.findall(line))


@cache
def trade_vocabulary() -> frozenset[str]:
    """Every word of every table but those of plain words and of everyday questions."""
    names = (name for name in TABLES if name not in ("words_plain", "words_lookups"))
    return frozenset(word for name in names for line in _strings(table(name)) for word in _WORD.findall(line))


def meanings_of(word: str) -> frozenset[tuple[str, str, str]]:
    """Where the word stands alone in the tables: table, group and meaning."""
    return _alone().get(word, frozenset())


@cache
def _alone() -> dict[str, frozenset[tuple[str, str, str]]]:
    found: dict[str, set[tuple[str, str, str]]] = {}
    groups = (
        (name, group, rows) for name in TABLES for group, rows in table(name).items() if isinstance(rows, Mapping)
    )
    for name, group, rows in groups:
        for meaning, line in rows.items():
            for phrase in phrases(line) if isinstance(line, str) else ():
                found.setdefault(phrase, set()).add((name, group, meaning))
    return {word: frozenset(places) for word, places in found.items()}


def _strings(value: Any) -> Iterable[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for each in value.values():
            yield from _strings(each)
