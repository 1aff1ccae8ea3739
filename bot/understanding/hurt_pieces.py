"""One stretch of a message, with persons, bodies, hazards and what happened: the ground of hurt.py."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from bot.understanding.lexicon import Hit, around, lexicon
from bot.understanding.tokens import Token

TABLE = "words_hurt"
GROUPS = ("alone", "symptom", "harm", "person", "body", "agent", "splash", "mixing", "denial")
_STOPS = frozenset(".;!?,\n:()")
_FILLERS = around("hurt", "fillers")


@dataclass(frozen=True)
class Sign:
    """What shows that someone is hurt: the hazard, and the tokens from `start` up to `stop`."""

    hazard: str
    start: int
    stop: int


@dataclass(frozen=True)
class Piece:
    """One stretch of a message with what is found in it, by group of the table; `thing`: animals and machines."""

    tokens: Sequence[Token]
    hits: dict[str, tuple[Hit, ...]]

    def of(self, group: str, *meanings: str) -> tuple[Hit, ...]:
        """What is found of a group, of these meanings where some are named."""
        return tuple(hit for hit in self.hits[group] if not meanings or hit.meaning in meanings)

    def word(self, place: int) -> str:
        return self.tokens[place].text if 0 <= place < len(self.tokens) else ""

    def words(self, start: int = 0, stop: int | None = None) -> list[str]:
        return [token.text for token in self.tokens[max(0, start) : stop]]

    def only_fillers(self, start: int, stop: int) -> bool:
        return all(word in _FILLERS for word in self.words(start, stop))

    def before(self, group: str, place: int) -> list[Hit]:
        """What of a group ends before a place."""
        return [hit for hit in self.hits[group] if hit.stop <= place]


def stretches(tokens: Sequence[Token]) -> Iterator[tuple[int, int]]:
    """The stretches between stops, commas and lines."""
    start = 0
    for place, token in enumerate(tokens):
        if token.text in _STOPS and not token.is_word:
            if place > start:
                yield start, place
            start = place + 1
    if start < len(tokens):
        yield start, len(tokens)


def piece_of(tokens: Sequence[Token], people: Sequence[str]) -> Piece:
    """A stretch with all that is found in it."""
    hits = {group: lexicon(TABLE, group).find(tokens) for group in GROUPS}
    named = (Hit(i, i + 1, "other") for i, token in enumerate(tokens) for person in people if is_name(token, person))
    hits["person"] = _in_order(*hits["person"], *named)
    animals, machines = lexicon("words_animals", "animal"), lexicon("words_machines", "machine")
    hits["thing"] = _in_order(*animals.find(tokens), *machines.find(tokens))
    return Piece(tokens, hits)


def _in_order(*hits: Hit) -> tuple[Hit, ...]:
    return tuple(sorted(hits, key=lambda hit: hit.start))


def is_name(token: Token, person: str) -> bool:
    """Whether a word is a person's name, its genitive, or cut short ("tom" for Tomasz)."""
    name, word = person.lower(), token.text.removesuffix("'s")
    return word in (name, name + "s") or (len(word) >= 3 and name.startswith(word) and len(name) <= len(word) + 4)
