"""Unit words said without a number: the unit in which the answer is wanted."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from bot.facts.load import table
from bot.understanding.lexicon import around, phrases
from bot.understanding.questions_amount import Amount
from bot.understanding.text import Text
from bot.understanding.tokens import Token
from bot.understanding.units import Unit, units_at


def loose_units(text: Text, amounts: Sequence[Amount]) -> tuple[tuple[int, Unit], ...]:
    """Unit words with no number: the unit that the answer is wanted in, with its place."""
    used = {i for each in amounts for i in range(each.start, each.stop)}
    behind = {(each.stop, unit.measures) for each in amounts for unit in each.units}
    found: list[tuple[int, Unit]] = []
    place = 0
    while place < len(text.tokens):
        units, stop = units_at(text.tokens, place) if place not in used else ((), place)
        if units and ((place, units[0].measures) in behind or _may_be_wanted(text.tokens, place, stop)):
            found += [(place, unit) for unit in units]
        place = max(stop, place + 1)
    return tuple(found)


def _may_be_wanted(tokens: Sequence[Token], place: int, stop: int) -> bool:
    before = tokens[place - 1].text if place else ""
    asked_for = before in ("in", "to", "as", "many", "=", "of", "into")
    if tokens[place].text in _no_wish("asked") and stop - place == 1 and not asked_for:
        return False
    if (tokens[place].text in _no_wish("never") and stop - place == 1) or before in (
        "per",
        "/",
        "a",
        "an",
        "each",
        "every",
    ):
        return False
    if tokens[place].text in ("mg", "sg", "ppt") and stop < len(tokens) and tokens[stop].is_number:
        return False
    return asked_for or len(tokens[place].text) > 1 or stop - place > 1


@cache
def _no_wish(group: str) -> frozenset[str]:
    """Unit words that, said alone, are no wish for a unit: `never`, or unless `asked` for ("in dkh")."""
    return frozenset(phrases(table("words_questions")["no_wish"][group]))


def wanted_unit(text: Text, loose: Sequence[tuple[int, Unit]], measures: Sequence[str]) -> Unit | None:
    """The unit in which the answer is asked: said behind "how many", "in", "as"; else the last one said alone.

    `measures`: what the answer can be; a word that stands for several units ("g") takes the one that comes first there.
    """
    fits = [(place, unit) for place, unit in loose if unit.measures in measures]
    asked = [each for each in fits if each[0] and text.tokens[each[0] - 1].text in _ASKS_FOR]
    place = asked[0][0] if asked else fits[-1][0] if fits else None
    same = [unit for at, unit in fits if at == place]
    return min(same, key=lambda unit: measures.index(unit.measures), default=None)


def is_out_of_reach(text: Text, loose: Sequence[tuple[int, Unit]], measures: Sequence[str]) -> bool:
    """Whether the answer is plainly asked in a unit that measures none of these."""
    asked = [unit for place, unit in loose if _is_asked(text.tokens, place)]
    return bool(asked) and not any(unit.measures in measures for unit in asked)


def _is_asked(tokens: Sequence[Token], place: int) -> bool:
    """ "how many litres", "in dkh"; "percent?"."""
    if place and tokens[place - 1].text in _ASKS_FOR:
        return True
    return all(token.kind == "mark" for token in tokens[place + 1 :])


_ASKS_FOR = around("questions_units", "asks_for")
