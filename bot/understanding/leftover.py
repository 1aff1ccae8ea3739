"""What no claim used: the words to hand back as unread."""

from __future__ import annotations

from collections.abc import Sequence

from bot.understanding.claims import Claim
from bot.understanding.lexicon import lexicon
from bot.understanding.text import Text


def unread_in(message: Text, chosen: Sequence[Claim]) -> tuple[str, ...]:
    """Runs of words and numbers that nobody used, small words and marks around them left out."""
    used = {i for claim in chosen for i in claim.used | claim.shares}
    runs: list[list[int]] = []
    for place, token in enumerate(message.tokens):
        if place in used or not (token.is_word or token.is_number) or token.text in _small():
            continue
        joined = runs and not any(i in used for i in range(runs[-1][-1], place))
        runs[-1:] = [[*runs[-1], place]] if joined else [*runs[-1:], [place]]
    return tuple(message.typed(run[0], run[-1] + 1) for run in runs)


def _small() -> frozenset[str]:
    return lexicon("words_plain", "small").words()
