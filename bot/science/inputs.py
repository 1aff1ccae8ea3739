"""What a question gave, what the tank's record adds, and what is customary: each as a plain float in one unit.

The only file of the room that knows pint, and only as a table of unit factors: no text of a person reaches its parser.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from math import isfinite
from typing import Any

from bot.facts.load import table
from bot.items import Quantity, Question
from bot.science.working import Known


class Unanswerable(Exception):
    """Why a question has no answer, in words for the person who asked."""


class Lacking(Unanswerable):
    """An input that is neither known nor customary; `filling` is a possible value, to see what else is lacking."""

    def __init__(self, name: str, filling: Quantity, ask: str) -> None:
        super().__init__(ask)
        self.name, self.filling = name, filling


@dataclass(frozen=True)
class Asked:
    """A question on its way to an answer: `assumed` collects what it did not say, `warned` what is unwise in it."""

    question: Question
    known: Known
    assumed: list[str] = field(default_factory=list)
    warned: list[str] = field(default_factory=list)

    def assume(self, words: str) -> None:
        if words not in self.assumed:
            self.assumed.append(words)

    def warn(self, words: str) -> None:
        if words not in self.warned:
            self.warned.append(words)


def check_numbers(question: Question) -> None:
    """Unanswerable where the question holds what is no finite number."""
    for name, said in question.inputs.items():
        if isinstance(said, Quantity) and not isfinite(said.value):
            raise Unanswerable(f"{spoken(name)} {words(said)} cannot be: it is no number. Send what was meant.")


def given(asked: Asked, name: str) -> Quantity | None:
    """The quantity that the question gives under this name; None where it gives none or a word."""
    said = asked.question.inputs.get(name)
    return said if isinstance(said, Quantity) else None


def word(asked: Asked, name: str) -> str | None:
    """The word that the question gives under this name, in small letters."""
    said = asked.question.inputs.get(name)
    return said.lower() if isinstance(said, str) else None


def word_as_said(asked: Asked, name: str) -> str | None:
    """The word that the question gives under this name, as it stands (for units)."""
    said = asked.question.inputs.get(name)
    return said if isinstance(said, str) else None


def amount(asked: Asked, name: str, unit: str) -> float | None:
    """The input in `unit`, None where none is given; Unanswerable where it cannot be or measures something else."""
    said = given(asked, name)
    return None if said is None else in_unit(said, unit, name)


def needed(asked: Asked, name: str, unit: str, ask: str) -> float:
    """The input in `unit`; where it is missing, Lacking with what to send (`ask`)."""
    value = amount(asked, name, unit)
    if value is None:
        raise Lacking(name, Quantity(1.0, unit), ask)
    return value


def ask(asked: Asked) -> str:
    """Which unknown is wanted: the word of the question, else the topic's first in facts/topics.toml."""
    asks = table("topics")[asked.question.topic]["asks"]
    said = word(asked, "ask")
    return said if said is not None and said in asks else str(next(iter(asks)))


def volume_L(asked: Asked, name: str = "volume") -> float:
    """The water volume in litres: from the question, else from the tank's record, and then named in `assumed`."""
    said = amount(asked, name, "L")
    if said is not None:
        return said
    if asked.known.volume_L is None:
        raise Lacking(
            name, Quantity(100.0, "L"), "No water volume was given. Send it with the question, such as 60 gal or 230 L."
        )
    asked.assume(f"water volume {volume_words(asked, asked.known.volume_L)}, {_on_record(asked)}")
    return asked.known.volume_L


def reading(asked: Asked, parameter: str, unit: str) -> float | None:
    """The tank's last confirmed reading in `unit`, then named in `assumed`; None where there is none."""
    return _recorded(asked, asked.known.readings.get(parameter), f"{parameter} now", unit)


def target(asked: Asked, parameter: str, unit: str) -> float | None:
    """The tank's wanted value in `unit`, then named in `assumed`; None where there is none."""
    return _recorded(asked, asked.known.targets.get(parameter), f"{parameter} target", unit)


