"""Claims on the words that name tanks and vats."""

from __future__ import annotations

from collections.abc import Iterator

from bot.understanding.claims import Claim, Tank, weigh
from bot.understanding.text import Text


def claims(text: Text) -> Iterator[Claim]:
    """One for each mention; it has no items of its own but covers others."""
    for mention in text.mentions:
        weight = weigh(text.tokens, mention.span, mention.plausible)
        yield Claim((), mention.span, weight, covers=Tank(mention.options, mention.vat, mention.behind))
