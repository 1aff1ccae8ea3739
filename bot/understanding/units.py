"""Unit words after a number. A word may stand for several units ("g", "c", "oz"): whoever measures decides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from bot.facts.load import table
from bot.items import Quantity
from bot.understanding.lexicon import Hit, Lexicon, phrases
from bot.understanding.numerals import Number
from bot.understanding.tokens import Token, tokenise


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of facts/units.toml: its name there, what it measures, and as which unit of the contract it is kept."""

    name: str
    measures: str
    kept_as: str
    factor: float


@dataclass(frozen=True, slots=True)
class Measure:
    """A number and the unit words behind it: tokens `start` up to `stop`; `units` is empty where there is none,
    and has several where the word is open ("30g": gal, g)."""

    number: Number
    units: tuple[Unit, ...]
    start: int
    stop: int

    @property
    def span(self) -> frozenset[int]:
        return frozenset(range(self.start, self.stop))

    def unit(self, *measures: str) -> Unit | None:
        """Its unit of the first of these kinds that it can be ("volume", "mass", "share", ...)."""
        return next((unit for kind in measures for unit in self.units if unit.measures == kind), None)

    def quantity(self, *measures: str) -> Quantity | None:
        """Value and unit of the contract if the text gives a unit of one of these kinds; the order decides "g"."""
        unit = self.unit(*measures)
        return Quantity(_kept(self.number.value, unit), unit.kept_as) if unit else None


@cache
def unit_words() -> Lexicon:
    """Every unit word, with the name of the unit as its meaning."""
    return Lexicon({name: phrases(row["words"]) for name, row in _rows().items()})


@cache
def unit_named(name: str) -> Unit:
    """The unit of that name in facts/units.toml; KeyError where there is none."""
    row = _rows()[name]
    return Unit(name, row["measures"], row.get("is", name), row.get("factor", 1.0))


def measures_in(tokens: Sequence[Token], numbers: Sequence[Number]) -> tuple[Measure, ...]:
    """Every number with the longest unit word that follows it, if one does."""
    return tuple(_measure(tokens, number) for number in numbers)


def units_at(tokens: Sequence[Token], place: int) -> tuple[tuple[Unit, ...], int]:
    """The units that the longest unit word at `place` can be, and where it ends; none and `place` without one."""
    hits = [hit for hit in unit_words().at(tokens, place) if _may_be(tokens, hit)]
    longest = [hit for hit in hits if hit.stop == hits[0].stop]
    exact = _as_typed().get(tokens[place].typed, []) if place < len(tokens) else []
    names = [*exact, *(hit.meaning for hit in longest if hit.meaning not in exact)]
    return tuple(unit_named(name) for name in names), max((hit.stop for hit in longest), default=place + len(exact[:1]))


@cache
def _as_typed() -> dict[str, list[str]]:
    """Unit words that need their capitals: "T" is a tablespoon."""
    found: dict[str, list[str]] = {}
    for name, row in _rows().items():
        for word in phrases(row.get("words_as_typed", "")):
            found.setdefault(word, []).append(name)
    return found


def unit_meant(words: str, among: Sequence[str]) -> str | None:
    """Which of the units `among` the words name, if they are a unit word and nothing else."""
    tokens = tokenise(words.strip())
    units, stop = units_at(tokens, 0) if tokens else ((), 0)
    return next((unit.name for unit in units if unit.name in among), None) if stop == len(tokens) else None


def without_unit(measure: Measure) -> Measure:
    """The number alone, its unit word left to others ("ca 420 mg 1280")."""
    return replace(measure, units=(), start=measure.number.start, stop=measure.number.stop)


def _measure(tokens: Sequence[Token], number: Number) -> Measure:
    units, stop = units_at(tokens, number.stop)
    return Measure(number, units, number.start, stop if units else number.stop)


def _may_be(tokens: Sequence[Token], hit: Hit) -> bool:
    """A mark such as ' or " or # is a unit only when it touches the number; "in" only with no place behind it."""
    if tokens[hit.start].text == "in" and not tokens[hit.start].glued and hit.stop < len(tokens):
        return not tokens[hit.stop].is_word or tokens[hit.stop].text in (
            "long",
            "wide",
            "high",
            "tall",
            "deep",
            "x",
            "by",
        )
    return tokens[hit.start].is_word or tokens[hit.start].text in ("%", "‰", "°") or tokens[hit.start].glued


def _kept(value: float, unit: Unit) -> float:
    return float(f"{value * unit.factor:.10g}")


@cache
def _rows() -> dict[str, dict[str, Any]]:
    return {name: row for name, row in table("units").items() if isinstance(row, dict)}
