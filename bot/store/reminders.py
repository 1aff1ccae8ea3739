"""Moments at which something must be looked at again: tasks, ladders of their own, cards of the day."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlite_utils import Database

from bot.store.database import epoch, instant, rows
from bot.store.journal import alter, put


@dataclass(frozen=True)
class Reminder:
    """Something of `kind` to do at `at`; `data` is for whoever set it."""

    id: int
    kind: str
    at: datetime
    who: str | None
    chat: str | None
    tank: str | None
    state: str
    fact_id: int | None
    data: Mapping[str, Any]


def set_reminder(
    db: Database, message_id: int, kind: str, at: datetime, who: str | None = None, chat: str | None = None,
    tank: str | None = None, fact_id: int | None = None, **data: Any,
) -> int:  # fmt: skip
    """Sets a reminder; returns its number."""
    return put(
        db, message_id, "reminder", kind=kind, at=at, who=who, chat=chat, tank=tank, state="set",
        fact_id=fact_id, data=data,
    )  # fmt: skip


def alter_reminder(db: Database, message_id: int, reminder_id: int, **values: Any) -> None:
    """Moves it (`at`), ends it (`state` = done or off), or changes its data."""
    alter(db, message_id, "reminder", reminder_id, **values)


def of_fact(db: Database, fact_id: int) -> list[Reminder]:
    """The reminders still set that belong to a fact."""
    found = rows(db, "select * from reminder where fact_id = ? and state = 'set' order by id", [fact_id])
    return [_row(r) for r in found]


def due(db: Database, now: datetime) -> list[Reminder]:
    """Reminders whose time has come, the oldest first."""
    sql = "select * from reminder where state = 'set' and at <= ? order by at, id"
    return [_row(r) for r in rows(db, sql, [epoch(now)])]


def set_ones(db: Database, kind: str, tank: str | None = None) -> list[Reminder]:
    """Reminders of a kind still to come, by time; of one tank where named."""
    found = map(_row, rows(db, "select * from reminder where state = 'set' and kind = ? order by at, id", [kind]))
    return [r for r in found if tank is None or r.tank == tank]


def _row(row: dict[str, Any]) -> Reminder:
    return Reminder(**(row | {"at": instant(row["at"]), "data": json.loads(row["data"])}))
