"""The cards of a day: morning and evening everyone gets what there is to say to them, and no more."""

from __future__ import annotations

from collections.abc import Sequence

from bot.assistant import budget, calendar, morning, owner
from bot.assistant.calendar import Calendar
from bot.assistant.turn import Part, Turn


def parts(turn: Turn, moments: Sequence[str]) -> list[Part]:
    """What everyone gets at these moments, silently, and under it what had to wait for a card."""
    plan = calendar.now(turn)
    found = [p for name in moments for p in _SAYS[name](turn, plan)]
    return budget.with_held(turn, found)


def _evening(turn: Turn, plan: Calendar) -> list[Part]:
    """How the day closed, for the owner; nothing where all went as planned."""
    return [Part(others=(message,)) for message in owner.evening(turn, plan)]


_SAYS = {"morning": morning.cards, "evening": _evening}
