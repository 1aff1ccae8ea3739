"""Claims on the words that name tanks and vats."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from bot.understanding.claims import Claim, Tank, weigh
from bot.understanding.lexicon import lexicon
from bot.understanding.names import Mention
from bot.understanding.text import Text


def claims(text: Text) -> Iterator[Claim]:
    """One for each mention; it has no items of its own but covers others. The "in" or "to" before it may belong to
    something else ("went into sunroom"). "den sorry frag" names only the second."""
    for mention in text.mentions:
        yield _claim(text, mention, mention.span)
        if mention.behind:
            yield _claim(text, mention, mention.span - {mention.start})
    yield from _here(text)
    for first, second in pairwise(text.mentions):
        if _takes_back(text, first.stop, second.start):
            yield _claim(text, second, frozenset(range(first.start, second.stop)))


def _here(text: Text) -> Iterator[Claim]:
    """ "fed here": the tank in hand, behind what was done there."""
    in_hand = text.situation.tank
    for place, token in enumerate(text.tokens):
        if in_hand and place and token.text == "here" and text.tokens[place - 1].kind in ("word", "number"):
            weight = weigh(text.tokens, (place,), 0.5)
            yield Claim((), frozenset((place,)), weight, covers=Tank((in_hand,), behind=True))


def _claim(text: Text, mention: Mention, used: frozenset[int]) -> Claim:
    weight = weigh(text.tokens, used, mention.plausible)
    return Claim((), used, weight, covers=Tank(mention.options, mention.vat, mention.behind))


def _takes_back(text: Text, stop: int, start: int) -> bool:
    """Whether a word of correction, and nothing else, stands between two names."""
    hits = (hit for place in (stop, stop + 1) for hit in lexicon("words_times", "mend").at(text.tokens, place))
    return any(0 <= start - hit.stop <= 1 for hit in hits)
