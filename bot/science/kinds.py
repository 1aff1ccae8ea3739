"""The salinity of the water that a question means, for sums where it only shifts the result."""

from __future__ import annotations

from typing import Any

from bot.facts.load import table
from bot.science.inputs import Asked, word
from bot.science.water import recorded_salinity, salinity_given


def salinity_meant(asked: Asked) -> float | None:
    """Practical salinity from question, record or kind of tank, named in `assumed`; None where nothing tells."""
    said = salinity_given(asked, "salinity")
    if said is not None:
        return said
    recorded = recorded_salinity(asked, "readings", "now")
    return recorded if recorded is not None else _customary(asked)


def salinity_or_fresh(asked: Asked, remark: str) -> float:
    """The salinity meant, else fresh water; `remark` says in `assumed` what that does to the result."""
    meant = salinity_meant(asked)
    if meant is None:
        asked.assume(f"fresh water, {remark}")
    return 0.0 if meant is None else meant


def _customary(asked: Asked) -> float | None:
    for water in table("waters").values():
        if word(asked, "water") in water["words"] or _is_kind(asked, water):
            return _owned(asked, water)
    return None


def _is_kind(asked: Asked, water: dict[str, Any]) -> bool:
    return word(asked, "water") is None and asked.known.tank_kind in water["kinds"]


def _owned(asked: Asked, water: dict[str, Any]) -> float:
    if water["value"] > 0:
        asked.assume(f"salinity {water['value']:g} {water['unit']}, usual for such water")
    elif word(asked, "water") is None:
        asked.assume(f"fresh water, as in a {asked.known.tank_kind} tank")
    return float(water["value"])
