"""When tanks were seen to, and by whom: read off the facts in force, kept nowhere else."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from sqlite_utils import Database

from bot.store.database import epoch, instant, one, rows
from bot.store.logbook import IN_FORCE


@dataclass(frozen=True)
class Seen:
    """A tank on one day: who was there, from the first to the last thing said about it."""

    tank: str
    day: date
    who: str
    first: datetime
    last: datetime

    @property
    def minutes(self) -> float:
        """How long that was."""
        return (self.last - self.first) / timedelta(minutes=1)


# What somebody says about a tank from elsewhere is no visit.
_THERE = (
    "(f.kind = 'reading' or f.kind = 'wait' or (f.kind = 'event' and f.name not in ('note', 'livestock_lost'))"
    " or (f.kind = 'control' and f.name = 'leaving'))"
)


def seen(
    db: Database, zone: ZoneInfo, since: datetime, until: datetime, away: Iterable[str] = (), tank: str | None = None
) -> dict[str, list[Seen]]:
    """The days on which each tank was seen to, the latest first; what people of `away` (the office) said counts not."""
    sql = f"select f.tank, f.who, f.at from fact f where f.tank is not null and f.at >= ? and f.at <= ? and {_THERE}"
    args = [epoch(since), epoch(until), *([tank] if tank else [])]
    found = rows(db, f"{sql}{' and f.tank = ?' if tank else ''} and {IN_FORCE} order by f.at, f.id", args)
    days: dict[tuple[str, date], Seen] = {}
    for row in (r for r in found if r["who"] not in set(away)):
        at = instant(row["at"])
        key = (row["tank"], at.astimezone(zone).date())
        known = days.get(key)
        days[key] = Seen(*key, row["who"], known.first if known else at, at)
    return _by_tank(days)


def _by_tank(days: Mapping[tuple[str, date], Seen]) -> dict[str, list[Seen]]:
    found: dict[str, list[Seen]] = {}
    for each in sorted(days.values(), key=lambda s: s.last, reverse=True):
        found.setdefault(each.tank, []).append(each)
    return found


def on_list_since(db: Database, kind: str, name: str) -> datetime | None:
    """When the tank, client or person was put on the team's list."""
    sql = (
        "select min(m.at) as at from journal j join message m on m.id = j.message_id join roster r on r.id = j.row_id"
        " where j.tab = 'roster' and r.kind = ? and r.name = ?"
    )
    row = one(db, sql, [kind, name])
    return instant(row["at"]) if row and row["at"] is not None else None
