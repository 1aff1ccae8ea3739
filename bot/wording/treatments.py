"""What is said of a treatment under way: level, day of the course, what a change took out; no amount of our own."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from math import inf
from typing import Any

from bot.rules.treatments import Course
from bot.wording.quantities import full_name, number


def course(treatment: str, found: Course, level: float) -> str:
    """ "copper course day 3 of 21 (ordered 0.18 mg/L)", or why its clock stands."""
    ordered = f" (ordered {_mg(found.target_mg_L)})" if found.target_mg_L is not None else ""
    if found.day is None:
        return f"{treatment} course: {_mg(level)} is under the level{ordered}; its clock stands until it is reached"
    of = f" of {number(found.days)}" if found.days else ""
    return f"{treatment} course day {found.day}{of}{ordered}"


def over(place: str, treatment: str, level: float, target: float) -> str:
    """More in the water than ordered."""
    return (
        f"STOP {place}: {treatment} {_mg(level)}, ordered {_mg(target)}. No more; test again, ask the vet, water ready."
    )


def missing(level: float, expected: float) -> str:
    """Less in the water than what was given should make."""
    return f"Watch: {_mg(level)}, the doses should give {_mg(expected)}: carbon, UV or skimmer in? Test again first"


def too_much(place: str, treatment: str, expected: float, target: float) -> str:
    """A dose beyond the order."""
    said = f"with this {treatment} is about {_mg(expected)}, ordered {_mg(target)}"
    return f"STOP {place}: {said}. No more; test, ask the vet."


def untested(parameter: str) -> str:
    """A further dose without a test of today."""
    return f"Watch: {full_name(parameter)} not tested today; test before any dose, doses stack"


def by_order(order: Mapping[str, Any]) -> str:
    """Whose instruction it is."""
    by = order.get("name") or "the veterinarian"
    return f"By the order of {by}, filed {_day(order)} by {order.get('filed_by') or '?'}"


def thinned(order: Mapping[str, Any], share: float, level: float, active_mg: float) -> str:
    """What a change took out."""
    strength = order.get("strength")
    amount = f", {number(active_mg / strength['value'], 1)} mL of {number(strength['value'])} mg/mL" if strength else ""
    what = order.get("treatment")
    out = f"{number(share * 100, 0)} % of the {what} is out ({_mg(level)}{amount} to the ordered level)"
    return f"Next: {out}; test, then by the order"


def _day(order: Mapping[str, Any]) -> str:
    if not order.get("date"):
        return "before"
    when = date.fromisoformat(str(order["date"])[:10])
    return f"{when.day} {when:%b}"


def _mg(value: float | None) -> str:
    if value == inf:
        return "off the chart"
    return f"{number(value or 0.0, 3 if (value or 0) < 1 else 1)} mg/L"
