"""What is said of new water: made, standing, too little, gone where."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from bot.facts.load import table
from bot.items import Batch
from bot.rules.batches import Draw, NewWater
from bot.wording.entries import clock, day
from bot.wording.quantities import number, quantity

Options = tuple[tuple[str, str], ...]
_L_PER_GAL, _G_PER_LB = 3.785411784, 453.59237
_SOURCES = {"ro": "RO", "tap": "tap", "sea": "sea"}


def water(litres: float, us: bool) -> str:
    """An amount of water in the reader's unit: "40 gal", "7.5 L"."""
    value = litres / _L_PER_GAL if us else litres
    return f"{number(value, 0 if value >= 20 else 1)} {'gal' if us else 'L'}"


def mass(grams: float, us: bool) -> str:
    """A mass of salt: "12.4 lb", "5.6 kg", "250 g"."""
    if us:
        return f"{number(grams / _G_PER_LB, 1)} lb"
    return f"{number(grams / 1000, 1)} kg" if grams >= 1000 else f"{number(grams, 0)} g"


def kind(subject: str) -> str:
    """ "salt water", "fresh water", "natural sea water"."""
    name = str(table("batches")[subject]["name"])
    return name if name.endswith("water") else f"{name} water"


def made(item: NewWater, salt_g: float | None, us: bool, assumed: bool = False) -> str:
    """The quote of a batch: "batch 3: 40 gal salt water to 35 ppt, salt 12.4 lb"."""
    goal = f" to {number(item.target_PSU, 1)} ppt" if item.target_PSU is not None else ""
    goal += " (assumed)" if assumed else ""
    source = f" ({_SOURCES[item.source]})" if item.source in ("ro", "tap") else ""
    salt = f", salt {mass(salt_g, us)}" if salt_g else ""
    return f"batch {item.number}: {water(item.added_L, us)} {kind(item.subject)}{source}{goal}{salt}"


def carried(item: NewWater, before: int, us: bool) -> str:
    """A vat that was not empty: the whole is a new batch and rests anew."""
    return (
        f"On {water(item.carried_L, us)} of batch {before}: {water(item.made_L, us)} in all, rests and is tested anew"
    )


def use_by(when: datetime, today: date) -> str:
    """ "use by Tue 24 Mar"."""
    return f"use by {day(when.date(), today)}"


def holds_other(vat: str, holds: str, subject: str) -> str:
    """The wrong vat."""
    return f"STOP {vat} holds {holds} water: {kind(subject)} into it? Not stored."


def told_other(vat: str, who: str, subject: str) -> str:
    """To the owner: the wrong vat was filled."""
    return f"STOP {vat}: {who} put {kind(subject)} into it. Empty and rinse it, or relabel it, before anyone draws."


def which_vat(subject: str) -> str:
    """No vat was named, and several could be meant."""
    return f"Which vat holds the {kind(subject)}? Not stored yet."


def how_much(vat: str | None) -> str:
    """No amount was named, and the size of the vat is not known."""
    return f"How much water is in {vat or 'it'}? Send it, such as 40 gal. Not stored yet."


def no_room(vat: str, room: str, left: str, batch: int) -> str:
    """More water than the vat holds beside what was left in it."""
    return f"{vat} holds {room}, and {left} of batch {batch} were left in it: which?"


ROOM: Options = (("It was empty", "empty"), ("Topped up to it", "topped"))


def whole(item: Batch, litres: float, us: bool) -> str:
    """The vat was empty before: "batch 4: 250 L in all"."""
    return f"batch {item.number}: {water(litres, us)} in all, the rest was poured away"


def topped(item: Batch, added: float, us: bool) -> str:
    """What was said is the whole: "batch 4: 105 L of it new, salt 3.9 kg"."""
    salt = f", salt {mass(item.salt_g, us)}" if item.salt_g else ""
    return f"batch {item.number}: {water(added, us)} of it new{salt}"


