"""What a tank can show at all: values beyond it are refused before they are worked with."""

from __future__ import annotations

from bot.facts.load import table
from bot.science.inputs import Unanswerable


def possible(parameter: str, value: float, unit: str, name: str) -> float:
    """The value again; Unanswerable where no tank can show it (facts/parameters.toml, which must know the unit)."""
    low, high = table("parameters")[parameter]["possible"][unit]
    if not low <= value <= high:
        raise Unanswerable(
            f"{name} {value:g} {unit} cannot be: {parameter} lies between {low:g} and {high:g} {unit}. "
            "Send it again with its unit."
        )
    return value
