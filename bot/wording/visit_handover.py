"""What is said when a visit, or a day, changes hands."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from bot.wording.entries import day, name


def asked(who: str, tanks: Sequence[str]) -> str:
    """Asked, and still yours."""
    return f"{', '.join(tanks)}: asked {name(who)}. Yours until {name(who)} takes it."


def request(giver: str, tanks: Sequence[str], on: date, today: date) -> str:
    """To whoever is asked."""
    return f"{name(giver)} asks you to take: {', '.join(tanks)}, {day(on, today)}"


def yours(tanks: Sequence[str], on: date, today: date) -> str:
    """To whoever took it."""
    return f"yours {day(on, today)}: {', '.join(tanks)}"


def has_taken(who: str, tanks: Sequence[str]) -> str:
    """To whoever gave it."""
    return f"{name(who)} has it: {', '.join(tanks)}"


def cannot(who: str, tanks: Sequence[str]) -> str:
    """It stays."""
    return f"{name(who)} cannot take it: {', '.join(tanks)} stays yours."


def not_taken(who: str, tanks: Sequence[str]) -> str:
    """No answer yet."""
    return f"{name(who)} has not taken it: {', '.join(tanks)} is still yours."


def noted(giver: str) -> str:
    """To whoever declined."""
    return f"Noted. It stays with {name(giver)}."
