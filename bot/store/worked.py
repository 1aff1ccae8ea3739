"""What was worked out: the question, its figures, and the facts that it came from; so that a correction finds it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlite_utils import Database

from bot.items import Item, Question
from bot.items_json import as_json, from_json
from bot.store.database import add, epoch, instant, one, rows


@dataclass(frozen=True)
class Worked:
    """An answer, a report, a plot: `item` is what was asked for, `data` what came out."""

    id: int
    message_id: int
    who: str
    tank: str | None
    at: datetime
    item: Item
    data: Mapping[str, Any]


_SELECT = "select w.*, m.who from worked w join message m on m.id = w.message_id"


def keep(
    db: Database, message_id: int, tank: str | None, at: datetime, item: Item, data: Mapping[str, Any],
    facts: Iterable[int] = (),
) -> int:  # fmt: skip
    """Notes what came out of `item`, and from which facts; returns its number."""
    worked_id = add(db, "worked", message_id=message_id, tank=tank, at=at, item=as_json(item), data=dict(data))
    for fact_id in facts:
        add(db, "worked_from", message_id=message_id, worked_id=worked_id, fact_id=fact_id)
    return worked_id


def find(db: Database, worked_id: int) -> Worked | None:
    """The one of that number."""
    row = one(db, f"{_SELECT} where w.id = ?", [worked_id])
    return _worked(row) if row else None


def from_fact(db: Database, fact_id: int) -> list[Worked]:
    """Everything that was worked out from a fact, in order."""
    sql = f"{_SELECT} join worked_from f on f.worked_id = w.id where f.fact_id = ? order by w.id"
    return [_worked(row) for row in rows(db, sql, [fact_id])]


def sources(db: Database, worked_id: int) -> list[int]:
    """The facts that an answer came from."""
    return [row["fact_id"] for row in rows(db, "select fact_id from worked_from where worked_id = ?", [worked_id])]


def last_asked(db: Database, who: str, since: datetime) -> Question | None:
    """The sum that somebody had worked out last, not before `since`."""
    sql = (
        f"{_SELECT} where m.who = ? and w.at >= ? and json_extract(w.item, '$.kind') = 'question'"
        " order by w.id desc limit 1"
    )
    row = one(db, sql, [who, epoch(since)])
    item = _worked(row).item if row else None
    return item if isinstance(item, Question) else None


def at_tank(db: Database, tank: str, since: datetime, until: datetime) -> list[Worked]:
    """Everything worked out for a tank in a span of time, in order."""
    sql = f"{_SELECT} where w.tank = ? and w.at >= ? and w.at <= ? order by w.id"
    return [_worked(row) for row in rows(db, sql, [tank, epoch(since), epoch(until)])]


def _worked(row: Mapping[str, Any]) -> Worked:
    item, data = from_json(json.loads(row["item"])), json.loads(row["data"])
    return Worked(row["id"], row["message_id"], row["who"], row["tank"], instant(row["at"]), item, data)
