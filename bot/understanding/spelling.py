"""Thumb slips: an unknown word becomes the one known word of the trade, or of a tank's name, that is nearest to it.

Only words of five letters and more are mended, only when all the nearest known words mean the same (one slip, from nine
letters on two; letters changed about count as one), and never a word that is known itself. rapidfuzz is loaded only
when there is such a word.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache, lru_cache
from itertools import groupby

from bot.understanding.lexicon import meanings_of, trade_vocabulary, vocabulary
from bot.understanding.tokens import Token, respelt

_SHORTEST = 5


def mended(tokens: Sequence[Token], names: frozenset[str]) -> tuple[Token, ...]:
    """The tokens with slips put right; `names` are the words of the names that exist."""
    return tuple(_short_with(tokens, place) or _mended(token, names) for place, token in enumerate(tokens))


def _short_with(tokens: Sequence[Token], place: int) -> Token | None:
    """ "done w bleach", "topped w/ 3 gal": with; behind a number it is watts, and "w/c" a change of water."""
    token = tokens[place]
    if token.text == "/" and token.glued and place and tokens[place - 1].text == "w":
        return replace(token, text="with") if _short_with(tokens, place - 1) else None
    if token.text != "w" or token.glued or not place or not tokens[place - 1].is_word:
        return None
    after = tokens[place + 1 : place + 3]
    slashed = len(after) == 2 and after[0].text == "/" and after[0].glued and not after[1].glued
    led = bool(after) and not after[0].glued and after[0].kind in ("word", "number")
    return replace(token, text="with") if slashed or led else None


def _mended(token: Token, names: frozenset[str]) -> Token:
    if (
        token.is_word
        and token.text.endswith("'s")
        and token.text not in vocabulary()
        and token.text[:-2] in vocabulary()
    ):
        return replace(token, text=token.text[:-2])
    if not token.is_word or len(token.text) < _SHORTEST or not token.text.isalpha() or len(token.text) > 20:
        return token
    if token.text in vocabulary() or _begins_one(token.text, names) or _inflected(token.text):
        return token
    nearest = _nearest(token.text, names)
    return respelt(token, nearest) if nearest else token


def _begins_one(word: str, names: frozenset[str]) -> bool:
    return word.removesuffix("s") in names or any(name.startswith(word) for name in names)


def _inflected(word: str) -> bool:
    """A known word with an ending ("scrubbing" is told by the tables, "corner's" and "walls" need not be)."""
    known = vocabulary()
    return any(word.endswith(end) and word[: -len(end)] in known for end in ("s", "es", "ed", "ing", "er", "ly"))


@lru_cache(maxsize=4096)
def _nearest(word: str, names: frozenset[str]) -> str | None:
    """The known word that the unknown one is a slip of; None where there is none, or several of different meaning."""
    from rapidfuzz.distance import OSA
    from rapidfuzz.process import extract

    slips = 1 if len(word) < 9 else 2
    known = (*_targets().get(word[0], ()), *_targets().get(word[1], ()), *(n for n in names if len(n) >= _SHORTEST))
    found = extract(word, known, scorer=OSA.distance, score_cutoff=slips, limit=None)
    near = {each: distance for each, distance, _ in found if _same_opening(each, word)}
    best = min(near.values(), default=0)
    tied = sorted(each for each, distance in near.items() if distance == best)
    nearest = [each for each in tied if meanings_of(each)] or tied
    shared = frozenset.intersection(*map(meanings_of, nearest)) if nearest else frozenset()
    return max(nearest, key=lambda each: len(meanings_of(each))) if len(nearest) == 1 or shared else None


def _same_opening(known: str, word: str) -> bool:
    """The first letter is seldom wrong; it may be doubled, left out or changed about with the second."""
    return known[0] == word[0] or known[:2] == word[1::-1] or known[1:3] == word[:2] or known[:2] == word[1:3]


@cache
def _targets() -> dict[str, tuple[str, ...]]:
    """The words worth mending to, by their first letter: those of the trade's tables."""
    words = sorted(word for word in trade_vocabulary() if len(word) >= _SHORTEST and word.isalpha())
    return {first: tuple(each) for first, each in groupby(words, key=lambda word: word[0])}
