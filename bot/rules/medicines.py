"""Which substances are medication, and whether an order on file covers one. No amount is ever proposed here."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from bot.facts.load import table
from bot.rules.words import alike, covered, says

GENERAL = "medicine"


def named(text: str) -> str | None:
    """The medication that the words name; "medicine" where they name none in particular; None for no medication."""
    words = table("medicines")["words"]
    found = [(covered(text, phrases), name != GENERAL, name) for name, phrases in words.items() if says(text, phrases)]
    return max(found, key=lambda f: (f[1], f[0]))[2] if found else None


def harms_invertebrates(name: str | None) -> bool:
    """Whether it kills invertebrates at what is usually ordered."""
    return bool(name) and name in table("medicines")["harms"]["invertebrates"].split(", ")


def in_force(order: Mapping[str, Any], today: date) -> bool:
    """Whether an order holds on that day."""
    begins, ends = order.get("date"), order.get("until")
    return (not begins or str(begins)[:10] <= today.isoformat()) and (not ends or today.isoformat() <= str(ends)[:10])


def covers(order: Mapping[str, Any], text: str, today: date) -> bool:
    """Whether an order in force is about what the words name; words that name no medication in particular fit any."""
    asked, ordered = named(text), named(f"{order.get('treatment', '')} {order.get('form', '')}")
    if not in_force(order, today):
        return False
    if asked in (None, GENERAL):
        return True
    return asked == ordered or alike(str(order.get("treatment", "")), text)
