"""How fast a tank may be moved: the fastest safe change of its kind, and the days that a correction takes."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import Any

from bot.facts.load import table
from bot.science.inputs import Asked, in_unit, words

_WITHOUT_INVERTEBRATES = "marine fish-only"


@dataclass(frozen=True)
class Pace:
    """Most that is planned for a day, in `unit`, with where it comes from in words."""

    per_day: float
    unit: str
    said: str


def pace(asked: Asked, parameter: str, rising: bool, unit: str) -> Pace:
    """The tank's own limit where the team set one, else the customary one of facts/limits.toml."""
    own = asked.known.most_per_day.get(parameter)
    if own is not None:
        return Pace(in_unit(own, unit), unit, f"no more than {words(own)} a day, this tank's own limit")
    limit = _customary(asked, parameter, "up" if rising else "down")
    planned = float(limit["planned"])
    return Pace(planned, unit, f"no more than {planned:g} {limit['unit']} a day, the customary pace{_why(limit)}")


def days_needed(asked: Asked, parameter: str, change: float, unit: str) -> int:
    """Days over which a change (in `unit`, below 0 where it falls) is spread; the pace is named in `assumed`."""
    allowed = pace(asked, parameter, change > 0, unit)
    days = steps_needed(abs(change), allowed.per_day)
    if days > 1:
        asked.assume(allowed.said)
    return days


def warn_if_hasty(asked: Asked, parameter: str, change: float, days: float, unit: str) -> None:
    """Warns where a change over so many days is faster than the tank's pace; the asker's days stand."""
    allowed = pace(asked, parameter, change > 0, unit)
    if abs(change) / days > allowed.per_day * (1 + 1e-9):
        slower = steps_needed(abs(change), allowed.per_day)
        asked.warn(f"{abs(change) / days:.3g} {unit} a day is too fast: {allowed.said}, so take {slower} days.")


def steps_needed(whole: float, step: float) -> int:
    """The number of equal steps, none larger than `step`, that make up the whole; at least 1."""
    return max(1, ceil(whole / step - 1e-9))


def _customary(asked: Asked, parameter: str, way: str) -> dict[str, Any]:
    limit: dict[str, Any] = table("limits")[parameter][way]
    kind = asked.known.tank_kind
    special = limit.get("without_invertebrates", {}) if _only_fish(asked) else {}
    return {**limit, **special, **limit.get("kind", {}).get(kind, {})}


def _only_fish(asked: Asked) -> bool:
    return asked.known.invertebrates is False and asked.known.tank_kind == _WITHOUT_INVERTEBRATES


def _why(limit: dict[str, Any]) -> str:
    return f" ({limit['remark']})" if "remark" in limit else ""
