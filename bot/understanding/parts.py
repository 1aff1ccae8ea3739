"""A long message is read in parts, so that its length costs no more than its share."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bot.understanding.tokens import Token

AT_ONCE = 80
"""Tokens read together; a technician's message seldom has forty."""
MOST = 200
"""Tokens read at all; what stands behind them is handed back as unread."""

_BEST_ENDS = (("\n",), (".", ";", "!", "?"), (",",))


def cut(tokens: Sequence[Token]) -> Iterator[Sequence[Token]]:
    """The first MOST tokens in stretches of at most AT_ONCE, cut at the end of a line, a sentence or a clause."""
    left = tokens[:MOST]
    while len(left) > AT_ONCE:
        stop = _end_of_part(left[:AT_ONCE])
        yield left[:stop]
        left = left[stop:]
    yield left


def _end_of_part(tokens: Sequence[Token]) -> int:
    for ends in _BEST_ENDS:
        stops = [place + 1 for place, token in enumerate(tokens) if token.text in ends]
        if stops and stops[-1] > len(tokens) // 3:
            return stops[-1]
    return len(tokens)
