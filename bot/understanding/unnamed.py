"""Values without a name that can only be one thing: "78f", "35 ppt", "8.4 dkh", 1.0255."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from bot.facts.load import table
from bot.understanding.lexicon import phrases
from bot.understanding.pair import Pair, digits_of, is_rate
from bot.understanding.parameters import TABLE
from bot.understanding.text import Text
from bot.understanding.units import Measure, without_unit
from bot.understanding.values import Value, value_of


def named_by_unit(text: Text) -> Iterator[Pair]:
    """ "78f", "35 ppt", "8.4 dkh", and 1.0255, which can only be a specific gravity."""
    for measure in (each for each in text.measures if not _is_aimed_at(text, each) and not is_rate(text, each)):
        for unit in measure.units:
            parameter = _parameter_of_unit().get(unit.name)
            if parameter:
                one = replace(measure, units=(unit,))
                value = value_of(parameter, one, digits_of(text, measure))
                if value and _unit_alone(text, measure, value):
                    yield _unnamed(parameter, value, one)
        if _is_gravity(text, measure):
            value = value_of("salinity", without_unit(measure), digits_of(text, measure))
            if value and value.why is None:
                yield _unnamed("salinity", value, without_unit(measure))


def _is_aimed_at(text: Text, measure: Measure) -> bool:
    """A bare value behind "to", "from", "than" is wished or compared, behind "of" or "with" or "100 L at" it tells of
    other water; in a question it is part of the sum."""
    before = text.tokens[measure.start - 1].text if measure.start else ""
    amount = text.measure_ending(measure.start - 1)
    mixed = before in ("at", "@", "of") and amount is not None and amount.unit("volume", "mass") is not None
    return before in _AIMS or mixed or _asks(text, _sentence_start(text, measure.start))


_AIMS = frozenset(("to", "from", "with", "for", "of", "until", "than", "if", "want", "when", "till", "into", "under"))
_ASKING = frozenset(
    ("how", "what", "whats", "what's", "is", "are", "can", "should", "which", "why", "will", "does", "do")
)


def _asks(text: Text, start: int) -> bool:
    """Whether the sentence opens as a question; "do 6.9" is oxygen."""
    followed = start + 1 < len(text.tokens) and not text.tokens[start + 1].is_number
    return followed and text.tokens[start].text in _ASKING


def _sentence_start(text: Text, place: int) -> int:
    ends = (i + 1 for i in range(place - 1, -1, -1) if text.tokens[i].text in (".", "!", "?", ";", "\n"))
    return next((i for i in ends if i == place or not text.tokens[i].glued), 0)


def _unnamed(parameter: str, value: Value, measure: Measure) -> Pair:
    number = measure.number
    return Pair(
        parameter,
        value,
        measure.span,
        measure.start,
        measure,
        below=number.below,
        above=number.above,
        plausible=0.9,
        named=False,
    )


def _unit_alone(text: Text, measure: Measure, value: Value) -> bool:
    """A "c" may be a cup, an "f" or "ms" nothing: alone they must touch the digits and give a usual value."""
    word = text.tokens[measure.number.stop].text
    fahrenheit = word == "f" and measure.number.value >= _LEAST_FAHRENHEIT
    celsius = text.tokens[measure.number.stop].typed == "C" and text.tokens[measure.number.stop].glued
    return fahrenheit or celsius or len(word) > 2 or word in ("°", "sg") or value.plausible == 1.0


_LEAST_FAHRENHEIT = 33
"""Where water is not frozen: a number from here on with an "f" that touches it is a temperature."""


def _is_gravity(text: Text, measure: Measure) -> bool:
    digits = digits_of(text, measure).replace(",", ".")
    return digits.startswith("1.0") and 5 <= len(digits) <= 6 and measure.number.low is None


def _parameter_of_unit() -> dict[str, str]:
    rows = table(TABLE)["unit_parameter"].items()
    return {unit: parameter for parameter, units in rows for unit in phrases(units)}
