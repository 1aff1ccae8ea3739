"""How events, waits and tasks are quoted back: in the technician's words, with amounts and units."""

from __future__ import annotations

from datetime import date, datetime

from bot.facts.load import table
from bot.items import Event, Task
from bot.wording.quantities import quantity


def event(item: Event, amount_note: str = "") -> str:
    """An event: "water change 20 % (71 L)", "lost 1 firefish", "return pump off", "note: ..."."""
    return " ".join(_SAYS.get(item.event, _plain)(item, amount_note).split())


def task(item: Task, due: str) -> str:
    """A task: "task: order salt, Fri 13 Mar (tomasz)"."""
    who = f" ({item.who})" if item.who else ""
    again = f", every {item.every_days:g} days" if item.every_days else ""
    return f"task: {item.text}" + (f", {due}" if due else "") + again + who


def day(when: date, today: date) -> str:
    """A day in short: "today", "tomorrow", "Tue 3 Mar", with the year where it is another one."""
    gap = (when - today).days
    if gap in (0, 1, -1):
        return ("today", "tomorrow", "yesterday")[gap]
    year = f" {when.year}" if when.year != today.year else ""
    return f"{when:%a} {when.day} {when:%b}{year}"


def clock(when: datetime, today: date) -> str:
    """A time of day, "10:27"; with the day before it where it is not today."""
    time = f"{when:%H:%M}"
    return time if when.date() == today else f"{day(when.date(), today)} {time}"


def name(who: str) -> str:
    """A person's name as it is written: "Ana"."""
    return who[:1].upper() + who[1:]


def _plain(item: Event, note: str) -> str:
    what = table("shown")["events"].get(item.event, item.event)
    return f"{what} {_amount(item)} {item.subject or ''} {note}"


def _dose(item: Event, note: str) -> str:
    return f"dosed {item.subject or ''} {_amount(item)} {note}"


def _service(item: Event, note: str) -> str:
    what = table("shown")["events"][item.event]
    return f"{what}: {item.subject}" if item.subject else f"{what} {note}"


def _equipment(item: Event, note: str) -> str:
    subject = item.subject or "equipment"
    says_it = item.state == "broken" and subject.casefold().startswith("leak")
    return f"{subject} {'' if says_it else item.state or ''} {note}"


def _note(item: Event, note: str) -> str:
    return f"note: {item.subject}"


def _animals(item: Event, note: str) -> str:
    verb = table("shown")["events"][item.event]
    where = f" from {item.from_tank}" * bool(item.from_tank) + f" to {item.to_tank}" * bool(item.to_tank)
    return f"{verb} {item.count if item.count is not None else ''} {item.subject or ''}{where} {note}"


def _amount(item: Event) -> str:
    return quantity(item.amount, item.unit) if item.amount is not None else ""


_SAYS = {
    "note": _note,
    "equipment": _equipment,
    "dose": _dose,
    "filter_service": _service,
    "cleaning": _service,
    "livestock_added": _animals,
    "livestock_lost": _animals,
    "livestock_moved": _animals,
}
