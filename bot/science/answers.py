"""Puts an answer together: figures in the asker's units, cautions and sources looked up by their keys."""

from __future__ import annotations

from collections.abc import Sequence

from bot.facts.load import table
from bot.science.inputs import Asked, converted
from bot.science.working import Figure, Working

_NO_ENTRY = ("common practice, no source", "from memory")


def working(
    asked: Asked, figures: Sequence[Figure], steps: Sequence[str], cautions: Sequence[str], sources: Sequence[str]
) -> Working:
    """The worked answer; `cautions` and `sources` are keys of their tables, or one of the two honest phrases."""
    return Working(
        topic=asked.question.topic,
        figures=tuple(figures),
        steps=tuple(steps),
        assumed=tuple(asked.assumed),
        cautions=tuple(table("cautions")[key]["short"] for key in cautions),
        sources=tuple(key if key in _NO_ENTRY else table("sources")[key]["title"] for key in sources),
    )


def in_units(name: str, value: float, unit: str, *shown: str) -> tuple[Figure, ...]:
    """The same result once for each unit of `shown`, the first being the answer."""
    return tuple(Figure(name, converted(value, unit, each), each) for each in shown)


def volume_figures(asked: Asked, name: str, volume_L: float) -> tuple[Figure, ...]:
    """A volume in gallons and litres, the asker's habit (or the unit of the question's volume) first."""
    first, second = ("gal", "L") if in_gallons(asked) else ("L", "gal")
    return in_units(name, volume_L, "L", first, second)


def in_gallons(asked: Asked) -> bool:
    """Whether the answer's volumes are gallons: the question's own volume decides, then the habit."""
    said = [each.unit for each in asked.question.inputs.values() if not isinstance(each, str)]
    gallons, litres = any(unit.startswith("gal") for unit in said), any(unit in ("L", "mL", "m3") for unit in said)
    return gallons if gallons != litres else asked.known.habit == "us"
