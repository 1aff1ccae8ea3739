"""Who is told when a wait that can hurt stays unanswered, and when again."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from bot.facts.load import table
from bot.rules.waits import after

HOLDER, NEXT, OWNER = "holder", "next", "owner"


def moment(pinged_at: datetime, rung: int, ladder: str = "ladder") -> datetime:
    """When rung `rung` (0 is the first repeat) falls due."""
    steps = table("pings")[ladder]
    if rung < len(steps):
        return after(pinged_at, steps[rung]["after"])
    beyond = rung - len(steps) + 1
    return after(pinged_at, steps[-1]["after"] + beyond * table("pings")["every"]["value"])


def audience(rung: int, ladder: str = "ladder") -> tuple[str, ...]:
    """Whom rung `rung` goes to: one of them, or all once everybody has been asked."""
    single = rungs(ladder)
    return (single[rung],) if rung < len(single) else (HOLDER, NEXT, OWNER)


def climbed(pinged_at: datetime, rung: int, now: datetime, ladder: str = "ladder") -> tuple[int, tuple[str, ...]]:
    """How far the ladder has been climbed by now, and everybody who is to be told of it at once."""
    told: list[str] = []
    while moment(pinged_at, rung, ladder) <= now:
        told += audience(rung, ladder)
        rung += 1
    return rung, tuple(dict.fromkeys(told))


def rungs(ladder: str = "ladder") -> tuple[str, ...]:
    """Whom the single rungs go to, before all of them are asked."""
    return tuple(step["to"] for step in table("pings")[ladder])


def next_person(holder: str, on_site: Iterable[str], backup: str | None, others: Iterable[str]) -> str | None:
    """Who comes after the holder: somebody at that site, else the backup, else the next of the others."""
    candidates = [*on_site, *([backup] if backup else []), *others]
    return next((name for name in candidates if name != holder), None)
