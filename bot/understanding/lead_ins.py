"""Words that open a list or work and mean nothing by themselves: "catch up: 10:05 78.4, ...", "gloves on, ..."."""

from __future__ import annotations

from collections.abc import Iterator

from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import line, word
from bot.understanding.text import Text


def claims(text: Text) -> Iterator[Claim]:
    """The opening of a line, with the colon behind it."""
    for hit in text.hits("words_plain", "lead_in"):
        if hit.start == line(text, hit.start).start or hit.meaning == "wearing":
            used = hit.span | (frozenset((hit.stop,)) if word(text, hit.stop) in (":", "-", ",") else frozenset())
            yield Claim((), used, weigh(text.tokens, used, 1.2))
