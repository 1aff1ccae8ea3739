"""Jobs still to be done, read off the tasks in force, what was said to be done, and the work that shows it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from bot.assistant.turn import Turn
from bot.facts.load import table
from bot.items import Control, Event, Item, Reading, Task
from bot.rules import jobs as rules
from bot.rules.jobs import Job
from bot.store import logbook
from bot.store.logbook import Fact

MOST = 2000


def still_open(turn: Turn) -> list[Job]:
    """All jobs that are due some day, the oldest first."""
    facts = [f for f in logbook.events(turn.db, None, kind="task", limit=MOST) if isinstance(f.item, Task)]
    if not facts:
        return []
    done = _said_done(turn)
    since = min(f.at for f in facts)
    work = [
        f for kind in ("event", "reading") for f in logbook.events(turn.db, None, since=since, kind=kind, limit=MOST)
    ]
    jobs = [_job(turn, f, done.get(f.id), work) for f in reversed(facts)]
    return [job for job in jobs if rules.due_day(job) is not None]


def of_person(turn: Turn, who: str, jobs: Sequence[Job] | None = None) -> list[Job]:
    """The jobs that are somebody's own; those of a tank without a name go with its visits."""
    return [job for job in (still_open(turn) if jobs is None else jobs) if job.who == who]


def at_visit(jobs: Sequence[Job], tank: str, visit: date, following: date | None) -> list[Job]:
    """The jobs of a tank that land on its visit of that day."""
    return [job for job in jobs if job.tank == tank and rules.lands(job, visit, following)]


def finish(turn: Turn, job: Job) -> None:
    """Says in the logbook that it was done; one that comes again counts on from here."""
    turn.keep(Control("done", tank=job.tank, number=job.fact_id, subject="task", reason=job.text))


def person_of(turn: Turn, fact: Fact) -> str | None:
    """Whose it is: as it says; the office's where something is to be ordered; of the visit; else of whoever said it."""
    item = fact.item
    assert isinstance(item, Task)
    named = turn.team.person(item.who)
    office = turn.team.with_role("office")
    ordering = item.text.split(maxsplit=1)[0].casefold() in table("tasks")["office"]["verbs"] if item.text else False
    if named:
        return named.name
    if (item.who == "office" or ordering) and office:
        return office[0].name
    return None if item.tank and not isinstance(item.due, datetime) else fact.who


def _text(turn: Turn, item: Task) -> str:
    """What is to be done, without the name of the tank in front."""
    tank = turn.tank(item.tank)
    for name in (tank.name, *tank.nicknames) if tank else ():
        if item.text.casefold().startswith(f"{name.casefold()} ") or item.text.casefold().startswith(
            f"{name.casefold()}:"
        ):
            return item.text[len(name) :].lstrip(" :,-") or item.text
    return item.text


def _said_done(turn: Turn) -> dict[int, datetime]:
    """When each task was last said to be done, by the number of its fact."""
    found: dict[int, datetime] = {}
    for fact in logbook.events(turn.db, None, ["done"], kind="control", limit=MOST):
        item = fact.item
        if isinstance(item, Control) and item.subject == "task" and item.number:
            found[item.number] = max(found.get(item.number, fact.at), fact.at)
    return found


def _job(turn: Turn, fact: Fact, said_done: datetime | None, work: Sequence[Fact]) -> Job:
    item = fact.item
    assert isinstance(item, Task)
    due = item.due.date() if isinstance(item.due, datetime) else item.due
    who, said = person_of(turn, fact), turn.local(fact.at).date()
    job = Job(fact.id, _text(turn, item), said, item.tank, who, due, item.every_days)
    shown = [f.at for f in work if f.at > fact.at and _shows(f.item, job)]
    last = max([*([said_done] if said_done else []), *shown], default=None)
    return rules.Job(**{**vars(job), "done": turn.local(last).date() if last else None})


def _shows(item: Item, job: Job) -> bool:
    """Whether what was said is that job done."""
    if isinstance(item, Reading):
        return rules.shown_by_test(item, job)
    return isinstance(item, Event) and rules.shown_by(item, job)
