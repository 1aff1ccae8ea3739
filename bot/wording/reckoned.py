"""The words of warnings that need a sum."""

from __future__ import annotations

from bot.wording.quantities import full_name, number, unit_word


def blend(after_C: float, now_C: float, unit: str) -> str:
    """Where a change of water takes the temperature."""
    fahrenheit = unit == "degF"
    after = after_C * 9 / 5 + 32 if fahrenheit else after_C
    moved = (after_C - now_C) * (9 / 5 if fahrenheit else 1)
    way = "down" if moved < 0 else "up"
    blended = f"{number(after, 1)} {unit_word(unit)}, {number(abs(moved), 1)} {way}"
    return f"that blends to {blended}. Match the new water first, within 1 °C (2 °F)."


def in_one_go(parameter: str, rise: float, limit: float, unit: str) -> str:
    """A dose that is more than a day's worth."""
    days = -(-rise // limit)
    up = f"{full_name(parameter)} up {number(rise, 1)} {unit}"
    return f"that is {up} in one go; {number(limit, 1)} a day at most: spread it over {number(days)} days."


def chloramine(freed_mg_L: float, ph: float | None) -> str:
    """What breaking chloramine leaves."""
    high = f" more of it free at pH {number(ph, 1)}:" if ph and ph >= 7.5 else ""
    freed = f"about {number(freed_mg_L, 2)} mg/L ammonia N more in the tank"
    return f"chloramine tap: {freed};{high} dechlorinate for the volume, test ammonia and pH in the mix first."


def stacked(name: str, days: float) -> str:
    """A dose on top of a dose."""
    when = f"{number(days, 0)} days" if days >= 1.5 else "a day" if days >= 0.75 else "hours"
    first = f"{name} went in {when} ago and no water was changed since"
    return f"{first}: what is left counts. Re-dose only on the water changed, as ordered."
