"""Puts an answer together: figures in the asker's units, cautions and sources looked up by their keys."""

from __future__ import annotations

from collections.abc import Sequence

from bot.facts.load import table
from bot.science.inputs import Asked, converted, is_unit, measures, word_as_said
from bot.science.working import Figure, Working

_NO_ENTRY = ("common practice, no source", "from memory")
_LEAST_LB_G, _LEAST_MORE_G = 45.0, 1.5
"""A tenth of a pound, and a twentieth of an ounce: below them the larger unit only shows noughts."""


def working(
    asked: Asked, figures: Sequence[Figure], steps: Sequence[str], cautions: Sequence[str], sources: Sequence[str]
) -> Working:
    """The worked answer; `cautions` and `sources` are keys of their tables, or one of the two honest phrases."""
    return Working(
        topic=asked.question.topic,
        figures=tuple(figures),
        steps=tuple(steps),
        assumed=tuple(asked.assumed),
        cautions=(*asked.warned, *(table("cautions")[key]["short"] for key in cautions)),
        sources=tuple(key if key in _NO_ENTRY else table("sources")[key]["title"] for key in sources),
    )


def in_units(name: str, value: float, unit: str, *shown: str) -> tuple[Figure, ...]:
    """The same result once for each unit of `shown`, the first being the answer."""
    return tuple(Figure(name, converted(value, unit, each), each) for each in shown)


def figures_in(asked: Asked, name: str, value: float, unit: str, *order: str) -> tuple[Figure, ...]:
    """A result in the unit it was asked in, else in the order given."""
    return in_units(name, value, unit, *_asked_first(asked, measures(unit), order))


def volume_figures(asked: Asked, name: str, volume_L: float) -> tuple[Figure, ...]:
    """A volume in the unit it was asked in, else in gallons or litres by the question's volumes or the habit."""
    order = ("gal", "L") if in_gallons(asked) else ("L", "gal")
    return in_units(name, volume_L, "L", *_asked_first(asked, "volume", order))


def mass_figures(asked: Asked, name: str, mass_g: float) -> tuple[Figure, ...]:
    """A mass in the unit it was asked in, else in grams; then in pounds or kilograms by the habit, if it is so much."""
    more = ("lb" if mass_g >= _LEAST_LB_G else "oz") if asked.known.habit == "us" else "kg"
    order = ("g", more) if mass_g >= _LEAST_MORE_G else ("g",)
    return in_units(name, mass_g, "g", *_asked_first(asked, "mass", order))


def time_figures(asked: Asked, name: str, time_min: float, *order: str) -> tuple[Figure, ...]:
    """A time in the unit it was asked in, else in the order given."""
    return in_units(name, time_min, "min", *_asked_first(asked, "time", order))


def flow_figures(asked: Asked, name: str, flow_L_h: float, per: str = "h") -> tuple[Figure, ...]:
    """A flow given in L/h, in the unit it was asked in, else `per` hour or day, in gallons or litres as volumes are."""
    order = ("gal", "L") if in_gallons(asked) else ("L", "gal")
    shown = _asked_first(asked, "flow", [f"{each}/{per}" for each in order])
    return in_units(name, flow_L_h, "L/h", *shown)


def in_gallons(asked: Asked) -> bool:
    """Whether the answer's volumes are gallons: the question's own volumes and lengths decide, then the habit."""
    said = [each.unit for each in asked.question.inputs.values() if not isinstance(each, str)]
    gallons, litres = any(_us(unit) for unit in said), any(_metric(unit) for unit in said)
    return gallons if gallons != litres else asked.known.habit == "us"


def n(value: float) -> str:
    """A number inside a step, long enough to be checked by hand."""
    return f"{value:,.5g}" if 1e-3 <= abs(value) < 1e6 or value == 0 else f"{value:.5g}"


def _asked_first(asked: Asked, kind: str, order: Sequence[str]) -> list[str]:
    wanted = word_as_said(asked, "to_unit")
    if wanted is None or not is_unit(wanted) or measures(wanted) != kind:
        return list(order)
    return [wanted, *(each for each in order if each != wanted)]


def _us(unit: str) -> bool:
    return unit in ("in", "ft", "qt") or unit.startswith("gal")


def _metric(unit: str) -> bool:
    return unit in ("cm", "mm", "m", "L", "mL", "m3") or unit.startswith("L/")
