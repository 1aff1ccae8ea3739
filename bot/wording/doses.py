"""What holds a dose up before it is poured."""

from __future__ import annotations

from datetime import date, datetime

from bot.items import Event, Reading
from bot.wording import entries
from bot.wording.quantities import full_name, reading


def given(who: str, dose: Event, at: datetime) -> str:
    """It was given today already."""
    return f"HOLD: {entries.name(who)} {entries.event(dose)} at {at:%H:%M}. Not again today without a new test"


def already(tank: str, who: str, dose: Event, at: datetime) -> str:
    """It was given today already, said to somebody who is about to pour."""
    return f"HOLD {tank}: {entries.name(who)} {entries.event(dose)} at {at:%H:%M}. Not again today without a new test."


def not_yet() -> str:
    """Something is meant to be done; nothing stands against it that is on record."""
    return "Not stored: send it again when it is done."


def doubted(item: Reading, parameter: str) -> str:
    """The newest test is not confirmed, and was not used."""
    return f"HOLD: {reading(item)} is not confirmed and not used. Test {full_name(parameter)} again first"


def not_of_today(parameter: str, tested: date, today: date) -> str:
    """It came from an old test."""
    return f"HOLD: {full_name(parameter)} was tested {entries.day(tested, today)}. Test today before it is poured"
