"""Words that speak of a tank that no name tells: "tank 2", "the big one", "at harper street" where there is none.

Such a place could be any tank, so that all are its options, and what is said of it is asked about rather than stored at
the tank in hand.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bot.understanding.lexicon import lexicon, vocabulary
from bot.understanding.tokens import Token

Span = tuple[int, int]


def unknown_places(tokens: Sequence[Token]) -> Iterator[Span]:
    """Where each begins and ends."""
    for place, token in enumerate(tokens):
        found = _vague(tokens, place) or _numbered(tokens, place)
        if found:
            yield found
        elif token.text in ("at", "@"):
            yield from _run(tokens, place, place + 1)
        elif place == 0 or tokens[place - 1].kind == "line":
            yield from _heading(tokens, place)


def _vague(tokens: Sequence[Token], place: int) -> Span | None:
    hits = lexicon("words_plain", "vague_places").at(tokens, place)
    return (place, hits[0].stop) if hits else None


def _numbered(tokens: Sequence[Token], place: int) -> Span | None:
    """ "tank 2" at the head of a line or after "at", with something said of it behind."""
    after = tokens[place + 1 : place + 3]
    heads = place == 0 or tokens[place - 1].kind == "line" or tokens[place - 1].text in ("at", "@", "in", "on", "for")
    good = tokens[place].text == "tank" and len(after) == 2 and after[0].text.isdigit() and len(after[0].text) < 3
    return (place, place + 2) if good and heads and (after[1].is_word or after[1].text == ":") else None


def _run(tokens: Sequence[Token], start: int, place: int) -> Iterator[Span]:
    """Up to three words behind "at", the first of which nobody knows."""
    stop = place
    while stop < len(tokens) and stop - place < 3 and _may_be_named(tokens[stop], opening=stop == place):
        stop += 1
    if stop > place:
        yield start, stop


def _heading(tokens: Sequence[Token], place: int) -> Iterator[Span]:
    """ "harper street: ph 8.2": an unknown name with a colon, or with a word that ends names, at the head of a line."""
    stop = place
    while stop < len(tokens) and stop - place < 4 and _may_be_named(tokens[stop], opening=stop == place):
        stop += 1
    colon = stop < len(tokens) and tokens[stop].text == ":"
    ends_name = stop > place + 1 and tokens[stop - 1].text in lexicon("words_plain", "name_endings").words()
    if stop > place and (colon or ends_name):
        yield place, stop


def _may_be_named(token: Token, opening: bool) -> bool:
    """An unknown word; behind one also a word that ends names ("street", "cafe")."""
    unknown = token.is_word and len(token.text) > 3 and token.text.isalpha() and token.text not in vocabulary()
    return unknown or (not opening and token.text in lexicon("words_plain", "name_endings").words())
