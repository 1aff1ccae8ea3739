"""Treatments as courses on a veterinarian's order: what the level says, how far the course is, what a change takes out.

Only arithmetic on what the order states; no level, amount or length is ever proposed here.
"""

from __future__ import annotations

from bot.facts.load import table
from bot.items import Quantity
from bot.science.inputs import converted


def above_ceiling(named: str | None, target: Quantity | None) -> tuple[Quantity, str] | None:
    """The target of an order that is above what is usual for it, and what is usual; None where it is not."""
    row = table("treatments").get(named or "", {}).get("ceiling")
    if row is None or target is None or converted(target.value, target.unit, row["unit"]) <= row["value"]:
        return None
    return target, row["says"]
