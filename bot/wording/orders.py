"""What is said where an order is missing, or there."""

from __future__ import annotations


def no_order(what: str, place: str | None, started: bool = True) -> str:
    """A treatment without a veterinarian's instruction on file: refused in the first line."""
    where = f" at {place}" if place else ""
    tail = "Not stored as given." if started else "Not started."
    return f"STOP {what}{where}: no veterinarian's instruction on file. {tail} Ask the office to file it."


def over_order(what: str, place: str, ordered: str, given: str) -> str:
    """More than the order says."""
    return f"STOP {what} at {place}: the order says {ordered}, this is {given}. Not stored as given."
