"""What a tank's values should be: its own ranges, else those of its kind; when to act; how fast it may move."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from bot.facts.load import table
from bot.rules.scales import on_scale, scale
from bot.team import Limits, Tank


@dataclass(frozen=True)
class Pace:
    """Most that a value may move, on the parameter's scale: `planned` and `ceiling`, in a day or in an hour."""

    planned: float
    ceiling: float
    per: str
    own: bool = False


def range_for(tank: Tank, parameter: str) -> Limits | None:
    """The range a value should keep, on the parameter's scale: the tank's own, else its kind's; None without either."""
    own = own_range(tank, parameter)
    if own is not None:
        return own
    usual = _usual(tank, parameter)
    return Limits(usual.get("low"), usual.get("high"), scale(parameter)) if _bounds(usual, "low", "high") else None


def own_range(tank: Tank, parameter: str) -> Limits | None:
    """The range that the team gave this very tank, on the parameter's scale."""
    own = tank.ranges.get(parameter)
    if own is None or (own.low is None and own.high is None):
        return None
    low, high = (_on_scale(parameter, end, own.unit) for end in (own.low, own.high))
    return Limits(low, high, scale(parameter), own.most_per_day)


def alarm_for(tank: Tank, parameter: str) -> Limits | None:
    """The limits beyond which something must be done, never inside the tank's own range; None where there are none."""
    usual, own = _usual(tank, parameter), own_range(tank, parameter)
    if not _bounds(usual, "alarm_low", "alarm_high"):
        return None
    low, high = usual.get("alarm_low"), usual.get("alarm_high")
    if own is not None:
        low = min(low, own.low) if low is not None and own.low is not None else low
        high = max(high, own.high) if high is not None and own.high is not None else high
    return Limits(low, high, scale(parameter))


def pace_for(tank: Tank, parameter: str, rising: bool) -> Pace | None:
    """How fast a value may move: the tank's own most a day, else the customary one; None where nobody minds."""
    own = tank.ranges.get(parameter)
    if own is not None and own.most_per_day is not None:
        most = _step(parameter, own.most_per_day, own)
        return Pace(most, most, "day", own=True)
    limit = _customary(tank, parameter, "up" if rising else "down")
    return Pace(limit["planned"], limit["ceiling"], limit.get("per", "day")) if limit else None


def error_of(parameter: str, value: float) -> float:
    """The usual error of one reading near `value`, on the parameter's scale; 0 where none is known."""
    row = table("accuracy").get(parameter, {})
    fixed = row["fixed"]["value"] if "fixed" in row else 0.0
    share = row["of_value"]["value"] / 100 if "of_value" in row else 0.0
    return float(fixed + share * abs(value))


def is_fresh(tank: Tank) -> bool:
    """Whether its kind is one of fresh water."""
    return tank.kind in table("waters")["fresh"]["kinds"]


def _usual(tank: Tank, parameter: str) -> dict[str, Any]:
    ranges = table("ranges")
    sensitive: dict[str, Any] = ranges["with_invertebrates"] if tank.invertebrates else {}
    found: dict[str, Any] = {**ranges["any"], **sensitive, **ranges.get(tank.kind or "", {})}.get(parameter, {})
    return found


def _bounds(row: dict[str, Any], *names: str) -> bool:
    return any(name in row for name in names)


def _on_scale(parameter: str, value: float | None, unit: str) -> float | None:
    return None if value is None else on_scale(parameter, value, unit)


def _step(parameter: str, size: float, own: Limits) -> float:
    """A difference on the parameter's scale, taken where the tank's range lies ("0.001 SG a day")."""
    base = own.low if own.low is not None else own.high or 0.0
    low, high = on_scale(parameter, base, own.unit), on_scale(parameter, base + size, own.unit)
    return abs(high - low) if low is not None and high is not None else size


def _customary(tank: Tank, parameter: str, way: str) -> dict[str, Any]:
    limit: dict[str, Any] = table("limits").get(parameter, {}).get(way, {})
    only_fish = tank.invertebrates is False and tank.kind == "marine fish-only"
    special = limit.get("without_invertebrates", {}) if only_fish else {}
    return {**limit, **special, **limit.get("kind", {}).get(tank.kind, {})}
