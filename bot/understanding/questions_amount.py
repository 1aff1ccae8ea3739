"""A number of a question with all that it can measure."""

from __future__ import annotations

from dataclasses import dataclass

from bot.items import Quantity
from bot.understanding.units import Unit

SMALL = ("mL", "tsp", "tbsp", "cup", "fl oz", "cL", "dL")


@dataclass(frozen=True, slots=True)
class Amount:
    """Tokens `start` up to `stop`: a number with the `units` its unit word can be; none where it is bare.
    `per`: the unit it is said for ("a day", "per gal"); `dim`: its place in "48 x 24 x 20" (1 to 3);
    `word`: no number but a word that stands for one ("once", "double", "a gallon"); `ratio`: of "1:100"."""

    start: int
    stop: int
    value: float
    others: tuple[float, ...] = ()
    units: tuple[Unit, ...] = ()
    per: str | None = None
    dim: int = 0
    word: bool = False
    ratio: bool = False
    share: bool = False

    @property
    def bare(self) -> bool:
        return not self.units and not self.ratio

    def unit(self, measures: str) -> Unit | None:
        return next((unit for unit in self.units if unit.measures == measures), None)

    def quantity(self, measures: str) -> Quantity | None:
        """The number in the unit as said, if the unit can measure that."""
        unit = self.unit(measures)
        return Quantity(self.value, unit.name) if unit else None


def looks_like_sg(value: float) -> bool:
    """Whether a bare number is a specific gravity as people type it: 1.0xx, a slip such as 1.25, or "1025"."""
    return (0.98 <= value < 1.3 and value != 1 and round(value, 1) != value) or 1000 < value <= 1046
