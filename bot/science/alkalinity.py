"""Alkalinity and hardness in whatever degrees they are said."""

from __future__ import annotations

from bot.items import Quantity
from bot.science.inputs import Asked, converted, given, in_unit

_MEANT = {"": "dKH", "mg/L": "mg/L CaCO3"}


def alkalinity_meq_L(quantity: Quantity, name: str = "alkalinity") -> float:
    """An alkalinity or hardness as meq/L; a bare number is degrees, a plain ppm is mg/L CaCO3 (contract, section 1)."""
    return in_unit(Quantity(quantity.value, _MEANT.get(quantity.unit, quantity.unit)), "meq/L", name)


def from_meq_L(meq_L: float, unit: str) -> float:
    """The same alkalinity or hardness in dKH, dGH, meq/L or mg/L CaCO3; KeyError for another unit."""
    return converted(meq_L, "meq/L", unit)


def alkalinity_given(asked: Asked, name: str) -> float | None:
    """The input in meq/L; None where none is given."""
    said = given(asked, name)
    return None if said is None else alkalinity_meq_L(said, name)
