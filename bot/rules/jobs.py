"""Jobs that are still to be done: when they are due, on which visit they land, and what shows that one was done."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from bot.facts.load import table
from bot.items import Event, Reading


@dataclass(frozen=True)
class Job:
    """A task as it stands: `fact_id` names it, `done` is when it was last done (a recurring one comes again)."""

    fact_id: int
    text: str
    said: date
    tank: str | None = None
    who: str | None = None
    due: date | None = None
    every_days: float | None = None
    done: date | None = None


def due_day(job: Job) -> date | None:
    """When it is due; from when it was said where no day was named; None once it is done for good."""
    if job.done is None:
        return job.due or (job.said + timedelta(days=round(job.every_days)) if job.every_days else job.said)
    return job.done + timedelta(days=round(job.every_days)) if job.every_days else None


def lands(job: Job, visit: date, following: date | None) -> bool:
    """Whether it is to be done at the visit of that day: the one nearest to the day on which it is due."""
    due = due_day(job)
    if due is None:
        return False
    half = (following - visit) / 2 if following else timedelta()
    return due <= visit + half


def is_due(job: Job, day: date) -> bool:
    """Whether it is due on that day or before."""
    due = due_day(job)
    return due is not None and due <= day


def named(jobs: Sequence[Job], words: str) -> list[Job]:
    """The jobs that the words mean: those with all of the words in them, the closest first."""
    said = _words(words)
    fitting = [job for job in jobs if said and said <= _words(f"{job.text} {job.tank or ''}")]
    return sorted(fitting, key=lambda job: (len(_words(job.text) - said), job.fact_id))


def meaning(words: str) -> frozenset[str]:
    """The words of a sentence that carry it: without the small ones, one form of each."""
    return frozenset(_words(words) - _SMALL - _ASKING)


_ASKING = frozenset(
    ["is", "are", "do", "doe", "how", "what", "long", "we", "it", "to", "i", "on", "for", "does", "here"]
)


def shown_by(event: Event, job: Job) -> bool:
    """Whether the event is that job done: the thing that was seen to stands in its words, at its tank."""
    thing = _words(event.subject or "") - _SMALL
    fitting = event.event in _WORK and event.state not in ("off", "broken", "removed")
    return bool(thing) and fitting and job.tank == event.tank and thing <= _words(job.text)


def shown_by_test(reading: Reading, job: Job) -> bool:
    """Whether the reading is that job done: "retest alk", at its tank."""
    said = _words(job.text)
    names = {_stem(word) for name in _names_of(reading.parameter) for word in name.split()}
    return bool(said & _TESTS and said & names) and job.tank == reading.tank and reading.of == "tank"


def _names_of(parameter: str) -> Sequence[str]:
    told = table("words_readings")["parameter"].get(parameter, parameter)
    return [name.strip() for name in str(told).split(",")]


_TESTS = frozenset({"test", "retest", "check", "recheck", "measure"})
_WORK = frozenset({"filter_service", "cleaning", "equipment", "feeding", "dose"})
_SMALL = frozenset({"the", "a", "new", "and", "of", "in"})


def _words(text: str) -> set[str]:
    return {_stem(word) for word in re.findall(r"[^\W_]+", text.casefold())} - _SMALL


def _stem(word: str) -> str:
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word
