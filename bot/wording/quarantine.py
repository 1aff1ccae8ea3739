"""A quarantine on its card, and a daily look that nobody took."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from bot.wording.entries import clock, name
from bot.wording.quantities import number

By = tuple[str, datetime]


@dataclass(frozen=True)
class Kept:
    """How a quarantine stands: `day` of `days`, who looked and fed last today, the order in force and its last dose."""

    tank: str
    what: str
    day: int
    days: int
    looked: By | None = None
    fed: By | None = None
    order: Mapping[str, Any] | None = None
    dosed: By | None = None
    unlooked: int = 0


def card(found: Kept, today: date, by: str) -> str:
    """ "Day 9 of 30: 2 clowns · copper 0.18 mg/L by order, dosed 08:10 Ines · fed 08:12 Ines · next look tomorrow"."""
    said = [f"Day {found.day} of {found.days}: {found.what}"]
    if found.order:
        said.append(_order(found.order) + (f", dosed {_when(found.dosed, today)}" if found.dosed else ", no dose yet"))
    said.append(f"fed {_when(found.fed, today)}" if found.fed else "not fed today")
    said.append("next look tomorrow" if found.looked else f"no look yet today (by {by})")
    return " · ".join(said)


def missed(found: Sequence[Kept]) -> str:
    """ "No look today: QT-1 (day 9 of 30), QT-2 (day 3 of 30, 2nd day)"."""
    said = [f"{k.tank} (day {k.day} of {k.days}{_again(k.unlooked)})" for k in found]
    return f"No look at quarantine today: {', '.join(said)}"


def ask_for_look(found: Sequence[Kept]) -> str:
    """To whoever's it is."""
    return f"{missed(found)}\nNext: look, count, feed; send what you see"


def _again(days: int) -> str:
    return f", {days} days without" if days > 1 else ""


def _order(order: Mapping[str, Any]) -> str:
    target = order.get("target")
    level = f" {number(float(target['value']))} {target['unit']}" if target else ""
    return f"{order.get('treatment') or 'treatment'}{level} by order"


def _when(by: By, today: date) -> str:
    who, at = by
    return f"{clock(at, today)} {name(who)}"
