"""What is said where an order is missing, or there."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from bot.items import Quantity
from bot.wording.quantities import number, quantity


def no_order(what: str, place: str | None, started: bool = True) -> str:
    """A treatment without a veterinarian's instruction on file: refused in the first line."""
    where = f" at {place}" if place else ""
    tail = "Not stored as given." if started else "Not started."
    return f"STOP {what}{where}: no veterinarian's instruction on file. {tail} Ask the office to file it."


def filed(order: Mapping[str, Any]) -> str:
    """The quote: "order filed: copper 0.18 mg/L, 21 days until 31 Mar, Dr. Vasko"."""
    target = order.get("target")
    amount = f" {quantity(target['value'], target['unit'])}" if target else ""
    days = f"{number(order['days'])} days until {_day(order['until'])}" if order.get("days") else ""
    bath = f"{number(order['minutes'])} min" if order.get("minutes") else ""
    first = f"order filed: {order['treatment']}{amount}"
    return ", ".join(filter(None, (first, order.get("form"), days, bath, order.get("animals"), order.get("name"))))


def _day(iso: str) -> str:
    when = date.fromisoformat(iso)
    return f"{when.day} {when:%b}"


def lacking(order: Mapping[str, Any]) -> list[str]:
    """What an order should say and this one does not: without it nothing is worked out."""
    missing = [
        *(["its level or amount"] if not order.get("target") else []),
        *(["how long"] if not (order.get("days") or order.get("minutes")) else []),
        *(["the veterinarian's name"] if not order.get("name") else []),
    ]
    return [f"Not in it: {', '.join(missing)}. Ask the veterinarian, then file it again."] if missing else []


def no_treatment(place: str) -> str:
    """An order that names no treatment."""
    return (
        f"{place}: no treatment in it, so nothing is filed. Send all of it: vet order {place}: what, level, days, who."
    )


def harms(what: str, place: str) -> str:
    """It would kill what lives there."""
    return f"STOP {what} kills invertebrates, and some live at {place}. Not filed: quarantine tank, or ask the vet."


def above_ceiling(target: Quantity, says: str) -> str:
    """A level above what is usual: asked about, never changed."""
    return f"Watch: {quantity(target.value, target.unit)} ordered; {says}. Ask the vet again before dosing."


def invertebrates_unknown(place: str) -> str:
    """Nobody has said what lives there."""
    return f"Watch: it kills invertebrates. Are there any at {place}? Send: {place} has (no) invertebrates"


def after_course() -> str:
    """What follows a course."""
    return "Next: carbon, UV and skimmer back 24 h after the last dose; test it out to 0 before anything moves"
