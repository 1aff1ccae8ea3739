"""A message cut into words, numbers and marks, each with its place in the text as typed.

Nothing is lost: what lies between two tokens is white space or a control character. Letters are compared in one plain
form (small, without accents; look-alikes of other alphabets, full-width forms and odd dashes made plain), but `typed`
keeps what was written. `no3`, `po4` and their like (facts/words_readings.toml, `[symbols]`) are one word; every other
change from letters to digits ends a token, so that "ca420", "30g" and "78f" come apart, with `glued` set.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, replace
from functools import cache

from bot.facts.load import table

LONGEST = 4096
"""Characters of a message that are read; the rest is handed back as unread."""


@dataclass(frozen=True, slots=True)
class Token:
    """One word, number or mark; `text` in plain form, `typed` as written at `start:end`; `line` ends a line."""

    kind: str
    text: str
    typed: str
    start: int
    end: int
    glued: bool = False
    slip: bool = False

    @property
    def is_number(self) -> bool:
        return self.kind == "number"

    @property
    def is_word(self) -> bool:
        return self.kind == "word"


def tokenise(text: str) -> tuple[Token, ...]:
    """The tokens of the first LONGEST characters, in order."""
    plain, places = _plain_form(text[:LONGEST])
    tokens: list[Token] = []
    end = -1
    for match in _pattern().finditer(plain):
        for kind, word, start, stop in _pieces(match, places):
            tokens.append(Token(kind, word, text[start:stop], start, stop, start == end))
            end = stop
    return tuple(tokens)


def opening_of(phrase: str) -> str:
    """The plain form of the first token of a phrase; "" where it has none."""
    match = _pattern().match(phrase.lower()) if phrase.isascii() else None
    if match:
        return match.group()
    tokens = tokenise(phrase)
    return tokens[0].text if tokens else ""


def respelt(token: Token, text: str) -> Token:
    """The token read as another word, marked as a slip; what was typed stays."""
    return replace(token, text=text, slip=True)


def _plain_form(text: str) -> tuple[str, list[int]]:
    if text.isascii():
        return text.translate(_CONTROLS).lower(), list(range(len(text)))
    letters: list[str] = []
    places: list[int] = []
    for place, char in enumerate(text):
        for letter in _plain_char(char):
            letters.append(letter)
            places.append(place)
    return "".join(letters), places


_CONTROLS = dict.fromkeys((*range(10), *range(11, 32), 127), " ")


@cache
def _plain_char(char: str) -> str:
    if char.isascii():
        return char.lower() if char.isprintable() or char == "\n" else " "
    if char in _LOOK_ALIKES:
        return _LOOK_ALIKES[char]
    category = unicodedata.category(char)
    if category in ("Cf", "Mn", "Me"):
        return ""
    if category[0] == "C":
        return " "
    return _plain_symbol(char, category)


def _plain_symbol(char: str, category: str) -> str:
    if category == "Nd":
        return str(unicodedata.decimal(char))
    if category == "No" and unicodedata.normalize("NFKC", char) != char and "⁄" in unicodedata.normalize("NFKC", char):
        return char
    if category == "Pd":
        return "-"
    folded = "".join(c for c in unicodedata.normalize("NFKD", char) if unicodedata.category(c) != "Mn")
    plain = "".join(_LOOK_ALIKES.get(c, c) for c in folded.casefold())
    return char if char.isalnum() and not plain.strip() else plain


# Letters of other alphabets that a thumb or a copied text puts in the place of ours, and marks of one meaning.
_LOOK_ALIKES = dict(
    zip(
        "аеорсухікмтнвАЕОРСУХІКМТНВαορνΑΒΕΖΗΙΚΜΝΟΡΤΥΧµμº˚°×’‘‛´“”„″′−∼～≤≥＜＞",
        "aeopcyxikmthbaeopcyxikmthbaopvabezhikmnoptyxuu°°°x''''\"\"\"\"'-~~≤≥<>",
        strict=True,
    )
)


@cache
def _pattern() -> re.Pattern[str]:
    symbols = sorted(table("words_readings")["symbols"]["words"].split(", "), key=len, reverse=True)
    return re.compile(
        rf"(?P<symbol>(?<![^\W\d_])(?<![0-9][.,])(?:{'|'.join(map(re.escape, symbols))})(?![^\W\d_]))"
        r"|(?P<number>(?:(?<![0-9])[.,])?[0-9]+(?:(?:[.,]|[.]{2,3}|,,)[0-9]+)*|[¼½¾⅐-⅞])"
        r"|(?P<word>[^\W\d_]+(?:'[^\W\d_]+)*)"
        r"|(?P<line>\n)"
        r"|(?P<mark>[^\s])"
    )


_Piece = tuple[str, str, int, int]
_ONE_NUMBER = re.compile(
    r"[.,]?[0-9]+|[0-9]*[.][0-9]+|[0-9]+,[0-9]+|[0-9]{1,3}(?:,[0-9]{3})+(?:[.][0-9]+)?"
    r"|[0-9]{1,3}(?:[.][0-9]{3})+,[0-9]+|[0-9]*(?:[.]+[0-9]+){2,}|[0-9]+(?:[.]{2,}|,,)[0-9.,]+|[¼½¾⅐-⅞]"
)


def _pieces(match: re.Match[str], places: list[int]) -> list[_Piece]:
    """The kind, plain form and place of what was matched. "78.4,8.2,1.025" typed without a space is a list; "8,1",
    "1,350" and "1.0.25" are one number each."""
    word, first = match.group(), match.start()
    kind = "word" if match.lastgroup == "symbol" else str(match.lastgroup)
    if kind != "number" or "," not in word or _ONE_NUMBER.fullmatch(word):
        return [(kind, word, places[first], places[match.end() - 1] + 1)]
    pieces: list[_Piece] = []
    for piece in re.split("(,)", word):
        if piece:
            pieces.append(
                ("mark" if piece == "," else "number", piece, places[first], places[first + len(piece) - 1] + 1)
            )
        first += len(piece)
    return pieces
