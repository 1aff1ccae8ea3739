"""The waits: their table is the truth about what is due."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlite_utils import Database

from bot.store.database import epoch, instant, one, rows
from bot.store.journal import alter, put

OPEN = ("running", "asked", "gate")
_OPEN_NOW = "state in ('running', 'asked', 'gate')"


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


def open_waits(
    db: Database, owner: str | None = None, tank: str | None = None, states: Sequence[str] = OPEN
) -> list[WaitRow]:  # fmt: skip
    """Waits that still need something (in one of the states), by due time; of one owner or one tank where named."""
    where, args = [_OPEN_NOW], []
    for column, value in (("owner", owner), ("tank", tank)):
        if value is not None:
            where.append(f"{column} = ?")
            args.append(value)
    found = map(_row, rows(db, f"select * from wait where {' and '.join(where)} order by due_at, id", args))
    return [w for w in found if w.state in states]


def open_of_kind(db: Database, kind: str) -> list[WaitRow]:
    """Open waits of one kind, by due time: the others are not even read."""
    sql = f"select * from wait where {_OPEN_NOW} and kind = ? order by due_at, id"
    return [_row(r) for r in rows(db, sql, [kind])]


def of_fact(db: Database, fact_id: int) -> list[WaitRow]:
    """The waits that a fact started, open or closed."""
    return [_row(r) for r in rows(db, "select * from wait where fact_id = ? order by id", [fact_id])]


def open_at(db: Database, tanks: Collection[str], owner: str) -> list[WaitRow]:
    """Open waits at these tanks, and those of this owner that stand at no tank; by due time."""
    marks = ", ".join("?" * len(tanks))
    sql = f"select * from wait where {_OPEN_NOW} and (tank in ({marks}) or (tank is null and owner = ?))"
    return [_row(r) for r in rows(db, f"{sql} order by due_at, id", [*tanks, owner])]


def open_in(db: Database, tank: str | None, vat: str | None) -> list[WaitRow]:
    """Open waits of just this tank and vat (None: of none)."""
    sql = f"select * from wait where {_OPEN_NOW} and tank is ? and vat is ? order by due_at, id"
    return [_row(r) for r in rows(db, sql, [tank, vat])]


def held_back(db: Database) -> list[WaitRow]:
    """Open waits that something holds which might be overridden."""
    found = map(_row, rows(db, f'select * from wait where {_OPEN_NOW} and instr(data, \'"held":"\') order by id'))
    return [w for w in found if w.data.get("held")]


def open_of(db: Database, facts: Collection[int]) -> list[WaitRow]:
    """Open waits that one of these facts started."""
    marks = ", ".join("?" * len(facts))
    return [_row(r) for r in rows(db, f"select * from wait where {_OPEN_NOW} and fact_id in ({marks})", [*facts])]


def called_in(db: Database, name: str) -> list[WaitRow]:
    """Open waits to which this person was called, or asked to take."""
    sql = f"select * from wait where {_OPEN_NOW} and instr(data, ?) order by due_at, id"
    found = map(_row, rows(db, sql, [f'"{name}"']))
    return [w for w in found if name in w.data.get("told", ()) or (w.data.get("handover") or {}).get("to") == name]


def last_before(db: Database, owner: str, until: datetime) -> datetime:
    """The latest moment up to `until` at which a running wait of this owner pings; `until` where there is none."""
    sql = f"select max(next_at) as t from wait where {_OPEN_NOW} and owner = ? and state = 'running' and next_at <= ?"
    row = one(db, sql, [owner, epoch(until)])
    return instant(row["t"]) if row and row["t"] is not None else until


def since(db: Database, owner: str, start: datetime) -> list[WaitRow]:
    """All waits of an owner that started since then, whatever became of them, by their start."""
    sql = "select * from wait where owner = ? and started_at >= ? order by started_at, id"
    return [_row(r) for r in rows(db, sql, [owner, epoch(start)])]


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


def answers_in(image: Mapping[str, Any] | None) -> Mapping[str, str]:
    """The answers that a wait's row held, as the journal kept it before or after a change."""
    data: Mapping[str, Mapping[str, str]] = json.loads((image or {}).get("data") or "{}")
    return data.get("answers", {})


def _row(row: dict[str, Any]) -> WaitRow:
    times = {k: instant(row[k]) if row[k] is not None else None for k in ("next_at", "ended_at")}
    sure = {k: instant(row[k]) for k in ("started_at", "due_at")}
    return WaitRow(**(row | times | sure | {"data": json.loads(row["data"])}))
