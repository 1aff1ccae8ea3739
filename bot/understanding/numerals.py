"""One number at a time: digits in every spelling (".5", "8,1", "1,350", "1.2k", "1 1/2", "½", "8 point 1"), or words.

The same digits may be read in more than one way ("1,025"): `value` is the likelier by the habit, `others` the rest;
whoever knows what is measured decides.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace

from bot.understanding.lexicon import lexicon
from bot.understanding.spoken import spoken_at, word_value
from bot.understanding.tokens import Token


@dataclass(frozen=True, slots=True)
class Number:
    """The tokens `start` up to `stop` say a number, with its hedges. `low` and `high` of a range, of which `value` is
    the middle; `below`, `above`, `about` as said; `old`: what it was before it was corrected on the spot;
    `spoken`: in words; `share`: a fraction of something ("half", "3/4")."""

    start: int
    stop: int
    value: float
    others: tuple[float, ...] = ()
    low: float | None = None
    high: float | None = None
    below: bool = False
    above: bool = False
    about: bool = False
    old: float | None = None
    spoken: bool = False
    share: bool = False

    @property
    def span(self) -> frozenset[int]:
        return frozenset(range(self.start, self.stop))

    @property
    def ways(self) -> tuple[float, ...]:
        """Every way to read it, the likeliest first."""
        return (self.value, *self.others)


def numeral_at(tokens: Sequence[Token], place: int, decimal_comma: bool) -> Number | None:
    """The number that begins at token `place`, without hedges and ranges."""
    return _words_at(tokens, place) or _digits_at(tokens, place, decimal_comma)


def spoilt_in(tokens: Sequence[Token]) -> tuple[int, ...]:
    """The places of digits that make no number ("1.0.25", a hundred digits)."""
    return tuple(i for i, token in enumerate(tokens) if token.is_number and not _ways(token, False))


def tidy(value: float) -> float:
    """Without the dust of binary fractions."""
    return float(f"{value:.10g}")


def _words_at(tokens: Sequence[Token], place: int) -> Number | None:
    said = spoken_at(tokens, place)
    if said is None:
        return None
    return Number(place, said.stop, said.value, said.others, spoken=True, share=said.share)


def _digits_at(tokens: Sequence[Token], place: int, decimal_comma: bool) -> Number | None:
    token = tokens[place]
    ways = _ways(token, decimal_comma) if token.is_number else ()
    if not ways:
        return None
    whole = Number(place, place + 1, ways[0], ways[1:])
    for grown in (_mixed, _slashed, _kilo, _powered, _scaled, _point_words, _signed, _after_letter):
        whole = grown(tokens, whole)
    return whole


def _ways(token: Token, decimal_comma: bool) -> tuple[float, ...]:
    """Each way to read the digits of a token, the likelier first; none for digits that make no number."""
    text = token.text
    if not text.isascii():
        return (unicodedata.numeric(text),)
    if sum(c.isdigit() for c in text) > 15 or ",," in text:
        return ()
    return _comma_ways(text, decimal_comma) if "," in text else _dot_ways(text, decimal_comma)


def _dot_ways(text: str, decimal_comma: bool) -> tuple[float, ...]:
    if text.count(".") > 1:
        return ()
    whole, _, part = text.partition(".")
    thousands = decimal_comma and len(part) == 3 and 0 < len(whole) <= 3 and whole[0] != "0"
    return (float(text), float(whole + part)) if thousands else (float(text),)


def _comma_ways(text: str, decimal_comma: bool) -> tuple[float, ...]:
    if "." in text:
        last = max(text.rfind(","), text.rfind("."))
        return (float(text[:last].replace(",", "").replace(".", "") + "." + text[last + 1 :]),)
    if text.count(",") > 1:
        return (float(text.replace(",", "")),)
    whole, _, part = text.partition(",")
    as_decimal, as_whole = float(f"{whole or 0}.{part}"), float(whole + part)
    if whole == "":
        return (as_decimal, as_whole) if part[0] != "0" else (as_decimal,)
    if len(part) != 3 or whole[0] == "0" or len(whole) > 3:
        return (as_decimal,)
    return (as_decimal, as_whole) if decimal_comma else (as_whole, as_decimal)


def _mixed(tokens: Sequence[Token], number: Number) -> Number:
    """ "1½", "1 ½", "1 1/2"."""
    place = number.stop
    if place < len(tokens) and not tokens[place].text.isascii() and tokens[place].is_number:
        return replace(number, stop=place + 1, value=number.value + unicodedata.numeric(tokens[place].text))
    share = _simple_fraction(tokens, place)
    if share and number.value.is_integer() and not tokens[place].glued:
        return replace(number, stop=place + 3, value=number.value + share)
    return number


def _slashed(tokens: Sequence[Token], number: Number) -> Number:
    share = _simple_fraction(tokens, number.start)
    return replace(number, stop=number.start + 3, value=share, share=True) if share else number


def _simple_fraction(tokens: Sequence[Token], place: int) -> float | None:
    """The value of "1/2", "3/4", "1/3" ... glued at `place`, and not part of a longer row such as "0/0/40"."""
    if not (_is_slash(tokens, place + 1) and place + 2 < len(tokens) and tokens[place + 2].glued):
        return None
    if _is_slash(tokens, place + 3) or _is_slash(tokens, place - 1):
        return None
    pair = (tokens[place].text, tokens[place + 2].text)
    return int(pair[0]) / int(pair[1]) if pair in _FRACTIONS else None


_FRACTIONS = {(str(a), str(b)) for b in (2, 3, 4, 8) for a in range(1, b)}


def _is_slash(tokens: Sequence[Token], place: int) -> bool:
    return 0 <= place < len(tokens) and tokens[place].text == "/" and tokens[place].glued


def _kilo(tokens: Sequence[Token], number: Number) -> Number:
    place = number.stop
    if place < len(tokens) and tokens[place].text == "k" and tokens[place].glued and number.value < 1000:
        return replace(number, stop=place + 1, value=tidy(number.value * 1000), others=())
    return number


def _powered(tokens: Sequence[Token], number: Number) -> Number:
    """ "1e9", "2.5e3"."""
    e, power = (tokens[i] if i < len(tokens) else None for i in (number.stop, number.stop + 1))
    if not (e and power and e.text == "e" and e.glued and power.glued and power.text.isdigit() and len(power.text) < 3):
        return number
    return replace(number, stop=number.stop + 2, value=tidy(number.value * 10.0 ** int(power.text)), others=())


def _scaled(tokens: Sequence[Token], number: Number) -> Number:
    """ "2 thousand", "1.5 million"."""
    scale = word_value(tokens, number.stop, "scale") if number.value < 1000 else None
    return replace(number, stop=scale[1], value=tidy(number.value * scale[0]), others=()) if scale else number


def _point_words(tokens: Sequence[Token], number: Number) -> Number:
    """ "8 point 1" and "8 point one"."""
    if not lexicon("words_times", "point").at(tokens, number.stop):
        return number
    said = spoken_at(tokens, number.stop)
    if said:
        return replace(number, stop=said.stop, value=tidy(number.value + said.value))
    place = number.stop + 1
    if place < len(tokens) and tokens[place].is_number and tokens[place].text.isdigit():
        return replace(number, stop=place + 1, value=tidy(number.value + float("0." + tokens[place].text)))
    return number


def _signed(tokens: Sequence[Token], number: Number) -> Number:
    """A minus is a sign only where nothing but space or an opening stands before it and the digits touch it."""
    place = number.start - 1
    if place < 0 or tokens[place].text != "-" or not tokens[number.start].glued or tokens[place].glued:
        return number
    if place and tokens[place - 1].is_number:
        return number
    return replace(number, start=place, value=-number.value, others=tuple(-v for v in number.others))


def _after_letter(tokens: Sequence[Token], number: Number) -> Number:
    """ "temp.78": the point may end the word before it."""
    token = tokens[number.start]
    if token.text[0] != "." or not token.glued or number.start == 0 or not tokens[number.start - 1].is_word:
        return number
    if token.text[1] == "0" or "." in token.text[1:]:
        return number
    return replace(number, value=float(token.text[1:]), others=(number.value,))
