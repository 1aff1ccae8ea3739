"""The waits: their table is the truth about what is due."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlite_utils import Database

from bot.store.database import epoch, instant, one, rows
from bot.store.journal import alter, put

OPEN = ("running", "asked", "gate")


@dataclass(frozen=True)
class WaitRow:
    """A wait as it stands. `data` holds what its course needs: answers given, ladder, handover, amounts."""

    id: int
    kind: str
    step: str | None
    tank: str | None
    vat: str | None
    subject: str | None
    owner: str
    chat: str
    topic: str | None
    started_at: datetime
    minutes: float
    due_at: datetime
    state: str
    next_at: datetime | None
    rung: int
    ended_at: datetime | None
    fact_id: int | None
    data: Mapping[str, Any]

    @property
    def is_open(self) -> bool:
        """Whether it still needs something: time, or an answer."""
        return self.state in OPEN


def start(db: Database, message_id: int, **values: Any) -> WaitRow:
    """Starts a wait (columns of the table as named values) and returns it."""
    return wait(db, put(db, message_id, "wait", **values))


def alter_wait(db: Database, message_id: int, wait_id: int, **values: Any) -> WaitRow:
    """Changes columns of a wait; `data` replaces the whole of its data."""
    alter(db, message_id, "wait", wait_id, **values)
    return wait(db, wait_id)


def wait(db: Database, wait_id: int) -> WaitRow:
    """The wait of that number; KeyError where there is none."""
    row = one(db, "select * from wait where id = ?", [wait_id])
    if row is None:
        raise KeyError(wait_id)
    return _row(row)


def find(db: Database, wait_id: int) -> WaitRow | None:
    """The wait of that number, or None (taken back, or never there)."""
    row = one(db, "select * from wait where id = ?", [wait_id])
    return _row(row) if row else None


def open_waits(db: Database, owner: str | None = None, tank: str | None = None) -> list[WaitRow]:
    """Waits that still need something, by due time; of one owner or one tank where named."""
    found = map(_row, rows(db, "select * from wait where state in ('running', 'asked', 'gate') order by due_at, id"))
    return [w for w in found if (owner is None or w.owner == owner) and (tank is None or w.tank == tank)]


def of_fact(db: Database, fact_id: int) -> list[WaitRow]:
    """The waits that a fact started, open or closed."""
    return [_row(r) for r in rows(db, "select * from wait where fact_id = ? order by id", [fact_id])]


def due(db: Database, now: datetime) -> list[WaitRow]:
    """Waits with whom something must happen by now, the most overdue first."""
    return [_row(r) for r in rows(db, "select * from wait where next_at <= ? order by next_at, id", [epoch(now)])]


def stop_unsaid(db: Database, message_id: int, at: datetime) -> None:
    """Stops the open waits whose sentence is out of force (taken back, or edited into another)."""
    said = (
        "select what from standing s where s.fact_id = wait.fact_id and s.what <> 'confirm' order by s.id desc limit 1"
    )
    sql = f"select id from wait where state in ('running', 'asked', 'gate') and ({said}) = 'void'"
    for row in rows(db, sql):
        alter_wait(db, message_id, row["id"], state="stopped", ended_at=at, next_at=None)


def next_due(db: Database) -> datetime | None:
    """When something must happen next, with any wait or reminder; None where nothing is pending."""
    row = one(
        db,
        "select min(t) as t from (select min(next_at) as t from wait where next_at is not null"
        " union all select min(at) from reminder where state = 'set')",
    )
    return instant(row["t"]) if row and row["t"] is not None else None


def _row(row: dict[str, Any]) -> WaitRow:
    times = {k: instant(row[k]) if row[k] is not None else None for k in ("next_at", "ended_at")}
    sure = {k: instant(row[k]) for k in ("started_at", "due_at")}
    return WaitRow(**(row | times | sure | {"data": json.loads(row["data"])}))
