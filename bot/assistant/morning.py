"""06:45: the day of each who is on the road; what the office must settle; nothing where there is nothing to say."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from bot.assistant import calendar, jobs, load_list, owner, people, renewals, route, today, watch
from bot.assistant.calendar import Calendar
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Control, Schedule
from bot.messages import Button, Outgoing
from bot.rules import jobs as job_rules
from bot.store import pending
from bot.store.database import rows
from bot.team import Person
from bot.wording import cards as wording
from bot.wording import jobs as job_wording
from bot.wording import undoing
from bot.wording.round import nobody

BUTTONS = (Button("Map order", "mc:order"), Button("Load list", "mc:load"))


def cards(turn: Turn, plan: Calendar) -> list[Part]:
    """Everybody's card: those on the road, the office, the owner."""
    made = [message for p in turn.team.people if (message := _card(turn, plan, p))]
    return [Part(others=(message,)) for message in (*made, *owner.morning(turn, plan))]


def press(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[Map order] and [Load list] under the card."""
    act = today.map_order if args[0] == "order" else load_list.take
    return act(turn, Control(args[0]))


def _card(turn: Turn, plan: Calendar, person: Person) -> Outgoing | None:
    if plan.is_away(person.name, plan.today):
        return None
    found = route.route(plan, person.name, plan.today)
    listed = job_wording.listed(today.own_jobs(turn, plan, person.name), plan.today, _most("jobs"))
    if found.halts:
        visits = [p for halt in found.halts for p in halt.visits]
        lines = (
            wording.head(plan.today, today.counted(found)),
            today.lines_of(found),
            load_list.bring(turn, visits, plan.today),
            _watch(turn, [p.tank.name for p in visits]),
            listed,
        )
        return people.told(turn, person.name, wording.fitted(lines), BUTTONS)
    office = [line for line in _office(turn, plan, person) if line] if person.role == "office" else []
    said = wording.fitted([*office, listed]) if office or _calls(turn, plan, person) else ""
    return people.told(turn, person.name, f"{plan.today:%a}: {said}") if said else None


def _calls(turn: Turn, plan: Calendar, person: Person) -> bool:
    """Whether a job alone is worth a card: the day it is due, and on the first day of the week while it is late."""
    due = [job_rules.due_day(job) for job in today.own_jobs(turn, plan, person.name)]
    if plan.today in _named_days(turn, person):
        return True
    first = not plan.works(plan.today - timedelta(days=1))
    return plan.works(plan.today) and (plan.today in due or (bool(due) and first))


def _named_days(turn: Turn, person: Person) -> set[date | None]:
    """The days that somebody named for a job of this person."""
    return {job.due for job in jobs.of_person(turn, person.name) if job.done is None}


def _watch(turn: Turn, tanks: list[str]) -> str | None:
    """The one point of the day's tanks that matters most."""
    found = sorted((p for tank in tanks for p in watch.points(turn, tank)[:1]), key=lambda p: p.rank)
    return wording.watch([(p.tank, p.text) for p in found[:1]])


def _office(turn: Turn, plan: Calendar, person: Person) -> list[str | None]:
    """What the office must settle today."""
    left = today.nobody_goes(plan)
    friday = plan.today.weekday() == FRIDAY
    return [
        nobody(left) if left else None,
        wording.asked_before(_waiting(turn, plan)),
        renewals.line(turn, plan, person.name),
        wording.holes(_holes(plan)) if friday else None,
    ]


FRIDAY = 4


def _waiting(turn: Turn, plan: Calendar) -> list[str]:
    """Absences that were said and never pressed, as far as they lie ahead and nobody else has pressed them since."""
    chats = [r["chat"] for r in rows(turn.db, "select distinct chat from pending where state in ('open', 'waiting')")]
    asked = [q for chat in chats for q in pending.unanswered(turn.db, chat) if q.why == "absence" and q.item]
    items = [q.item for q in asked if isinstance(q.item, Schedule) and _lies_ahead(plan, q.item)]
    return list(dict.fromkeys(map(undoing.piece, items)))


def _lies_ahead(plan: Calendar, item: Schedule) -> bool:
    told = item.to or item.due
    last = calendar.day_of(told) if told else plan.today
    return last >= plan.today and not plan.is_away(str(item.who), last)


def _holes(plan: Calendar) -> list[str]:
    """Visits of the next seven days that nobody is there for."""
    ahead = plan.planned(plan.today + timedelta(days=1), plan.today + calendar.WEEK)
    return [f"{p.tank.name} {p.day:%a}" for p in ahead if p.who is None]


def _most(what: str) -> int:
    return int(table("cards")["shown"][what])
