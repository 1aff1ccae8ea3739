"""What ends or falls due on a day: contracts, keys, codes and permits of clients; meters, kits and lamps."""

from __future__ import annotations

from datetime import date, timedelta

from bot.assistant.calendar import Calendar
from bot.assistant.turn import Turn
from bot.facts.load import table
from bot.wording import cards as wording

ONE = timedelta(days=1)
_LONGEST_AWAY = 31


def line(turn: Turn, plan: Calendar, reader: str) -> str | None:
    """What ends soon, on a card."""
    return wording.ends(ending(turn, plan, reader), plan.today)


def ending(turn: Turn, plan: Calendar, reader: str) -> list[tuple[str, str, date]]:
    """Client, what and day of all whose moment to be told has come since the reader's last working day."""
    days = [plan.today, *_since_last_there(plan, reader)]
    told = table("cards")["ends"]
    return [
        each for each in ends(turn) if any((each[2] - day).days in told.get(each[1], told["contract"]) for day in days)
    ]


def ends(turn: Turn) -> list[tuple[str, str, date]]:
    """All that ends at clients' sites, the first to end first."""
    found = [
        (client.name, str(what), date.fromisoformat(str(day)))
        for client in turn.team.clients
        for what, day in client.data.get("ends", {}).items()
    ]
    return sorted(found, key=lambda each: (each[2], each[:2]))


def _since_last_there(plan: Calendar, reader: str) -> list[date]:
    """The days right before today on which the reader was away and got no card."""
    days: list[date] = []
    while len(days) < _LONGEST_AWAY and plan.is_away(reader, plan.today - ONE * (len(days) + 1)):
        days.append(plan.today - ONE * (len(days) + 1))
    return days
