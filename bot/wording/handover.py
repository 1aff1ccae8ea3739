"""What is said when work changes hands."""

from __future__ import annotations

from collections.abc import Sequence

from bot.wording.waits import Shown


def whom(shown: Sequence[Shown]) -> str:
    """Who is to be asked."""
    return f"{_all(shown)}: hand over to whom?"


def asked(shown: Sequence[Shown], name: str) -> str:
    """Asked, and still yours."""
    return f"{_all(shown)}: asked {name}. Yours until {name} takes it."


def request(shown: Sequence[Shown], giver: str) -> str:
    """To whoever is asked."""
    times = ", ".join(f"{s.kind.end} {s.due:%H:%M}" for s in shown[:3])
    return f"{giver} asks you to take: {_all(shown)} ({times})"


def yours(shown: Sequence[Shown]) -> str:
    """To whoever took it."""
    return f"Yours: {_all(shown)}, {shown[0].kind.end} {shown[0].due:%H:%M}"


def has_taken(shown: Sequence[Shown], name: str) -> str:
    """To whoever gave it."""
    return f"{name} has it: {_all(shown)}"


def cannot(shown: Sequence[Shown], name: str) -> str:
    """To whoever asked: it stays."""
    return f"{name} cannot take it: {_all(shown)} stays yours."


def not_taken(shown: Sequence[Shown], name: str) -> str:
    """To whoever asked: no answer."""
    return f"{name} has not taken it: {_all(shown)} is still yours."


def not_on_team(name: str) -> str:
    """Nobody of that name can take it."""
    return f'Nobody else on the team is called "{name}". Nothing was handed over: say who.'


def _all(shown: Sequence[Shown]) -> str:
    return " · ".join(s.full for s in shown)
