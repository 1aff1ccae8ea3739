"""What ends or falls due on a day: contracts, keys, codes and permits of clients; meters, kits and lamps."""

from __future__ import annotations

from datetime import date, timedelta

from bot.assistant import jobs
from bot.assistant.calendar import Calendar
from bot.assistant.kits_in_use import kit_of
from bot.assistant.turn import Turn
from bot.facts.load import table
from bot.items import Event, Setting, Stock
from bot.rules import jobs as job_rules
from bot.rules import kits as rules
from bot.rules.words import says
from bot.store import logbook
from bot.wording import cards as wording
from bot.wording.quantities import full_name

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


def calibrations(turn: Turn) -> list[tuple[str, date]]:
    """When each meter that was ever calibrated is due again."""
    last: dict[str, date] = {}
    for fact in reversed(logbook.events(turn.db, None, ["instrument"], kind="setting", limit=MOST)):
        assert isinstance(fact.item, Setting)
        last[str(fact.item.values["instrument"]).casefold()] = turn.local(fact.at).date()
    return _soonest(turn, [(name, day + _days("calibrate")) for name, day in last.items()])


def expiries(turn: Turn) -> list[tuple[str, date]]:
    """When kits, goods with a date and lamps are to be renewed: the newest of each."""
    found = {**_kits(turn), **_goods(turn), **_lamps(turn)}
    return _soonest(turn, list(found.items()))


def _kits(turn: Turn) -> dict[str, date]:
    """Of the kits in use: by their date, at the latest when they have been open too long."""
    found: dict[str, date] = {}
    for fact in reversed(logbook.events(turn.db, None, ["kit"], kind="setting", limit=MOST)):
        assert isinstance(fact.item, Setting)
        kit, opened = kit_of(fact.item), turn.local(fact.at).date()
        dates = [d for d in (kit.expiry, rules.lasts_until(opened)) if d]
        found[f"{full_name(kit.parameter)} kit"] = min(dates)
    return found


def _goods(turn: Turn) -> dict[str, date]:
    """Of what came in with a date on it."""
    facts = reversed(logbook.events(turn.db, None, kind="stock", limit=MOST))
    items = [f.item for f in facts if isinstance(f.item, Stock) and f.item.action == "arrived"]
    return {item.subject: item.expiry for item in items if item.expiry}


def _lamps(turn: Turn) -> dict[str, date]:
    """By the recurring job where there is one, else so long after a lamp was put in."""
    words, found = str(table("cards")["lamp"]["words"]), dict[str, date]()
    since = turn.now - 2 * _days("lamp")
    for fact in reversed(logbook.events(turn.db, None, ["equipment", "filter_service"], since, limit=MOST)):
        item = fact.item
        assert isinstance(item, Event)
        if item.state in ("replaced", "fitted") and says(item.subject or "", words) and item.tank:
            found[f"lamp {item.tank}"] = turn.local(fact.at).date() + _days("lamp")
    for job in jobs.still_open(turn):
        due = job_rules.due_day(job)
        if due and job.every_days and job.tank and says(job.text, words):
            found[f"lamp {job.tank}"] = due
    return found


MOST = 2000


def _days(name: str) -> timedelta:
    return timedelta(days=table("cards")[name]["value"])


def _soonest(turn: Turn, found: list[tuple[str, date]]) -> list[tuple[str, date]]:
    """Those of the year ahead, the first to be due first."""
    until = turn.local(turn.now).date() + _days("ahead")
    return sorted(((name, day) for name, day in found if day <= until), key=lambda each: (each[1], each[0]))


def _since_last_there(plan: Calendar, reader: str) -> list[date]:
    """The days right before today on which the reader was away and got no card."""
    days: list[date] = []
    while len(days) < _LONGEST_AWAY and plan.is_away(reader, plan.today - ONE * (len(days) + 1)):
        days.append(plan.today - ONE * (len(days) + 1))
    return days
