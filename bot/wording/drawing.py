"""What is said when water is drawn for a tank: from which batch, and why not yet."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from bot.rules.batches import NewWater
from bot.wording import batches
from bot.wording.entries import day

HELD = (("Not yet", "not"), ("Already done", "did"))
MATCH = (("All within", "within"), ("Off", "off"))
OTHER = ("Other water", "other")


def drawn(water: NewWater, us: bool, unmatched: bool = False) -> str:
    """The source of a change, beside its quote: "Vat A batch 3, 95 gal left"."""
    return f"{name(water)}, {batches.water(water.left_L, us)} left{', not matched' if unmatched else ''}"


def not_on_record(vat: str) -> str:
    """Water of which nobody told where it came from."""
    return f"{vat}, no batch on record"


def name(water: NewWater) -> str:
    """ "Vat A batch 3"."""
    return f"{water.vat} batch {water.number}" if water.vat else f"batch {water.number}"


def which(found: Sequence[str]) -> str:
    """Several batches could be meant, or none that has enough."""
    return f"From which water? {' · '.join(found)}"


def which_tank(vat: str) -> str:
    """Water was drawn for no tank that is known."""
    return f'From {vat} for which tank? Not stored: send it with the tank\'s name, such as "oak 20% wc from {vat}".'


def wrong(water: NewWater, tank: str) -> str:
    """Fresh and salt never into each other."""
    return f"STOP {name(water)} is {batches.kind(water.subject)}: not for {tank}. Not stored."


def wrong_top_off(water: NewWater, tank: str) -> str:
    """What evaporates leaves its salt behind: it is replaced by fresh water."""
    kind = batches.kind(water.subject)
    return f"STOP {name(water)} is {kind}: topping off {tank} takes fresh water, or its salt climbs. Not stored."


def resting(water: NewWater, until: str) -> str:
    """It still rests."""
    return f"HOLD {name(water)}: rests until {until}, not tested. Not stored."


def untested(water: NewWater, left: str) -> str:
    """Its rest is over, its test is not answered."""
    return f"HOLD {name(water)}: not tested after its rest. {left or 'Its check is open.'} Not stored."


def chlorine(water: NewWater, shows: bool) -> str:
    """Tap water without its strip, or with colour on it."""
    why = (
        "its strip shows chlorine: dechlorinate, wait, strip again" if shows else "tap water, total chlorine not tested"
    )
    return f"HOLD {name(water)}: {why}. Nobody can override this. Not stored."


def empty(water: NewWater, wanted_L: float, us: bool) -> str:
    """Less left than was asked for."""
    return (
        f"HOLD {name(water)}: {batches.water(water.left_L, us)} left, {batches.water(wanted_L, us)} asked. Not stored."
    )


def old(water: NewWater, made: date, today: date) -> str:
    """Past its use-by, and not tested again."""
    return f"HOLD {name(water)}: made {day(made, today)}, past its use-by: SG and temperature again first. Not stored."


def apart(water: NewWater, gaps: str, first: str) -> str:
    """Too far from the tank."""
    return f"HOLD {name(water)}: {gaps}. Not stored.\nNext: {first}"


def unknown(water: NewWater, left: str, limits: str) -> str:
    """Not measured lately: answered by whoever holds the thermometer."""
    return f"HOLD {name(water)}: no recent reading ({left}). Within {limits} of the tank?"


def off(water: NewWater) -> str:
    """Answered: it does not match."""
    return f'HOLD {name(water)}: off. Correct it and test again, or "override: why". Not stored.'


def overridden(tank: str | None, at: str, who: str, why: str) -> str:
    """Somebody went on past it, with a reason."""
    return f"OVERRIDDEN {f'{tank} ' if tank else ''}{at}, {who}: {why}"


def reason_of(why: str) -> str:
    """What held it, without its opening and its end."""
    what = why.split(": ", 1)[-1]
    return next((what.split(end)[0] for end in (". Not stored", ". Within") if end in what), what).split(". Correct")[0]


def nobody(why: str) -> str:
    """The hard part: no reason opens it."""
    return f"{why.split(' Nobody')[0]} Nobody can override this: it stays out."


def chlorine_in() -> str:
    """It is in the tank already."""
    return "STOP: total chlorine of the tank now; dechlorinate for its whole volume, air it"
