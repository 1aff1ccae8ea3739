"""Numbers in words: "thirty five", "eight point one", "ten twenty five", "a hundred and ten", "one and a half"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from bot.understanding.lexicon import lexicon
from bot.understanding.tokens import Token


@dataclass(frozen=True, slots=True)
class Spoken:
    """A number in words that ends before token `stop`; `share`: a fraction alone, such as "half"."""

    stop: int
    value: float
    others: tuple[float, ...] = ()
    share: bool = False


def spoken_at(tokens: Sequence[Token], start: int) -> Spoken | None:
    """The longest number in words that begins at token `start`."""
    if start >= len(tokens) or tokens[start].text not in number_openings():
        return None
    for way in (_pointed, _with_half, _crowd, _share, _row):
        said = way(tokens, start)
        if said:
            return said
    return None


@cache
def number_openings() -> frozenset[str]:
    """Words and digits with which a number in words can begin ("2 and a half")."""
    groups = ("cardinal", "scale", "share", "crowd", "point", "word")
    digits = (str(n) for n in range(1000))
    return frozenset(digits).union(*(lexicon("words_times", group).openers() for group in groups))


@cache
def _openers() -> frozenset[str]:
    """Words that a number in words can begin with."""
    groups = ("cardinal", "scale", "share", "crowd", "point")
    return frozenset(word for group in groups for word in lexicon("words_times", group).openers()) | {"a"}


def word_value(tokens: Sequence[Token], place: int, group: str) -> tuple[float, int] | None:
    """The value of the phrase at `place` in a group of words_times, and where it ends."""
    hits = lexicon("words_times", group).at(tokens, place)
    return (float(hits[0].meaning), hits[0].stop) if hits else None


def _pointed(tokens: Sequence[Token], start: int) -> Spoken | None:
    """ "eight point one", "point oh six", "one point oh two five", "point twenty five"."""
    whole = _cardinal(tokens, start)
    value, place = whole or (0.0, start)
    if not lexicon("words_times", "point").at(tokens, place):
        return None
    digits, stop = _digits_after_point(tokens, place + 1)
    return Spoken(stop, float(f"{value:.0f}.{digits}")) if digits else None


def _digits_after_point(tokens: Sequence[Token], place: int) -> tuple[str, int]:
    digits = ""
    while (part := _cardinal(tokens, place)) and part[0] < 100 and len(digits) < 6:
        digits += f"{part[0]:.0f}"
        place = part[1]
        if part[0] >= 10:
            break
    return digits, place


def _with_half(tokens: Sequence[Token], start: int) -> Spoken | None:
    """ "two and a half"; also with digits: "2 and a half"."""
    whole = _cardinal(tokens, start) or _plain_digits(tokens, start)
    if not whole or not (whole[1] < len(tokens) and tokens[whole[1]].text in ("and", "n", "&")):
        return None
    share = word_value(tokens, whole[1] + 1, "share")
    return Spoken(share[1], whole[0] + share[0]) if share else None


def _plain_digits(tokens: Sequence[Token], start: int) -> tuple[float, int] | None:
    token = tokens[start]
    short = token.is_number and token.text.isdigit() and token.text.isascii() and len(token.text) < 4
    return (float(token.text), start + 1) if short else None


def _crowd(tokens: Sequence[Token], start: int) -> Spoken | None:
    found = word_value(tokens, start, "crowd")
    return Spoken(found[1], found[0]) if found else None


def _share(tokens: Sequence[Token], start: int) -> Spoken | None:
    found = word_value(tokens, start, "share")
    return Spoken(found[1], found[0], share=True) if found else None


def _row(tokens: Sequence[Token], start: int) -> Spoken | None:
    """One cardinal, or two said one after the other as people say long numbers: "three ten", "thirteen fifty"."""
    first = _cardinal(tokens, start)
    if first is None:
        return None
    parts = [first, *_further(tokens, first)]
    if len(parts) == 1:
        return Spoken(first[1], first[0])
    return _together([value for value, _ in parts], parts[-1][1])


def _further(tokens: Sequence[Token], first: tuple[float, int]) -> list[tuple[float, int]]:
    """The cardinals that follow at once, where the first is one that can open a row (1 to 99)."""
    parts: list[tuple[float, int]] = []
    place = first[1]
    while 1 <= first[0] < 100 and (part := _cardinal(tokens, place)) and part[0] < 100 and len(parts) < 5:
        parts.append(part)
        place = part[1]
    return parts


def _together(values: list[float], stop: int) -> Spoken:
    """Said in a row: digits put side by side ("one oh two five"), or with a point left out ("eight two", 8.2)."""
    side_by_side = float("".join(f"{value:.0f}" for value in values))
    after_point = float(f"{values[0]:.0f}." + "".join(f"{value:.0f}" for value in values[1:]))
    if len(values) == 2 and values[1] < 10:
        return Spoken(stop, after_point, (side_by_side,))
    return Spoken(stop, side_by_side, (after_point,))


def _cardinal(tokens: Sequence[Token], start: int) -> tuple[float, int] | None:
    """A whole number in words and where it ends: "seventy eight", "a hundred and ten", "one thousand three hundred"."""
    base = _hundreds(tokens, start)
    if base is None:
        return None
    scale = word_value(tokens, base[1], "scale")
    if not scale or scale[0] < 1000 or base[0] >= 1000:
        return base
    rest = _hundreds(tokens, _past_and(tokens, scale[1]))
    return (base[0] * scale[0] + rest[0], rest[1]) if rest else (base[0] * scale[0], scale[1])


def _hundreds(tokens: Sequence[Token], start: int) -> tuple[float, int] | None:
    """ "three hundred and fifty", "a hundred", "fifty", "thirteen hundred"."""
    base = _below_hundred(tokens, start) or _a_hundred(tokens, start)
    scale = word_value(tokens, base[1], "scale") if base else None
    if base is None or not scale or scale[0] != 100 or not base[0]:
        return base
    rest = _below_hundred(tokens, _past_and(tokens, scale[1]))
    return (base[0] * 100 + rest[0], rest[1]) if rest and rest[0] else (base[0] * 100, scale[1])


def _past_and(tokens: Sequence[Token], place: int) -> int:
    return place + 1 if place < len(tokens) and tokens[place].text == "and" else place


def _a_hundred(tokens: Sequence[Token], start: int) -> tuple[float, int] | None:
    place = start + 1 if start < len(tokens) and tokens[start].text == "a" else start
    scale = word_value(tokens, place, "scale")
    return (1.0, place) if scale and (place > start or scale[0] <= 1000) else None  # not of "parts per million"


def _below_hundred(tokens: Sequence[Token], start: int) -> tuple[float, int] | None:
    first = word_value(tokens, start, "cardinal")
    if first is None:
        return None
    value, place = first
    if value >= 20:
        place_of_unit = place + 1 if place < len(tokens) and tokens[place].text == "-" else place
        unit = word_value(tokens, place_of_unit, "cardinal")
        if unit and 1 <= unit[0] < 10:
            return value + unit[0], unit[1]
    return value, place
