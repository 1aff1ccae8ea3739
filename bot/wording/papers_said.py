"""What is said beside paper, and the words of a sign."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from bot.facts.load import table
from bot.wording.entries import name

NO_SIGN = "Nothing runs here that needs a sign. In your own words: sign do not feed before Monday"
BLEACH = "Six bleach labels. Copy the hazard words and symbols from the product's own label, as local rules ask."
_WHAT = {"card": ("tank card", "tank cards"), "sheet": ("visit sheet", "visit sheets")}


def pages(kind: str, names: Sequence[str], size: str) -> str:
    """ "Oak lobby: tank card, a6", "17 tank cards, a6"."""
    one, many = _WHAT[kind]
    return f"{names[0]}: {one}, {size}." if len(names) == 1 else f"{len(names)} {many}, {size}."


def sign_of(words: str, running: Sequence[tuple[str, str, str]]) -> tuple[str, str]:
    """The order in capitals and the sentence below it: one's own words, else of what runs (kind, thing, until when)."""
    if words:
        return words.upper(), ""
    kind, thing, until = running[0]
    rows = table("papers")["sign"]
    order, _, said = rows.get(kind, rows["other"]).partition("|")
    return order, said.format(until=f" until {until}" if until else " until we are back", what=thing)


def signed(who: str, phone: str, at: datetime) -> str:
    """Who put it there, whom to call."""
    return f"{name(who)}{f', {phone}' if phone else ''}, {at:%a} {at.day} {at:%B}"
