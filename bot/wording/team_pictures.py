"""The text beside the pictures of a day, of all tanks, of the vats, of contacts: it says the same."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from bot.rules.sheet import ALARM, FINE, Line
from bot.wording.entries import name
from bot.wording.quantities import full_name, number


def day_title(who: str, now: datetime) -> str:
    """ "Ines, Tue 10 Mar"."""
    return f"{name(who)}, {now:%a} {now.day} {now:%b}"


def day(title: str, waits: Sequence[str], door: float, is_open: bool) -> str:
    """The bar in words."""
    told = f"{len(waits)} wait{'s' * (len(waits) != 1)}" + (f" ({', '.join(waits[:3])})" if waits else "")
    return f"{title}: {told}. {_capital(door_words(door, is_open))}"


def door(minutes: float) -> str:
    """ "Door 10:54."."""
    return f"Door {_clock(minutes)}."


def door_words(minutes: float, is_open: bool) -> str:
    """When the door is reached."""
    return f"door not before {_clock(minutes)}" if is_open else f"last at {_clock(minutes)}"


def sheet_title(count: int) -> str:
    """ "60 tanks by trouble"."""
    return f"{count} tanks by trouble, 12 weeks"


def sheet(lines: Sequence[Line], most: int = 5) -> list[str]:
    """The sheet in words: which tanks are outside this week, and by what."""
    now = [(line, line.cells[-1]) for line in lines if line.cells and line.cells[-1].level > FINE]
    act = [line for line, cell in now if cell.level == ALARM]
    head = f"{len(lines)} tanks: {len(now)} outside in the last 7 days, {len(act)} of them to act on"
    told = [f"{line.tank} {full_name(cell.parameter)}" for line, cell in now[:most]]
    more = f" and {len(now) - most} more" if len(now) > most else ""
    worst = [line.tank for line in lines if line.trouble > 0][:3]
    tail = [f"Most trouble in 12 weeks: {', '.join(worst)}"] if worst else []
    return [head + (f": {', '.join(told)}{more}" if told else ""), *tail]


def vats(weeks: Sequence[Mapping[str, Any]]) -> list[str]:
    """The vats in words, a line each."""
    return [_vat(week) for week in weeks]


def _vat(week: Mapping[str, Any]) -> str:
    left, unit = float(week["level"]), week["unit"]
    total = sum(draw for _, draw in week["days"])
    said = f"{_capital(week['name'])}: {number(left, 0)} {unit} now, {number(total, 0)} planned in 7 days"
    for day_name, draw in week["days"]:
        left -= draw
        if left < 0:
            return f"{said}; {number(-left, 0)} {unit} short on {day_name} if nothing is mixed"
    return f"{said}; {number(left, 0)} left"


def contacts(head: str, found: Sequence[tuple[str, str]]) -> str:
    """The map in words: the places in their order."""
    steps = [f"{place} ({when})" for when, place in found]
    places = [s for s, (_, place) in zip(steps, found, strict=True)]
    shown = places if len(places) <= 6 else [*places[:3], "...", *places[-2:]]
    return f"{head}: {len(found)} contact{'s' * (len(found) != 1)}: {' > '.join(shown)}"


def when(at: datetime) -> str:
    """ "3 Mar 10:27"."""
    return f"{at.day} {at:%b} {at:%H:%M}"


def _clock(minutes: float) -> str:
    return f"{int(minutes) // 60 % 24:02d}:{int(minutes) % 60:02d}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
