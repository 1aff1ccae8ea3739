"""Treatments as courses on a veterinarian's order: what the level says, how far the course is, what a change takes out.

Only arithmetic on what the order states; no level, amount or length is ever proposed here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from bot.facts.load import table
from bot.items import Quantity
from bot.rules.medicines import in_force
from bot.rules.medicines import named as medicine_named
from bot.science.inputs import converted


def above_ceiling(named: str | None, target: Quantity | None) -> tuple[Quantity, str] | None:
    """The target of an order that is above what is usual for it, and what is usual; None where it is not."""
    row = table("treatments").get(named or "", {}).get("ceiling")
    if row is None or target is None or converted(target.value, target.unit, row["unit"]) <= row["value"]:
        return None
    return target, row["says"]


@dataclass(frozen=True)
class Level:
    """A tested level of the treatment, mg/L, and when."""

    at: datetime
    mg_L: float


@dataclass(frozen=True)
class Course:
    """How far a course is. `day` is None while its clock stands: the level has not been reached, or has fallen."""

    day: int | None
    days: float | None
    target_mg_L: float | None


def test_of(named: str | None) -> str | None:
    """The parameter that shows a medication's level in the water; None where none does."""
    found = table("treatments").get(named or "", {})
    return str(found["test"]) if isinstance(found, dict) and "test" in found else None


def running(orders: Iterable[Mapping[str, Any]], today: date, named: str | None = None) -> Mapping[str, Any] | None:
    """The order in force that is not ended, of this medication where one is named; the newest."""
    fitting = [o for o in orders if in_force(o, today) and not o.get("ended")]
    own = [o for o in fitting if named is None or medicine_named(str(o.get("treatment", ""))) == named]
    return own[-1] if own else None


def target_of(order: Mapping[str, Any]) -> float | None:
    """The level that an order states, mg/L."""
    return _mg_L(order.get("target"))


def course(
    order: Mapping[str, Any], levels: Sequence[Level], doses: Sequence[datetime], newcomers: Sequence[datetime],
    now: datetime,
) -> Course:  # fmt: skip
    """Where the course stands: its clock starts when the level is reached (without a test, with the first dose), and
    again after it fell or somebody new came in.

    levels, doses, newcomers   since the order, oldest first
    """
    target, days = target_of(order), order.get("days")
    start = _reached(levels, target) if test_of(medicine_named(str(order.get("treatment", "")))) else _first(doses)
    if start is None:
        return Course(None, days, target)
    start = max([start, *(at for at in newcomers if at > start)])
    return Course((now - start).days + 1, days, target)


def _reached(levels: Sequence[Level], target: float | None) -> datetime | None:
    """Since when the level has stood at the target without a break."""
    start: datetime | None = None
    for level in levels:
        at_level = target is not None and level.mg_L >= target * _share("reached")
        start = (start or level.at) if at_level else None
    return start


def _first(doses: Sequence[datetime]) -> datetime | None:
    return doses[0] if doses else None


def given_mg(amount: float, unit: str, order: Mapping[str, Any]) -> float | None:
    """Active substance in a dose, mg, by the strength that the order states; None where it states none."""
    strength = order.get("strength")
    if strength and unit in _POURED:
        return float(converted(amount, unit, "mL") * strength["value"])
    return None


_POURED = ("mL", "L", "fl oz", "tsp", "tbsp")


def is_over(level_mg_L: float, target: float | None) -> bool:
    """Whether a level is clearly above what is ordered."""
    return target is not None and level_mg_L > target * _share("over")


def is_missing(measured_mg_L: float, expected_mg_L: float) -> bool:
    """Whether the test shows clearly less than what was given should make."""
    return measured_mg_L < expected_mg_L * _share("odd")


def _share(name: str) -> float:
    return float(table("treatments")["level"][name]["value"]) / 100


def _mg_L(quantity: Mapping[str, Any] | None) -> float | None:
    if not quantity:
        return None
    return (
        float(converted(quantity["value"], quantity["unit"], "mg/L"))
        if quantity["unit"] != "mg/L"
        else quantity["value"]
    )