def does_not_fit(vat: str, room: str, item: Batch) -> str:
    """More than the vat can hold."""
    said = quantity(item.amount or 0.0, item.unit)
    return f"{vat} holds {room}: {said} do not fit. Not stored: send the amount again, with its unit."


def source_of(vat: str | None) -> tuple[str, Options]:
    """Fresh water from where: tap water is tested for chlorine, RO is not."""
    return f"{vat or 'Fresh water'}: from RO or from the tap?", (("RO", "source:ro"), ("Tap", "source:tap"))


def no_batch(vat: str | None) -> str:
    """Nothing stands there."""
    return f'{vat or "No vat"}: no batch on record. Send it, such as "mixed 40 gal in {(vat or "vat 1").lower()}".'


def left(item: NewWater, us: bool) -> str:
    """ "95 gal left"."""
    return f"{water(item.left_L, us)} left"


def standing(item: NewWater, state: str, due: datetime | None, now: datetime, us: bool) -> str:
    """A vat in a line: "Vat A, batch 3 salt: 95 of 120 gal left, ready, use by Tue 24 Mar"."""
    today = now.date()
    amount = f"{water(item.left_L, us)} of {water(item.made_L, us)} left"
    if state == "resting" and due:
        tail = f"rests until {clock(due, today)}"
    elif state == "ready":
        old = item.use_by < now
        by = day(item.use_by.astimezone(now.tzinfo).date(), today)
        tail = f"past its use-by {by}: test again" if old else f"ready, use by {by}"
    else:
        tail = {
            "untested": "rested, not tested",
            "stopped": "not rested, not tested",
            "empty": "empty",
            "remixed": "mixed anew since, amount not said",
        }[state]
    return f"{item.vat or 'No vat'}, batch {item.number} {table('batches')[item.subject]['name']}: {amount}, {tail}"


def went_to(draws: Sequence[Draw], us: bool) -> str:
    """ "to Quillow 35 gal, QT-1 4 gal"."""
    sums: dict[str, list[Draw]] = {}
    for draw in draws:
        sums.setdefault(draw.tank or "no tank", []).append(draw)
    return "To " + ", ".join(f"{tank} {_sum(of_tank, us)}" for tank, of_tank in sums.items())


def _sum(draws: Sequence[Draw], us: bool) -> str:
    if any(d.litres is None for d in draws):
        return "amount unknown"
    return water(sum(d.litres or 0.0 for d in draws), us)


def dumped(item: NewWater, us: bool) -> str:
    """The rest of a batch is poured away."""
    return f"batch {item.number} emptied ({water(item.left_L, us)} poured away)"


def level(item: NewWater, before_L: float, us: bool) -> str:
    """What is left by eye, beside what was reckoned."""
    off = item.left_L - before_L
    drift = f" (reckoned {water(before_L, us)})" if abs(off) > 0.5 else ""
    return f"batch {item.number}: {water(item.left_L, us)} left{drift}"


LOOKS = {
    "clear": "clear",
    "cloudy": "cloudy",
    "strip_clear": "total chlorine strip: nothing",
    "strip_colour": "total chlorine strip: colour",
}


def looks(number: int, subject: str) -> str:
    """ "batch 3: clear"."""
    return f"batch {number}: {LOOKS[subject]}"


def brief(item: Batch) -> str:
    """A batch, or a look at one, in a few words: "batch 3, 40 gal salt"."""
    amount = f", {quantity(item.amount, item.unit, 0)}" if item.amount is not None else ""
    return f"batch {item.number}{amount} {LOOKS.get(item.subject, item.subject)}"


def yield_unknown() -> str:
    """The salt was reckoned as pure and dry."""
    return 'Salt as pure and dry: weigh yours once and send "our salt takes 37.5 g/L"'


def litres_not_said() -> str:
    """A rest without an amount."""
    return 'Amount not said: no batch and no salt counted. Send it, such as "mixed 40 gal in vat 1".'
