"""What is said of messages that came late, or together."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from bot.items import Wait
from bot.rules.words import said_alone

_JUST_NOW = "just now, now, right now, this minute, just"


def came_late(now: datetime) -> str:
    """Kept at the time at which it was written."""
    return f"Came late, at {now:%H:%M}; kept at its own time."


def question(
    together: int, since: datetime | None, waiting: Sequence[Wait]
) -> tuple[str, tuple[tuple[str, str], ...]]:  # fmt: skip
    """The one question: when they were written."""
    span = ((f"Since {since:%H:%M}", "since"),) if since else ()
    tail = f" {not_running(waiting)}" if waiting else ""
    return f"{together} came through together. When?{tail} Or send the time.", (("Just now", "now"), *span)


def not_running(waiting: Sequence[Wait]) -> str:
    """What is not running before the answer."""
    names = " · ".join(i.subject or i.wait.replace("_", " ") for i in waiting)
    return f"Not running yet: {names}."


def still_not_running(waiting: Sequence[Wait]) -> str:
    """The same of a wait that came while the question stands."""
    return f"{not_running(waiting)} Send: just now, or the time."


def is_just_now(text: str) -> bool:
    """Whether the words mean this very moment."""
    return said_alone(text, _JUST_NOW)
