"""What is left today: the stops in order, the jobs beside them; for the office and the owner everybody's."""

from __future__ import annotations

from datetime import date, timedelta

from bot.assistant import calendar, jobs, route
from bot.assistant.calendar import Calendar
from bot.assistant.route import Halt, Route
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Control, Item
from bot.rules import jobs as job_rules
from bot.rules.jobs import Job
from bot.wording import jobs as job_wording
from bot.wording import round as wording
from bot.wording.entries import name


def take(turn: Turn, item: Item) -> list[Part]:
    """ "today": one's own day; with people to look after, theirs. Another day or a span of days where it is named."""
    assert isinstance(item, Control)
    plan = calendar.now(turn)
    if item.date or item.who or (item.days or 1) > 1:
        return [Part(head=_of_days(turn, plan, item))]
    own = route.route(plan, turn.who.name, plan.today)
    lines = [_jobs_line(turn, plan)]
    if own.halts:
        return [Part(head=f"Left today: {counted(own)}", lines=_said([_stops(own), *lines, _nobody(turn, plan)]))]
    if turn.who.role in ("office", "owner"):
        return [_everybody(turn, plan, lines)]
    return [Part(head="No stops left today.", lines=_said(lines))]


MOST_DAYS = 6


def map_order(turn: Turn, item: Item) -> list[Part]:
    """All stops of one's day, in order."""
    plan = calendar.now(turn)
    found = route.route(plan, turn.who.name, plan.today)
    if not found.halts:
        return [Part(head="No stops left today.")]
    lines = [f"{i} {h.at:%H:%M} {name_of(h)}" for i, h in enumerate(found.halts, start=1)]
    return [Part(head="\n".join(lines))]


def counted(found: Route) -> str:
    """ "3 stops, 4 tanks, home about 16:20"."""
    return wording.counted(len(found.halts), found.tanks, route.clock(found.home_min))


def name_of(halt: Halt) -> str:
    """A stop as it is spoken of."""
    if halt.back:
        return f"back to {halt.site} ({halt.back})"
    return calendar.called(halt.site, [p.tank.name for p in halt.visits])


def lines_of(found: Route, most: int | None = None) -> str:
    """The stops with their times in one line."""
    lines = [wording.Line(name_of(h), h.at) for h in found.halts]
    return wording.stops(lines, most or int(table("cards")["shown"]["stops"]))


def own_jobs(turn: Turn, plan: Calendar, who: str) -> list[Job]:
    """Somebody's jobs that are due by today, apart from those that wait for a visit."""
    return [job for job in jobs.of_person(turn, who) if job_rules.is_due(job, plan.today)]


def nobody_goes(plan: Calendar, day: date | None = None) -> list[str]:
    """The tanks of a day, today if none is named, that nobody is there for."""
    return [p.tank.name for p in plan.planned(day or plan.today) if p.who is None]


def _of_days(turn: Turn, plan: Calendar, item: Control) -> str:
    """The stops of a day, or of each of several days; of one person, or of all."""
    first, alone = item.date or plan.today, turn.who.role in ("technician", "learner")
    who = item.who or (turn.who.name if alone else None)
    if (item.days or 1) > 1:
        days = [first + timedelta(days=n) for n in range(int(item.days or 1))]
        return wording.of_days([(d, sites) for d in days if (sites := _sites(plan, d, who))][:MOST_DAYS], plan.today)
    names = [who] if who else [p.name for p in turn.team.people]
    routes = [(name, found) for name in names if (found := route.route(plan, name, first)).halts]
    lines = [wording.of_person(each, counted(found), lines_of(found)) for each, found in routes]
    return wording.of_day(first, lines, [] if who else nobody_goes(plan, first), plan.today)


def _sites(plan: Calendar, day: date, who: str | None) -> list[str]:
    """The stops of a day by their names; without the tanks that are seen to daily."""
    found = [p for p in plan.planned(day) if who in (None, p.who) and (p.tank.every_days or 0) != 1]
    sites = dict.fromkeys(p.site for p in found)
    return [calendar.called(site, [p.tank.name for p in found if p.site == site]) for site in sites]


def _stops(found: Route) -> str:
    return lines_of(found)


def _jobs_line(turn: Turn, plan: Calendar) -> str | None:
    found = own_jobs(turn, plan, turn.who.name)
    return job_wording.listed(found, plan.today, int(table("cards")["shown"]["jobs"]))


def _nobody(turn: Turn, plan: Calendar) -> str | None:
    left = nobody_goes(plan)
    return wording.nobody(left) if left and turn.who.role in ("office", "owner") else None


def _everybody(turn: Turn, plan: Calendar, lines: list[str | None]) -> Part:
    days = {p.name: route.route(plan, p.name, plan.today) for p in turn.team.people}
    said = [f"{name(who)}: {counted(found)}" for who, found in days.items() if found.halts]
    left = nobody_goes(plan)
    head = "\n".join([*([wording.nobody(left)] if left else []), *said]) or "No stops left today."
    return Part(head=head, lines=_said(lines))


def _said(lines: list[str | None]) -> tuple[str, ...]:
    return tuple(line for line in lines if line)
