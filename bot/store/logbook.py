"""The facts: what was understood, who said it, and whether it is in force.

A fact is written once. Taking it out of force, putting it back and confirming it are rows of their own (`standing`).
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache
from typing import Any

from sqlite_utils import Database

from bot.items import Item, Reading
from bot.items_json import as_json, from_json
from bot.store.database import add, epoch, instant, one, rows


@dataclass(frozen=True)
class Fact:
    """An item as it stands in the logbook. `at` is when it held, not when it was typed."""

    id: int
    message_id: int
    who: str
    at: datetime
    item: Item
    void: bool = False


_LAST = "(select what from standing s where s.fact_id = f.id and s.what <> 'confirm' order by s.id desc limit 1)"
CONFIRMED = """exists (
  select 1 from standing s where s.fact_id = f.id and s.what = 'confirm' and coalesce((
    select r.what from reversal r where r.target_id = s.message_id order by r.id desc limit 1), '') <> 'undo')"""
_SELECT = f"select f.*, coalesce({_LAST}, '') = 'void' as void, {CONFIRMED} as confirmed from fact f"
_SELECT_IN_FORCE = f"select f.*, 0 as void, {CONFIRMED} as confirmed from fact f"
ENTRIES = "('reading', 'event', 'wait', 'task')"
IN_FORCE = f"coalesce({_LAST}, '') <> 'void'"


def keep(db: Database, message_id: int, who: str, item: Item, said_at: datetime) -> int:
    """Writes an item down as said in `message_id`; returns the number of the fact."""
    at = getattr(item, "at", None) or getattr(item, "started", None) or said_at
    name = next((n for k in _NAMES if (n := getattr(item, k, None))), None)
    beyond = isinstance(item, Reading) and item.beyond
    value = next((v for k in ("value", "amount") if (v := getattr(item, k, None)) is not None and not beyond), None)
    return add(
        db, "fact", message_id=message_id, kind=item.kind, tank=getattr(item, "tank", None),
        vat=getattr(item, "vat", None), name=name, value=value, unit=getattr(item, "unit", None),
        at=epoch(at), who=who, item=as_json(item),
    )  # fmt: skip


def void(db: Database, message_id: int, fact_id: int, reason: str, at: datetime) -> None:
    """Takes a fact out of force."""
    add(db, "standing", fact_id=fact_id, message_id=message_id, what="void", reason=reason, at=at)


def restore(db: Database, message_id: int, fact_id: int, reason: str, at: datetime) -> None:
    """Puts a fact back in force."""
    add(db, "standing", fact_id=fact_id, message_id=message_id, what="restore", reason=reason, at=at)


def confirm(db: Database, message_id: int, fact_id: int, reason: str, at: datetime) -> None:
    """Says that an unconfirmed reading is right."""
    add(db, "standing", fact_id=fact_id, message_id=message_id, what="confirm", reason=reason, at=at)


def fact(db: Database, fact_id: int) -> Fact | None:
    """One fact, in force or not."""
    row = one(db, f"{_SELECT} where f.id = ?", [fact_id])
    return _fact(row) if row else None


def facts_of(db: Database, message_ids: Sequence[int]) -> list[Fact]:
    """All facts of the messages, void ones too, in the order said."""
    marks = ", ".join("?" * len(message_ids))
    return _facts(rows(db, f"{_SELECT} where f.message_id in ({marks}) order by f.id", list(message_ids)))


def in_place_of(db: Database, found: Iterable[Fact]) -> list[Fact]:
    """The facts put in the place of others by corrections and moves, and in the place of those; void ones too."""
    sql = (
        f"{_SELECT} join standing s on s.message_id = f.message_id join fact o on o.id = s.fact_id"
        " where o.id = ? and s.what = 'void' and (s.reason = 'correction' or s.reason like 'moved to %')"
        " and f.kind = o.kind and f.name = o.name and f.id > o.id order by f.id"
    )
    known: dict[int, Fact] = {}
    ahead = [f.id for f in found]
    while ahead:
        new = [f for f in _facts(rows(db, sql, [ahead.pop()])) if f.id not in known]
        known |= {f.id: f for f in new}
        ahead += [f.id for f in new]
    return [known[i] for i in sorted(known)]


def last_voided_by(db: Database, fact_id: int) -> int | None:
    """The message that took a fact out of force last."""
    row = one(
        db, "select message_id from standing where fact_id = ? and what = 'void' order by id desc limit 1", [fact_id]
    )
    return int(row["message_id"]) if row else None


def voided(db: Database, kinds: Sequence[str], since: datetime, until: datetime) -> list[Fact]:
    """Facts of these kinds that are out of force, in the order said."""
    marks = ", ".join("?" * len(kinds))
    where = f"f.kind in ({marks}) and f.at >= ? and f.at <= ? and not ({IN_FORCE})"
    return _facts(rows(db, f"{_SELECT} where {where} order by f.id", [*kinds, epoch(since), epoch(until)]))


def newest_by(db: Database, message_id: int) -> int:
    """The number of the newest fact that there was when a message had been worked off; 0 where there was none."""
    row = one(db, "select max(id) as id from fact where message_id <= ?", [message_id])
    return int(row["id"] or 0) if row else 0


def standings(db: Database, fact_id: int) -> list[tuple[str, str, datetime]]:
    """What became of a fact, in order: (the reason, by whom, when)."""
    sql = "select s.reason, m.who, s.at from standing s join message m on m.id = s.message_id where fact_id = ?"
    return [(row["reason"], row["who"], instant(row["at"])) for row in rows(db, f"{sql} order by s.id", [fact_id])]


def last_said_of_a_tank(db: Database, who: str, before: int) -> int | None:
    """The newest message of that person with an entry in force that belongs to a tank; answers to the bot aside."""
    sql = (
        "select f.message_id from message m join fact f on f.message_id = m.id"
        f" where m.who = ? and m.id < ? and f.tank is not null and f.kind in {ENTRIES} and {IN_FORCE}"
        " and not exists (select 1 from fact c where c.message_id = m.id and c.kind = 'control')"
        " order by m.id desc limit 1"
    )
    row = one(db, sql, [who, before])
    return int(row["message_id"]) if row else None


def moved_by(db: Database, message_id: int, what: str) -> list[Fact]:
    """The facts that a message took out of force ("void"), back in force ("restore") or confirmed, in that order."""
    sql = "select fact_id from standing where message_id = ? and what = ? order by id"
    ids = dict.fromkeys(row["fact_id"] for row in rows(db, sql, [message_id, what]))
    return [found for i in ids if (found := fact(db, i))]


def series(db: Database, tank: str, parameter: str, limit: int = 20, until: datetime | None = None) -> list[Fact]:
    """The latest readings of a parameter in force at a tank itself, newest first; unconfirmed ones among them."""
    sql = f"{_SELECT_IN_FORCE} where f.tank = ? and f.name = ? and f.kind = 'reading' and f.at <= ? and {IN_FORCE}"
    found = rows(db, f"{sql} order by f.at desc, f.id desc limit ?", [tank, parameter, _until(until), limit])
    return [f for f in _facts(found) if isinstance(f.item, Reading) and f.item.of == "tank"]


def last_confirmed(db: Database, tank: str, parameter: str, until: datetime | None = None) -> Fact | None:
    """The newest reading in force that somebody stands by."""
    found = series(db, tank, parameter, 20, until)
    return next((f for f in found if isinstance(f.item, Reading) and not f.item.unconfirmed), None)


def events(
    db: Database, tank: str | None, names: Iterable[str] = (), since: datetime | None = None,
    until: datetime | None = None, limit: int = 200, kind: str = "event",
) -> list[Fact]:  # fmt: skip
    """Facts of a kind in force (events unless another kind is named), newest first; `tank` None means every tank."""
    wanted = list(names)
    where = ["f.kind = ?", "f.at >= ?", "f.at <= ?", IN_FORCE]
    args: list[Any] = [kind, epoch(since) if since else 0.0, _until(until)]
    if tank is not None:
        where.append("f.tank = ?")
        args.append(tank)
    if wanted:
        where.append(f"f.name in ({', '.join('?' * len(wanted))})")
        args += wanted
    sql = f"{_SELECT_IN_FORCE} where {' and '.join(where)} order by f.at desc, f.id desc limit ?"
    return _facts(rows(db, sql, [*args, limit]))


def all_of(db: Database, tank: str, since: datetime, until: datetime) -> list[Fact]:
    """Every fact about a tank in a span of time, void ones too, newest first."""
    sql = f"{_SELECT} where f.tank = ? and f.at >= ? and f.at < ? order by f.at desc, f.id desc"
    return _facts(rows(db, sql, [tank, epoch(since), epoch(until)]))


_NAMES = ("parameter", "event", "wait", "topic", "action", "subject")
_FAR = 1e12


def _until(until: datetime | None) -> float:
    return epoch(until) if until else _FAR


def _facts(found: list[dict[str, Any]]) -> list[Fact]:
    return [_fact(row) for row in found]


@lru_cache(maxsize=20_000)
def _item(text: str) -> Item:
    """An item as it is written down; facts never change, so each is read back once."""
    return from_json(json.loads(text))


def _fact(row: dict[str, Any]) -> Fact:
    item = _item(row["item"])
    if row["confirmed"] and isinstance(item, Reading):
        item = replace(item, unconfirmed=False)
    return Fact(row["id"], row["message_id"], row["who"], instant(row["at"]), item, bool(row["void"]))