def customary(asked: Asked, name: str) -> float:
    """The customary value of facts/defaults.toml in the unit that stands there, named in `assumed`."""
    default = table("defaults")[name]
    asked.assume(default["says"])
    return float(default["value"])


def in_unit(quantity: Quantity, unit: str, name: str = "value") -> float:
    """The quantity as a number of `unit`; Unanswerable where it measures something else or cannot be."""
    wanted = measures(unit)
    if measures(quantity.unit) != wanted:
        raise Unanswerable(
            f"{spoken(name)} {words(quantity)} does not fit: a {wanted} is needed there. Send it in {unit} or the like."
        )
    check_limit(quantity, name)
    return converted(quantity.value, quantity.unit, unit)


def converted(value: float, unit: str, to_unit: str) -> float:
    """The same amount in another unit of the same kind (both known to pint, or both of one scale of ours)."""
    slope, offset = _line(unit, to_unit)
    return value * slope + offset


def is_unit(name: str) -> bool:
    """Whether this is one of our units."""
    return name in table("measures")["unit"]


def measures(unit: str) -> str:
    """What a unit measures: volume, mass, salinity, ...; a unit that is not ours measures only itself."""
    return str(table("measures")["unit"].get(unit, {"measures": unit})["measures"])


def check_limit(quantity: Quantity, name: str) -> None:
    """Unanswerable where the quantity lies outside what a person can mean by one of its kind (facts/measures.toml)."""
    limits = table("measures")["limit"]
    limit = limits.get(quantity.unit) or limits.get(measures(quantity.unit))
    if limit is not None and not _within(quantity, limit):
        instead = limit.get("instead", "Send what was meant, with its unit.")
        raise Unanswerable(
            f"{spoken(name)} {words(quantity)} cannot be: it lies outside {limit['low']:,.10g} to "
            f"{limit['high']:,.10g} {limit['unit']}. {instead}"
        )


def spoken(name: str) -> str:
    """What a person calls an input, to begin a sentence with."""
    called = table("measures")["spoken"].get(name, name.replace("_", " "))
    return str(called[0].upper() + called[1:])


def words(quantity: Quantity) -> str:
    """A quantity as a person would write it."""
    return f"{quantity.value:g} {quantity.unit}".strip()


def volume_words(asked: Asked, volume_L: float) -> str:
    """A volume in the habit of the one who asked."""
    return f"{converted(volume_L, 'L', 'gal'):.4g} gal" if asked.known.habit == "us" else f"{volume_L:.4g} L"


def _recorded(asked: Asked, kept: Quantity | None, what: str, unit: str) -> float | None:
    if kept is None:
        return None
    asked.assume(f"{what} {words(kept)}, {_on_record(asked)}")
    return in_unit(kept, unit, what)


def _on_record(asked: Asked) -> str:
    return f"on record for {asked.known.tank}" if asked.known.tank else "on record"


def _within(quantity: Quantity, limit: Mapping[str, Any]) -> bool:
    value = converted(quantity.value, quantity.unit, limit["unit"])
    above = value >= limit["low"] if limit.get("low_allowed") else value > limit["low"]
    return bool(above and value <= limit["high"])  # NaN fails both comparisons


@cache
def _line(unit: str, to_unit: str) -> tuple[float, float]:
    if unit == to_unit:
        return 1.0, 0.0
    if "scale" in _unit(unit):
        scale = table("scales")[_unit(unit)["scale"]]
        return scale[unit]["value"] / scale[to_unit]["value"], 0.0
    source, goal = _unit(unit)["pint"], _unit(to_unit)["pint"]
    offset = _registry().Quantity(0.0, source).to(goal).magnitude
    return _registry().Quantity(1.0, source).to(goal).magnitude - offset, offset


@cache
def _registry() -> Any:
    import pint  # here, since it takes a third of a second and a question in litres and grams needs none of it

    return pint.UnitRegistry()


def _unit(unit: str) -> dict[str, Any]:
    found: dict[str, Any] = table("measures")["unit"][unit]
    return found
