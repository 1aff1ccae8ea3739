"""What is said where something is kept back."""

from __future__ import annotations

import re
from collections.abc import Sequence

from bot.rules.words import said_alone
from bot.wording.waits import Shown, lasting

OPTIONS = (("Not yet", "not"), ("Already done", "did"))
CLASH = {
    "bleach": "acid is open here. Bleach to acid is toxic gas: dump and rinse the acid first. Bleach soak not started.",
    "acid": "bleach is open here. Acid to bleach is toxic gas: keep it out of the room. Not stored, not started.",
    "ammonia_cleaner": "bleach is open here. Ammonia to bleach is toxic gas: keep it out of the room. Not stored.",
    "other_cleaner": "bleach is open here. No other cleaner near it: finish the bleach first. Not stored.",
    "both": "bleach with acid or ammonia is toxic gas: apart, one dumped and rinsed first. Not stored, not started.",
}
_NOT = "not yet, not poured, no, n, nope, not done, not moved, not in"
_DID = "already done, already in, done already, yes, y, yep, poured, moved, it is in, theyre in, they are in, already"


def clash(what: str, place: str | None) -> str:
    """Bleach beside something else: refused in the first line."""
    return f"STOP{f' {place}' if place else ''}: {CLASH[what]}"


def sheet_named(text: str) -> str:
    """Whose word it is."""
    return "the label" if "label" in text.casefold() else "the supplier's sheet"


def animals_named(text: str) -> str | None:
    """What it is for: the words behind "for"; None where it is for everything."""
    found = re.search(r"\bfor (?:the |our )?([a-z ]+?)\W*$", text.casefold())
    return found[1] if found else None


def instruction_kept(place: str, wait: str, minutes: float, subject: str | None, by: str) -> str:
    """A supplier's or label's own time is kept."""
    what = f" for {subject}" if subject else ""
    return f"{place}: {wait}{what} {minutes:g} min, {by} says so. Taken from now on instead of the usual."


def no_order_told(who: str, place: str | None, what: str) -> str:
    """To the owner: a medication was reported without an order."""
    return f"STOP {place or 'a tank'}: {who} reports '{what}' without a veterinarian's instruction on file."


def kills_invertebrates(what: str, place: str | None) -> str:
    """A medication that kills what lives in this tank."""
    where = f" {place}" if place else ""
    return f"STOP{where}: {what} kills the invertebrates here, and no order is on file. Quarantine tank, by order only."


def not_rested(shown: Shown, ready: str, untested: bool) -> str:
    """Water that may not go in yet."""
    why = "rested, but the batch is not tested" if untested else f"rests until {ready}, not tested"
    return f"HOLD {shown.place}: {why} (SG, temperature, pH, chlorine). Not stored."


def in_quarantine(shown: Shown, days: int, until: str) -> str:
    """Animals that may not leave yet."""
    far = f"{days} of {lasting(shown.minutes)}, until {until}"
    return f"HOLD {shown.full}: {far}, and its release questions. Not stored as moved."


def not_matched(shown: Shown) -> str:
    """Animals that may not leave the bag yet."""
    return f"HOLD {shown.full}: match not answered (1 °C, 1 ppt, pH 0.3; ammonia, nitrite 0). Not stored as released."


def happened(text: str) -> str | None:
    """What the words answer: not yet, or already done."""
    return "not" if said_alone(text, _NOT) else "did" if said_alone(text, _DID) else None


def done_all_the_same(who: str, gate: str, place: str | None, what: str) -> str:
    """To the owner: it was done past a gate."""
    return f"STOP {place or 'a tank'}: {who} did it before the check ({gate}): {what}"


def owner_told(owners: Sequence[str]) -> str:
    """Who has been told."""
    return f"Kept as done without its check; {' and '.join(owners) or 'nobody'} told."
