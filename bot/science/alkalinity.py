"""Alkalinity and hardness in whatever degrees they are said."""

from __future__ import annotations

from bot.facts.load import table
from bot.items import Quantity
from bot.science.inputs import Asked, Unanswerable, check_limit, given, words

_CARBONATE = "mg/L CaCO3"


def alkalinity_meq_L(quantity: Quantity, name: str = "alkalinity") -> float:
    """An alkalinity or hardness as meq/L; a bare number is degrees, a plain ppm is mg/L CaCO3 (contract, section 1)."""
    unit = {"": "dKH", "mg/L": _CARBONATE}.get(quantity.unit, quantity.unit)
    if unit not in _scale():
        raise Unanswerable(f"{name} was given as {words(quantity)}: send it in dKH, meq/L or mg/L CaCO3.")
    meq_L = quantity.value * _scale()[unit]
    check_limit(Quantity(from_meq_L(meq_L, "dKH"), "dKH"), name)
    return meq_L


def from_meq_L(meq_L: float, unit: str) -> float:
    """The same alkalinity or hardness in dKH, dGH, meq/L or mg/L CaCO3; KeyError for another unit."""
    return meq_L / _scale()[unit]


def alkalinity_given(asked: Asked, name: str) -> float | None:
    """The input in meq/L; None where none is given."""
    said = given(asked, name)
    return None if said is None else alkalinity_meq_L(said, name)


def _scale() -> dict[str, float]:
    return {unit: entry["value"] for unit, entry in table("scales")["alkalinity"].items()}
