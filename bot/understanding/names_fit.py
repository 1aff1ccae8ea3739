"""How well a run of words fits a name: half typed, without its vowels, by its number, and whether that is enough."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

from bot.facts.load import table
from bot.understanding.lexicon import lexicon, phrases, vocabulary
from bot.understanding.spoken import spoken_at
from bot.understanding.tokens import Token


@dataclass(frozen=True)
class Name:
    full: str
    words: tuple[str, ...]
    vat: bool = False
    nickname: bool = False


@dataclass(frozen=True)
class Fit:
    """How well a run of tokens fits a name: the more and the surer words, the better."""

    name: Name
    stop: int
    score: float
    words: tuple[str, ...]


def bare(word: str) -> str:
    return word[:-2] if word.endswith("'s") else word.replace("'", "")


def fit_at(tokens: Sequence[Token], place: int, name: Name) -> Fit | None:
    left = list(name.words)
    stop, score, used = place, 0.0, list[str]()
    while stop < len(tokens) and left:
        step = _step(tokens, stop, left, opening=not used)
        if step is None:
            break
        word, worth, stop = step
        left.remove(word)
        used.append(word)
        score += worth
    if not used or not _tells(tokens, place, stop, used, name):
        return None
    return Fit(name, stop, score + (0.5 if not left else 0.0), tuple(used))


def _step(tokens: Sequence[Token], place: int, left: list[str], opening: bool) -> tuple[str, float, int] | None:
    """The word of the name that stands at `place`, what it is worth, and where it ends."""
    token = tokens[place]
    if not opening and token.text in ("-", ".", "'", "#", "the") and place + 1 < len(tokens):
        place, token = place + 1, tokens[place + 1]
    text = bare(token.text)
    if text in left:
        return text, 0.9 if token.slip else 1.0, place + 1
    spoken = _spoken_number(tokens, place, left)
    if spoken:
        return spoken
    longer = [word for word in left if _stands_for(text, word, left, tokens, place, opening)]
    return (longer[0], 0.7, place + 1) if longer else None


def _spoken_number(tokens: Sequence[Token], place: int, left: list[str]) -> tuple[str, float, int] | None:
    """ "two ten" for 210."""
    if not tokens[place].is_word or not any(word.isdigit() for word in left):
        return None
    said = spoken_at(tokens, place)
    ways = (said.value, *said.others) if said else ()
    return next(((f"{way:.0f}", 0.9, said.stop) for way in ways if said and f"{way:.0f}" in left), None)


def _stands_for(text: str, word: str, left: list[str], tokens: Sequence[Token], place: int, opening: bool) -> bool:
    """A word cut short ("octo"), an agreed short form ("st"), or the letter of a code ("q3" for Quarantine 3)."""
    if not text.isalpha() or not word.isalpha():
        return False
    if len(text) >= 3 and word.startswith(text) and not (opening and text in _never_short()):
        return True
    if word in short_forms().get(text, ()) or _is_squeezed(text, word):
        return True
    following = tokens[place + 1 : place + 2]
    code = any((token.glued or (len(token.text) == 1 and token.is_word)) and token.text in left for token in following)
    return code and word.startswith(text) and word != text


def _is_squeezed(text: str, word: str) -> bool:
    """ "cnty" for county, "plz" for plaza: the word without its vowels."""
    return text == without_vowels(word) and text not in vocabulary()


@lru_cache(maxsize=4096)
def without_vowels(word: str) -> str:
    squeezed = word[0] + "".join(letter for letter in word[1:] if letter not in "aeiou")
    return squeezed if 3 <= len(squeezed) < len(word) else word


@cache
def _never_short() -> frozenset[str]:
    """Words that are never a name cut short: "off" is no office, "van" no Vanbrugh, "20 gal" no gallery."""
    plain = (lexicon("words_plain", group).words() for group in ("small", "everyday"))
    units = (phrases(row["words"]) for row in table("units").values() if isinstance(row, dict) and "words" in row)
    return frozenset[str]().union(*plain, *units)


@cache
def short_forms() -> dict[str, list[str]]:
    return {short: phrases(words) for short, words in table("words_plain")["short_forms"].items()}


def _tells(tokens: Sequence[Token], place: int, stop: int, used: list[str], name: Name) -> bool:
    """Whether the words that fit are enough: not a bare number, letter or little word alone, unless it is the name."""
    if len(used) == len(name.words):
        return True
    if any(word.isdigit() for word in used) and any(len(word) > 2 and word.isalpha() for word in used):
        return True  # "lot 9"
    telling = [word for word in used if word not in lexicon("words_plain", "small").words()]
    if any(word.isalpha() and len(word) > 1 for word in telling):
        return not all(word in _too_common() for word in telling)
    code = len(telling) > 1 and tokens[place].is_number and all(t.glued for t in tokens[place + 1 : stop])
    if code and _closes(tokens, place, stop):
        return True
    return bool(telling) and (code or len(telling[0]) > 1) and _opens(tokens, place, stop)


def _closes(tokens: Sequence[Token], place: int, stop: int) -> bool:
    """A code ("21F") at the end of the message, behind a word that is measured by nothing."""
    before = tokens[place - 1] if place else None
    measured = (lexicon("words_readings", group).words() for group in ("parameter", "link", "of"))
    return stop == len(tokens) and before is not None and before.is_word and not any(before.text in m for m in measured)


def _too_common() -> frozenset[str]:
    return lexicon("words_plain", "common_in_names").words()


def _opens(tokens: Sequence[Token], place: int, stop: int) -> bool:
    """A number alone is a tank only after "at" or "tank", or at the head of a line."""
    before = tokens[place - 1].text if place else ""
    heads = place == 0 or tokens[place - 1].kind == "line"
    colon = stop < len(tokens) and tokens[stop].text == ":"
    return before in ("at", "@", "#", "tank", "in", "for") or (heads and (colon or stop == len(tokens)))
