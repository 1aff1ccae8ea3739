"""What the record holds about water at the shop: batches made, draws from them, readings of a vat, how each rested."""

from __future__ import annotations

from datetime import datetime

from sqlite_utils import Database

from bot.items import Reading
from bot.store import logbook, waits
from bot.store.database import epoch, one, rows
from bot.store.logbook import Fact
from bot.store.waits import WaitRow

_DRAWN_BY = ("water_change", "top_off")
_MANY = 100_000


def facts(db: Database, since: datetime | None = None) -> list[Fact]:
    """Everything in force about batches since then, in the order said: made, looked at, drawn from, dumped."""
    made = logbook.events(db, None, since=since, kind="batch", limit=_MANY)
    if not made:
        return []
    drawn = logbook.events(db, None, _DRAWN_BY, since=since, limit=_MANY)
    from_vat = [f for f in drawn if getattr(f.item, "vat", None) or getattr(f.item, "batch", None)]
    return sorted((*made, *from_vat), key=lambda f: f.id)


def readings(db: Database, vat: str | None, since: datetime) -> list[tuple[datetime, Reading]]:
    """What was measured of a vat's water since then, in the order of time; unconfirmed values left out."""
    sql = "select id from fact where kind = 'reading' and vat = ? and at >= ? order by at, id"
    found = [logbook.fact(db, row["id"]) for row in rows(db, sql, [vat, epoch(since)])]
    in_force = [(f.at, f.item) for f in found if f and not f.void and isinstance(f.item, Reading)]
    return [(at, item) for at, item in in_force if item.of == "batch" and not item.unconfirmed]


def rest(db: Database, number: int) -> WaitRow | None:
    """The latest rest of a batch, over or not; None where it never rested."""
    sql = "select id from wait where kind = 'mix_rest' and json_extract(data, '$.batch') = ? order by id desc limit 1"
    row = one(db, sql, [number])
    return waits.wait(db, row["id"]) if row else None


def bare_rest(db: Database, vat: str | None) -> WaitRow | None:
    """The open rest of a vat that belongs to no batch: nobody said how much water went in."""
    found = [w for w in waits.open_waits(db) if vat and w.vat == vat and w.kind == "mix_rest"]
    return next((w for w in found if w.data.get("batch") is None), None)


def highest_number(db: Database) -> int:
    """The highest number that a batch ever had, taken back or not; 0 where there was none."""
    row = one(db, "select max(json_extract(item, '$.number')) as n from fact where kind = 'batch'")
    return int(row["n"] or 0) if row else 0


def numbers_of_wording(db: Database, message_id: int) -> list[int]:
    """The numbers that batches had in earlier words of an edited message, in the order said."""
    sql = (
        "select json_extract(f.item, '$.number') as n from fact f join message m on m.id = f.message_id"
        " where f.kind = 'batch' and n is not null and m.id < :id and coalesce(m.earlier, m.id) ="
        " (select earlier from message where id = :id) order by m.id desc, f.id"
    )
    found = [int(row["n"]) for row in db.query(sql, {"id": message_id})]
    return list(dict.fromkeys(found))


def is_in_use(db: Database) -> bool:
    """Whether the team ever told of a batch."""
    return bool(rows(db, "select 1 from fact where kind = 'batch' limit 1"))
