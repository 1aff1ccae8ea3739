"""Whether a text says one of the phrases of a table; by whole words, however they are spaced or hyphened."""

from __future__ import annotations

from functools import cache, lru_cache

from bot.facts.load import table
from bot.understanding.lexicon import Lexicon, phrases
from bot.understanding.tokens import Token, tokenise


def says(text: str, words: str) -> bool:
    """Whether the text holds one of the phrases of "a, b, c"."""
    return bool(text and _lexicon(words).find(_tokens(text)))


@lru_cache(maxsize=256)
def said_of(text: str, name: str, group: str) -> frozenset[str]:
    """The meanings of a group of facts/NAME.toml of which the text holds a phrase."""
    lexicon, tokens = _table_lexicon(name, group), _tokens(text)
    return frozenset(hit.meaning for place in range(len(tokens)) for hit in lexicon.at(tokens, place))


@cache
def _table_lexicon(name: str, group: str) -> Lexicon:
    return Lexicon({meaning: phrases(_plain(words)) for meaning, words in table(name)[group].items()})


def covered(text: str, words: str) -> int:
    """How many words of the text the longest of the phrases takes; 0 where none is said."""
    return max((hit.stop - hit.start for hit in _lexicon(words).find(_tokens(text))), default=0)


def places(text: str, words: str) -> list[tuple[int, int]]:
    """Where the phrases stand: from word to word, counted in the words of the text."""
    return [(hit.start, hit.stop) for hit in _lexicon(words).find(_tokens(text))]


def said_alone(text: str, words: str) -> bool:
    """Whether the text is one of the phrases and nothing beside it but small words."""
    tokens = _tokens(text)
    hits = _lexicon(words).find(tokens)
    used = frozenset().union(*(hit.span for hit in hits))
    rest = [t for i, t in enumerate(tokens) if i not in used]
    return bool(hits) and all(_is_small(t) for t in rest)


def alike(first: str, second: str) -> bool:
    """Whether the two share a word of their own, the plural aside."""
    return bool(_stems(first) & _stems(second))


def names_only(text: str, names: str) -> bool:
    """Whether every word of the text, small ones aside, is one of the names."""
    said = _stems(text)
    return bool(said) and said <= _stems(names)


def _stems(text: str) -> set[str]:
    words = "".join(c if c.isalnum() else " " for c in text.casefold()).split()
    return {w.rstrip("s") for w in words if len(w) >= 3 and w not in _small()}


@lru_cache(maxsize=256)
def _tokens(text: str) -> tuple[Token, ...]:
    return tokenise(_plain(text))


def _plain(text: str) -> str:
    """Without apostrophes, so that "dont" and "don't" are one."""
    return text.replace("'", "").replace("\u2019", "")


@lru_cache(maxsize=4096)
def _lexicon(words: str) -> Lexicon:
    return Lexicon({"said": phrases(_plain(" ".join(words.split())))})


def _is_small(token: Token) -> bool:
    return not (token.is_word or token.is_number) or token.text in _small()


@cache
def _small() -> frozenset[str]:
    return frozenset(phrases(table("words_plain")["small"]["small"]))
