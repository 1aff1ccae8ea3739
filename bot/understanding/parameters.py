"""Where a message names what was measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bot.understanding.lexicon import Hit, lexicon
from bot.understanding.tokens import Token

TABLE = "words_readings"


@dataclass(frozen=True, slots=True)
class Name:
    """Tokens `start` up to `stop` name `parameter`; `basis`, `of` and `unit` where its name says them; `open`: a word
    with other uses, that must touch its number; `letter`: a single letter, that must stand right before it."""

    start: int
    stop: int
    parameter: str
    basis: str | None = None
    of: str | None = None
    unit: str | None = None
    open: bool = False
    letter: bool = False

    @property
    def span(self) -> frozenset[int]:
        return frozenset(range(self.start, self.stop))


def names_in(tokens: Sequence[Token]) -> tuple[Name, ...]:
    """Every name at every place, the longest of each place; names inside a longer one too, and letters."""
    found: list[Name] = []
    for place in range(len(tokens)):
        for group in ("parameter", "letter"):
            hits = lexicon(TABLE, group).at(tokens, place)
            found += [_name(tokens, hits[0], group == "letter")] if hits and not _is_verb(tokens, place) else []
    return tuple(found)


def _is_verb(tokens: Sequence[Token], place: int) -> bool:
    """ "gonna do 20%", "how do 2 changes": no dissolved oxygen."""
    return tokens[place].text == "do" and place > 0 and tokens[place - 1].text in _BEFORE_VERBS


_BEFORE_VERBS = frozenset(
    ("to", "i", "we", "you", "they", "gonna", "will", "can", "could", "should", "would", "must", "let's", "lets")
) | frozenset(("please", "how", "what", "why", "when", "just", "i'll", "we'll"))


def _name(tokens: Sequence[Token], hit: Hit, letter: bool) -> Name:
    parameter, _, more = hit.meaning.partition(" ")
    basis = more if more in ("N", "P") else None
    return Name(
        hit.start,
        hit.stop,
        parameter,
        basis=basis,
        of=more if more and not basis else None,
        unit=_whole(tokens, hit, "name_unit"),
        open=_whole(tokens, hit, "open_parameter") is not None,
        letter=letter,
    )


def _whole(tokens: Sequence[Token], hit: Hit, group: str) -> str | None:
    """The meaning that exactly the words of the hit have in another group."""
    hits = lexicon(TABLE, group).at(tokens, hit.start)
    return next((each.meaning for each in hits if each.stop == hit.stop), None)
