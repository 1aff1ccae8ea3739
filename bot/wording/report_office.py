"""What the office reads about a report: that it waits, that it went out, how a line is changed."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime

from bot.rules.report import Report
from bot.wording import report as wording
from bot.wording.entries import name

NONE_WAITS = "No report waits."
NEWER = "There is a newer version; the old one did not go out."
HOW_TO_EDIT = (
    'Which line, and how should it read? Such as "please: one pinch of food a day".\n'
    'Lines: first, done, animals, water, please, photo: none; "always please: ..." stays for this client.'
)


def none_yet(tank: str | None) -> str:
    """There is no report to show."""
    return f"No report of {tank or 'yours'} yet: it is made at leaving."


def may_not(roles: Sequence[str]) -> str:
    """Who sends reports."""
    return f"Reports are for {' or '.join(roles)} to send. Nothing changed."


def still_waiting(briefs: Sequence[str], most: int = 3) -> str:
    """The end of the day: what waits."""
    shown = " · ".join(briefs[:most]) + (f" and {len(briefs) - most} more" if len(briefs) > most else "")
    return f"{len(briefs)} report{'s wait' if len(briefs) != 1 else ' waits'}: {shown}"


def sent(report: Report, clock: str, who: str) -> str:
    """It is on record as gone out."""
    return f"{wording.brief(report)}: sent, on record {clock}, {name(who)}."


def to_mail(contact: str | None) -> str:
    """What is left to be done by hand."""
    return f"The page is for your mail to {contact or 'the client'}."


def went_out(when: datetime, who: str) -> str:
    """It is no longer waiting."""
    return f"Sent {when:%a} {when.day} {when:%b} {when:%H:%M}, {name(who)}."


def waits_on(report: Report) -> str:
    """Not yet."""
    return f"{wording.brief(report)}: not sent, waits."


def ready(names: Sequence[str]) -> str:
    """To whoever left: where the report is."""
    return f"Report with {' and '.join(map(name, names))}." if names else 'Report ready: send "report".'


def corrected_with(names: Sequence[str]) -> str:
    """To whoever changed a fact of a report that has gone out."""
    return f"Corrected report with {' and '.join(map(name, names))}." if names else 'Report corrected: send "report".'


def lines_in(text: str) -> dict[str, str]:
    """The lines of the report that a text gives anew, by their names; {} where it names none."""
    found: dict[str, str] = {}
    for line in text.splitlines():
        told = re.fullmatch(
            r"\s*(always please|first|done|animals|water|please|photo)\s*[:=]\s*(.*?)\s*", line, re.IGNORECASE
        )
        if told is None:
            return {}
        found[told[1].casefold()] = told[2]
    return found
