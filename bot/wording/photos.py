"""What is said of photos."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from bot.wording.entries import name

WHICH = "Which tank is the photo of? Send its name; the photo is kept."


def filed(number: int, thing: str | None) -> str:
    """The quote: "photo 17", "photo 17 with net + arch"."""
    return f"photo {number}" + (f" with {thing}" if thing else "")


def none(tank: str) -> str:
    """There is none."""
    return f"{tank}: no photo on record." if tank else "No such photo on record."


def no_pair(tank: str) -> str:
    """Two are needed."""
    return f"{tank}: two photos are needed for a pair. Send one before and one after."


def shot(number: int, tank: str, at: datetime, who: str) -> str:
    """One photo: "photo 17, Oak lobby, Tue 3 Mar 10:43, Ines"."""
    return f"photo {number}, {tank}, {taken(at)} {at:%H:%M}, {name(who)}"


def taken(at: datetime) -> str:
    """The day in short."""
    return f"{at:%a} {at.day} {at:%b %Y}"


def listed(lines: Sequence[str], count: int) -> str:
    """The photos that come along, and how many more there are."""
    more = [f"and {count - len(lines)} earlier; name the day for them"] if count > len(lines) else []
    return "\n".join([*lines, *more])


def pair(tank: str, before: datetime, after: datetime) -> str:
    """The text that says the same as the pair."""
    if before.date() == after.date():
        return f"{tank}, {taken(after)}: left {before:%H:%M}, right {after:%H:%M}"
    return f"{tank}: left {taken(before)}, right {taken(after)}"
