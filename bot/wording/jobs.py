"""Jobs as they are listed and crossed off."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date

from bot.rules.jobs import Job, due_day
from bot.wording.entries import day


def done(job: Job, again: date | None, today: date) -> str:
    """ "done: order salt", "done: lamp, again Tue 8 Dec"."""
    return f"done: {job.text}" + (f", again {day(again, today)}" if again else "")


def without_done(text: str) -> str | None:
    """What was done, of "done lamp vantree", "lamp vantree is done"; None where nothing is said to be done."""
    found = _DONE.fullmatch(text.strip())
    return (found["what"] or found["that"]).strip(" :") if found else None


_WORD = "done|finished|completed|sorted"
_DONE = re.compile(rf"(?:{_WORD})\b[ :]+(?P<what>.+)|(?P<that>.+?) (?:is |are )?(?:{_WORD})[.!]?", re.IGNORECASE)


def listed(jobs: Sequence[Job], today: date, most: int) -> str | None:
    """ "Jobs: order salt (since Fri) · call Quillow · and 2 more"."""
    if not jobs:
        return None
    said = [_one(job, today) for job in jobs[:most]]
    more = [f"and {len(jobs) - most} more"] if len(jobs) > most else []
    return f"Jobs: {' · '.join([*said, *more])}"


def _one(job: Job, today: date) -> str:
    due = due_day(job)
    late = f" (since {day(due, today)})" if due and due < today else ""
    place = f"{job.tank}: " if job.tank else ""
    return f"{place}{job.text}{late}"
