"""How a warning is worded: its opening word, the place where that matters, one line."""

from __future__ import annotations

import re

from bot.items import Quantity
from bot.rules.warnings import Warning
from bot.rules.words import said_alone
from bot.wording.quantities import number, quantity

_YES = "yes, y, yep, yup, yeah, ok, k, done, unplugged, hands dry, dry, all dry, disinfected, sure"
_NO = "no, n, nope, not yet, not unplugged, still plugged in, on"
_OPTIONS = {
    "G8": (("Yes", "yes"), ("Not yet", "no")),
    "G10": (("Not used", "yes"), ("Used", "no")),
}


def line(warning: Warning, place: str | None, volume: Quantity | None, text: str) -> str:
    """The line: "STOP Oak lobby: ...", "HOLD Oak lobby: ...", "Watch: ..."."""
    says = warning.says.format(volume=_volume(volume), per_day=_per_day(text))
    where = f" {place}" if place and warning.form != "Watch" else ""
    return f"{warning.form}{where}: {says}"


def options(gate: str) -> tuple[tuple[str, str], ...]:
    """The answers to a HOLD of a warning."""
    return _OPTIONS[gate]


def yes_or_no(text: str) -> str | None:
    """What the words answer; None where they answer nothing."""
    return "yes" if said_alone(text, _YES) else "no" if said_alone(text, _NO) else None


def answered(gate: str, value: str, place: str, clock: str, who: str) -> str:
    """What is said to the answer."""
    where = f"{place} " if place else ""
    if gate == "G10":
        kept = "kept apart" if value == "yes" else "used: bleach course now (G1), for it and what it touched"
        return f"{'CHECKED' if value == 'yes' else 'HOLD'} {where}{clock}: quarantine tool {kept} ({who})"
    if value == "yes":
        return f"CHECKED {where}{clock}: unplugged, hands dry ({who})"
    first = "unplug first, dry hands, drip loop. Wet plug or floor: breaker from a dry place."
    return f"HOLD {place or clock}: {first}"


def _volume(volume: Quantity | None) -> str:
    return f"the {quantity(volume.value, volume.unit, 0)} on file" if volume else "what the tank holds"


def _per_day(text: str) -> str:
    """What a rate a minute comes to in a day."""
    found = _RATE.search(text.casefold())
    if not found:
        return "A mL a minute is 1.44 L a day."
    litres = float(found[1].replace(",", ".")) * _MINUTES_A_DAY / 1000
    return f"{found[1]} mL a minute is {number(litres, 1)} L a day."


_MINUTES_A_DAY = 1440
_RATE = re.compile(r"(\d+(?:[.,]\d+)?) *mls? *(?:/|per|a)? *min")
