"""What a question offers to every topic: its numbers and context, and what its words and numbers say for each topic."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from bot.facts.load import table
from bot.understanding.lexicon import Lexicon, phrases
from bot.understanding.questions_amount import Amount
from bot.understanding.questions_amounts import amounts_in
from bot.understanding.questions_context import Context
from bot.understanding.questions_signs import signs_in, worth
from bot.understanding.questions_units import is_out_of_reach, loose_units
from bot.understanding.questions_words import chemical_in, no_numbers, parameter_in, raised_by
from bot.understanding.text import Text
from bot.understanding.units import Unit

_WEIGHTS = {"strong": (3.0, 5.0), "fair": (0.8, 2.4), "against": (-1.5, 4.5)}
"""What one word of the group is worth, and the most that all of them together are."""


@dataclass(frozen=True)
class Parts:
    """What every topic looks at: the numbers, the units said alone, the context."""

    amounts: tuple[Amount, ...]
    loose: tuple[tuple[int, Unit], ...]
    context: Context
    signs: frozenset[str] = frozenset()


def parts_of(text: Text, taken: frozenset[int] = frozenset()) -> Parts:
    """The numbers and units of a question; `taken` are tokens that are none (a tank's name)."""
    amounts = amounts_in(text, taken | no_numbers(text))
    loose = loose_units(text, amounts)
    return Parts(amounts, loose, _context(text, amounts, loose), signs_in(text, amounts, loose))


def evidence_for(topic: str, text: Text, parts: Parts) -> float:
    """What speaks for the topic: its words, the signs that its numbers give; against it a unit that it cannot give."""
    words = sum(_capped(text, topic, group, *each) for group, each in _WEIGHTS.items())
    found = words + worth(topic, parts.signs)
    off = is_out_of_reach(text, parts.loose, table("question_slots")[topic]["answers"])
    return found - _NO_SUCH_UNIT * off if found > 0 else 0.0


_NO_SUCH_UNIT = 1.5


def is_strong(topic: str, text: Text) -> bool:
    """Whether one of the topic's own words occurs."""
    return bool(_words_of("strong", topic).find(text.tokens))


def _capped(text: Text, topic: str, group: str, one: float, most: float) -> float:
    hits = {tuple(t.text for t in text.tokens[h.start : h.stop]) for h in _words_of(group, topic).find(text.tokens)}
    total = one * min(1, len(hits)) + one / 3 * max(0, len(hits) - 1)
    return max(-most, min(most, total))


@cache
def _words_of(group: str, topic: str) -> Lexicon:
    words = table("words_questions")[group].get(topic, "")
    return Lexicon({topic: phrases(words)})


def _context(text: Text, amounts: Sequence[Amount], loose: Sequence[tuple[int, Unit]]) -> Context:
    units = [unit for each in amounts for unit in each.units if len(each.units) == 1 or each.units[0] is unit]
    units += [unit for _, unit in loose]
    return Context(
        metric=text.metric,
        parameter=_parameter(text, amounts, loose),
        temperature=_only(units, "temperature", ("degF", "degC")),
        length=_only(units, "length", ("in", "cm", "ft", "m", "mm")),
        volume=_only(units, "volume", ("gal", "L")),
    )


def _parameter(text: Text, amounts: Sequence[Amount], loose: Sequence[tuple[int, Unit]]) -> str | None:
    """What the question is about: named, else told by a unit that only it has."""
    units = {i for each in amounts for i in range(each.start + 1, each.stop)} | {place for place, _ in loose}
    named = parameter_in(text, frozenset(units))
    kinds = {unit.measures for each in amounts for unit in each.units}
    return (
        named
        or next((kind for kind in ("alkalinity", "hardness") if kind in kinds), None)
        or raised_by(chemical_in("dose", text))
    )


def _only(units: Sequence[Unit], measures: str, names: Sequence[str]) -> str | None:
    return next((unit.name for unit in units if unit.measures == measures and unit.name in names), None)
