"""Signs of life, one row a name: when the service last ran, polled, delivered, made a copy."""

from __future__ import annotations

import json
from datetime import datetime
from typing import Any

from sqlite_utils import Database

from bot.store.database import epoch, instant, one, rows


def beat(db: Database, name: str, at: datetime, **data: Any) -> None:
    """Notes that `name` happened at that time."""
    db.conn.execute(
        "insert into pulse (name, at, data) values (?, ?, ?)"
        " on conflict (name) do update set at = excluded.at, data = excluded.data",
        [name, epoch(at), json.dumps(data)],
    )


def last(db: Database, name: str) -> datetime | None:
    """When `name` last happened; None for never."""
    row = one(db, "select at from pulse where name = ?", [name])
    return instant(row["at"]) if row else None


def beats(db: Database) -> dict[str, tuple[datetime, dict[str, Any]]]:
    """All signs of life with what was noted beside them."""
    return {r["name"]: (instant(r["at"]), json.loads(r["data"])) for r in rows(db, "select * from pulse")}
