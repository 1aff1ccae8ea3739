"""One parameter with its value, as the words of a message pair them."""

from __future__ import annotations

from dataclasses import dataclass

from bot.understanding.text import Text
from bot.understanding.units import Measure
from bot.understanding.values import Value


@dataclass(frozen=True)
class Pair:
    """`parameter` has `value`, say the tokens `used`; `place` is where its number stands; `basis`, `of`, `below` and
    `above` as in a Reading; `named`: by its name, not by its unit alone."""

    parameter: str
    value: Value
    used: frozenset[int]
    place: int
    measure: Measure | None = None
    basis: str | None = None
    of: str | None = None
    below: bool = False
    above: bool = False
    plausible: float = 1.0
    named: bool = True


def digits_of(text: Text, measure: Measure) -> str:
    """The digits of the number as typed; of one corrected on the spot, the right ones."""
    digits = [text.tokens[i].text for i in sorted(measure.number.span) if text.tokens[i].is_number]
    return digits[-1 if measure.number.old is not None else 0] if digits else ""


def is_rate(text: Text, measure: Measure) -> bool:
    """ "2 ppt a day", "1 dkh/day", "0.5 per week"."""
    words = [token.text for token in text.tokens[measure.stop : measure.stop + 2]]
    per = len(words) == 2 and words[0] in ("a", "an", "per", "/", "each", "every")
    return bool(words) and (words[0] in ("daily", "weekly", "hourly") or (per and words[1] in _SPANS))


_SPANS = frozenset(("day", "hour", "hr", "h", "week", "wk", "d", "min", "minute", "month", "night"))
