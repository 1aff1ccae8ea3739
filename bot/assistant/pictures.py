"""Pictures and pages: what is to be drawn is noted in the record and named; the door draws it, off the way of replies.

The name of a picture ("drawn/strip-12.png") leads to the note (`worked`, number 12), and the note to what drawn.py
needs to draw it, now or again later.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from sqlite_utils import Database

from bot.assistant.turn import Turn
from bot.items import Control
from bot.store import worked
from bot.store.files import DRAWN, folder_of
from bot.team import Tank, Team


@dataclass(frozen=True)
class Source:
    """What a picture is gathered from: the record and the team's list, as they stood at a moment."""

    db: Database
    team: Team
    at: datetime

    @property
    def zone(self) -> ZoneInfo:
        """The zone in which the team's clocks stand."""
        return ZoneInfo(self.team.zone)

    def local(self, when: datetime) -> datetime:
        """An instant on the team's clock."""
        return when.astimezone(self.zone)

    def path_of(self, photo: str) -> str:
        """Where a photo stands that somebody sent."""
        folder = folder_of(self.db)
        return str(folder / photo) if folder else photo

    def tank(self, name: str) -> Tank | None:
        """The tank of that name."""
        return self.team.tank(name)


def source_of(turn: Turn) -> Source:
    """The record as it stands in this turn."""
    return Source(turn.db, turn.team, turn.said_at)


def attached(
    turn: Turn, kind: str, tank: str | None = None, facts: Iterable[int] = (), ending: str = "png", **spec: Any
) -> str:  # fmt: skip
    """Notes that a picture or page of that kind is to be drawn, from which facts; returns its name, for Part.files."""
    data = {"draw": kind, "ending": ending, "spec": spec}
    number = worked.keep(turn.db, turn.message_id, tank, turn.said_at, Control("plot", tank, subject=kind), data, facts)
    return name_of(number, data)


def noted(db: Database, name: str) -> worked.Worked | None:
    """The note that a name leads to; None for a file that is none of ours."""
    path = Path(name)
    number = path.stem.rpartition("-")[2]
    found = worked.find(db, int(number)) if path.parent == Path(DRAWN) and number.isdigit() else None
    return found if found and "draw" in found.data and name_of(found.id, found.data) == name else None


def name_of(number: int, data: Mapping[str, Any]) -> str:
    """The name of what is noted under that number."""
    return f"{DRAWN}/{data['draw']}-{number}.{data['ending']}"
