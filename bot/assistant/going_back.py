"""P3: soaks and rests that end on the way: the places that must be come back to, as stops of their own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from bot.assistant import jobs, people
from bot.assistant.calendar import Calendar, Planned, following, site_of
from bot.assistant.turn import Turn
from bot.facts.load import table
from bot.items import Situation, Wait
from bot.rules.stops import INFINITE, Place, Stop
from bot.rules.waits import kind_of
from bot.store import waits
from bot.store.waits import WaitRow
from bot.team import Tank
from bot.understanding.read import read

KINDS = ("bleach_soak", "rinse_soak", "settle", "mix_rest", "dip", "other")


@dataclass(frozen=True)
class Back:
    """A place to come back to, with what ends there."""

    site: str
    what: str
    stop: Stop


def running(calendar: Calendar, who: str, where: Mapping[str, Place | None]) -> list[Back]:
    """Of waits that run at places which this person has left and that end today."""
    turn, found = calendar.turn, list[Back]()
    for row in waits.open_waits(turn.db, owner=who):
        tank = turn.tank(row.tank)
        due = turn.local(row.due_at)
        if tank is None or row.kind not in KINDS or due.date() != calendar.today or row.due_at <= turn.now:
            continue
        if row.data.get("end"):  # what stands off or out is reminded of; it does not end by itself
            continue
        if who not in people.on_site(turn, tank.name):
            what = row.subject or row.kind.replace("_", " ")
            found.append(
                Back(site_of(tank), what, _stop(tank, what, where, from_min=_minute(due), until_min=_until(turn, row)))
            )
    return found


def planned(calendar: Calendar, visits: Sequence[Planned], where: Mapping[str, Place | None]) -> list[Back]:
    """Of jobs of the day's visits that are soaks or rests longer than the visit itself."""
    turn, found, still_open = calendar.turn, list[Back](), jobs.still_open(calendar.turn)
    for visit in visits:
        at_visit = jobs.at_visit(still_open, visit.tank.name, visit.day, following(visit.tank, visit.day))
        for job in at_visit:
            for item in _waits_in(turn, job.text, visit.tank.name):
                kind = kind_of(item.wait, item.step, item.subject, turn.team.data.get("waits"))
                least = item.minutes or kind.default
                if least and least > visit.minutes:
                    what = item.subject or kind.name
                    most = kind.longest or INFINITE
                    stop = _stop(visit.tank, what, where, after=visit.site, least_min=least, most_min=max(most, least))
                    found.append(Back(visit.site, what, stop))
    return found


def _waits_in(turn: Turn, text: str, tank: str) -> Iterator[Wait]:
    """The waits that the words of a job speak of."""
    items = read(text, Situation(turn.now, turn.team.units, tank, (tank,))).items
    yield from (i for i in items if isinstance(i, Wait) and i.wait in KINDS)


def _stop(tank: Tank, what: str, where: Mapping[str, Place | None], **limits: object) -> Stop:
    minutes = float(table("round")["back"]["value"])
    stop = Stop(f"{site_of(tank)} for {what}", minutes, where.get(site_of(tank)), usual=1440.0)
    return replace(stop, **limits)  # type: ignore[arg-type]


def _until(turn: Turn, row: WaitRow) -> float:
    """When it has been too long, in minutes of the day."""
    longest = kind_of(row.kind, row.step, row.subject, turn.team.data.get("waits")).longest
    return _minute(turn.local(row.started_at)) + longest if longest else INFINITE


def _minute(at: datetime) -> float:
    return at.hour * 60.0 + at.minute
