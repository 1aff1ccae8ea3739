"""Photos that people sent. Each is a note of its message ("photo 17"): undo takes it back, a move moves it."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlite_utils import Database

from bot.items import Event
from bot.store import logbook, said
from bot.store.database import rows
from bot.store.logbook import Fact

_NUMBERED = re.compile(r"photo (\d+)( with .+)?")
_MANY = 10_000


@dataclass(frozen=True)
class Shot:
    """A photo: its number (that of its message), where it was taken, when, by whom, and where its file is; `proves`:
    it was sent while a gate was open, and belongs to that.
    """

    number: int
    tank: str
    at: datetime
    who: str
    path: str
    proves: bool = False


def note(tank: str, number: int, thing: str | None) -> Event:
    """What the logbook holds of a photo; `thing`: what the gate that was open is about."""
    return Event("note", tank=tank, subject=f"photo {number}" + (f" with {thing}" if thing else ""))


def of_tank(db: Database, tank: str, since: datetime | None = None, until: datetime | None = None) -> list[Shot]:
    """The photos of a tank in force, oldest first."""
    notes = logbook.events(db, tank, ["note"], since, until, _MANY)
    return [shot for fact in reversed(notes) if (shot := _shot(db, fact))]


def numbered(db: Database, numbers: Iterable[int]) -> list[Shot]:
    """The photos of those numbers in force, wherever they are filed by now, in the order of the numbers."""
    found: list[Shot] = []
    for number in sorted(set(numbers)):
        sql = "select id from fact where kind = 'event' and name = 'note' and item like ? order by id desc"
        ids = [row["id"] for row in rows(db, sql, [f'%"subject":"photo {number}%'])]
        facts = [fact for i in ids if (fact := logbook.fact(db, i)) and not fact.void]
        found += [shot for fact in facts if (shot := _shot(db, fact)) and shot.number == number][:1]
    return found


def _shot(db: Database, fact: Fact) -> Shot | None:
    subject = str(getattr(fact.item, "subject", None) or "")
    told = _NUMBERED.fullmatch(subject)
    row = said.find(db, int(told[1])) if told else None
    if row is None or not row["photo"]:
        return None
    tank, proves = str(getattr(fact.item, "tank", "")), bool(told and told[2])
    return Shot(row["id"], tank, said.written_at(row), row["who"], row["photo"], proves)
