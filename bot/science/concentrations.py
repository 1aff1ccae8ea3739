"""The concentrations of one question, brought to one unit so that they can be mixed."""

from __future__ import annotations

from dataclasses import dataclass

from bot.facts.load import table
from bot.items import Quantity
from bot.science.inputs import (
    Asked,
    Unanswerable,
    customary,
    given,
    in_unit,
    measures,
    reading,
    target,
    word,
)
from bot.science.water import FRESH_WORDS, PURE_WORDS, practical

_NAMES = ("from", "to", "production", "source")
_NOT_MIXED = {"ph": "pH does not mix by a straight rule", "number": "a bare number needs its unit"}


@dataclass(frozen=True)
class Scale:
    """The unit in which a question's concentrations are worked out, and the parameter they are of."""

    unit: str
    parameter: str | None


def scale(asked: Asked) -> Scale:
    """The unit of the first concentration that the question gives, else of the tank's record, else mg/L."""
    parameter = word(asked, "parameter") or _usual(asked)
    said = next((each for each in (given(asked, name) for name in _NAMES) if each is not None), None)
    said = said or asked.known.readings.get(parameter or "")
    unit = said.unit if said is not None else "mg/L"
    if measures(unit) in _NOT_MIXED:
        raise Unanswerable(f"{_NOT_MIXED[measures(unit)]}: send a concentration, such as nitrate 40 mg/L.")
    return Scale("ppt" if measures(unit) in ("salinity", "conductivity") else unit, parameter)


def concentration(asked: Asked, name: str, on: Scale) -> float | None:
    """The input on the question's scale; None where it is not given."""
    said = given(asked, name)
    if said is None:
        return 0.0 if _holds_none(word(asked, name), on) else None
    return _on_scale(asked, said, name, on)


def _usual(asked: Asked) -> str | None:
    """Nitrate, where a question about a tank names nothing and gives no value of its own."""
    unsaid = given(asked, "from") is None and given(asked, "to") is None
    if not (unsaid and "nitrate" in asked.known.readings):
        return None
    asked.assume("nitrate is meant, the usual reason for a water change")
    return "nitrate"


def now(asked: Asked, on: Scale) -> float | None:
    """The concentration now: said, else the tank's last reading of the parameter."""
    said = concentration(asked, "from", on)
    return said if said is not None or on.parameter is None else reading(asked, on.parameter, on.unit)


def wanted(asked: Asked, on: Scale) -> float | None:
    """The concentration wanted: said, else the tank's target of the parameter."""
    said = concentration(asked, "to", on)
    return said if said is not None or on.parameter is None else target(asked, on.parameter, on.unit)


def in_new_water(asked: Asked, on: Scale) -> float:
    """The concentration in the new water: said, else none of it, and said so; asked for where new water has some."""
    said = concentration(asked, "source", on)
    if said is not None:
        return said
    if not _none_in_fresh(on):
        raise Unanswerable(f"The new water's own {on.parameter or 'value'} is missing. Send it in {on.unit}.")
    return customary(asked, "source_none")


def _on_scale(asked: Asked, said: Quantity, name: str, on: Scale) -> float:
    if on.unit == "ppt":
        return practical(asked, said, name)
    return in_unit(said, on.unit, name)


def _holds_none(water: str | None, on: Scale) -> bool:
    """Whether water of that name holds none: purified water no salts at all, fresh water no sea salt and no waste."""
    if water in PURE_WORDS:
        return measures(on.unit) in ("concentration", "alkalinity", "salinity")
    return water in FRESH_WORDS and (on.unit == "ppt" or _none_in_fresh(on))


def _none_in_fresh(on: Scale) -> bool:
    return on.parameter not in table("defaults")["source_none"]["not_for"] and measures(on.unit) == "concentration"
