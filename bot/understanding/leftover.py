"""What no claim used: the words to hand back as unread."""

from __future__ import annotations

from collections.abc import Sequence

from bot.understanding.claims import Claim
from bot.understanding.lexicon import lexicon
from bot.understanding.text import Text


def free_places(text: Text, chosen: Sequence[Claim]) -> frozenset[int]:
    """The tokens that no claim used."""
    used = {i for claim in chosen for i in claim.used | claim.shares}
    return frozenset(range(len(text.tokens))) - used


def unread_in(text: Text, chosen: Sequence[Claim]) -> tuple[str, ...]:
    """Runs of words and numbers that nobody used, small words and marks around them left out."""
    free = free_places(text, chosen)
    runs: list[list[int]] = []
    for place in sorted(free):
        token = text.tokens[place]
        if not (token.is_word or token.is_number) or token.text in _small():
            continue
        joined = runs and all(i in free for i in range(runs[-1][-1], place))
        runs[-1:] = [[*runs[-1], place]] if joined else [*runs[-1:], [place]]
    return tuple(text.typed(run[0], run[-1] + 1) for run in runs)


def _small() -> frozenset[str]:
    return lexicon("words_plain", "small").words()
