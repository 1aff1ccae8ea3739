"""Points to keep in mind about a tank, in a few words each."""

from __future__ import annotations

from datetime import datetime


def without_opening(remark: str) -> str:
    """A remark without the word that opens it: it will stand in a list."""
    return remark.removeprefix("Watch: ").removeprefix("Next: ")


def since(thing: str, when: datetime) -> str:
    """ "return pump noisy since Fri"."""
    return f"{thing} since {when:%a} {when.day} {when:%b}"


def losses(count: int, days: int) -> str:
    """ "3 lost in 14 days"."""
    return f"{count} lost in {days} days"
