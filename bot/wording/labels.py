"""What is said about labels and paper."""

from __future__ import annotations

from collections.abc import Sequence


def one(tank: str, code: str) -> str:
    """A label for one tank: "label Q7"."""
    return f"label {code}: scan it, or type: here {code}"


def reissued(code: str) -> str:
    """A lost label has a new one; the old one opens nothing any more."""
    return f"label {code} reissued; the lost one opens nothing any more"


def many(count: int, what: str, pages: int, size: str) -> str:
    """A sheet: "17 labels, 3 pages letter"."""
    return f"{count} {what}{'s' * (count != 1)}, {pages} page{'s' * (pages != 1)} {size}. Print at full size."


def gone(code: str | None = None) -> str:
    """A token that stands for nothing."""
    return "That label is no longer in use. Type: here and the tank's name; the office prints a new one."


def vat(name: str, holds: str | None, size: str) -> str:
    """A vat's label was scanned."""
    told = ", ".join(filter(None, (f"{holds} water" if holds else "", size)))
    return f"{name}{': ' + told if told else ''}. Say what you did: mixed 40 gal, tested, emptied."


def may_not(roles: Sequence[str]) -> str:
    """Who prints for the whole team."""
    return f"Sheets for all tanks are for {' or '.join(roles)}. For one tank: label and its name."


def desk(client: str) -> str:
    """One of the team scanned the label of a front desk."""
    return f"The front desk of {client} scans this to tell the office what it sees."
