"""Where the questions of a message are: its clauses, which of them ask, and what was only said beside."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from bot.understanding.lexicon import Hit, lexicon
from bot.understanding.text import Text

_ENDS = frozenset((".", "!", "?", ";"))


@dataclass(frozen=True)
class Clause:
    """Tokens `start` up to `stop`; `asks`: it has the words of a question in it."""

    start: int
    stop: int
    asks: bool

    @property
    def span(self) -> frozenset[int]:
        return frozenset(range(self.start, self.stop))


def clauses_in(text: Text) -> tuple[Clause, ...]:
    """The clauses: cut at the ends of sentences, and before "and how much", "also what"."""
    hits = text.hits("words_questions", "asking")
    cuts = sorted({0, *_sentence_ends(text), *_second_questions(text, hits), len(text.tokens)})
    return tuple(_clause(text, hits, start, stop) for start, stop in pairwise(cuts))


def part_of(text: Text, clauses: Sequence[Clause]) -> Text:
    """The text with everything outside the clauses blanked; each token keeps its place in the raw text."""
    kept = {i for clause in clauses for i in clause.span}
    places = {p for i in kept for p in range(text.tokens[i].start, text.tokens[i].end)}
    raw = "".join(char if place in places or char == "\n" else " " for place, char in enumerate(text.raw))
    return Text(raw, text.situation)


def _clause(text: Text, hits: Sequence[Hit], start: int, stop: int) -> Clause:
    return Clause(start, stop, any(start <= hit.start < stop for hit in hits))


def _sentence_ends(text: Text) -> Iterable[int]:
    """The place behind each full stop, line or mark; a point inside "v. hot" or "1.025" is none."""
    for place, token in enumerate(text.tokens):
        if token.kind == "line" or (token.text in _ENDS and not _is_inside(text, place)):
            yield place + 1


def _is_inside(text: Text, place: int) -> bool:
    if text.tokens[place].text != ".":
        return False
    return place + 1 < len(text.tokens) and text.tokens[place + 1].glued


def _second_questions(text: Text, hits: Sequence[Hit]) -> Iterable[int]:
    """The place of "and", "also", "then" before the words of a further question."""
    joints = lexicon("words_questions", "joint").find(text.tokens)
    openings = {hit.start for hit in hits}
    return (joint.start for joint in joints if joint.start and joint.stop in openings)
