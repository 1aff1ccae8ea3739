"""The record as CSV, one file a table, readable without this program: ISO times, a unit column, the words as typed.

A text cell that a spreadsheet would take for a formula gets an apostrophe in front; numbers are left as they are.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator
from typing import Any
from zoneinfo import ZoneInfo

from sqlite_utils import Database

from bot.store.database import instant
from bot.store.logbook import CONFIRMED, IN_FORCE
from bot.store.roster import load_team

_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_FACT = f"""select f.id as entry, f.message_id as message, f.kind, f.at as time, f.tank, f.vat, f.name, f.value, f.unit,
 f.who, f.item, {IN_FORCE} as in_force, m.text as words,
 {CONFIRMED} as confirmed
 from fact f join message m on m.id = f.message_id"""
_READING = ("below", "above", "about", "low", "high", "basis", "of", "unconfirmed")
_EVENT = ("event", "amount", "count", "subject", "state", "from_tank", "to_tank", "open", "closes", "batch")
_TABLES: dict[str, tuple[str, str]] = {
    "readings": (
        "time tank vat parameter value unit below above about low high basis of unconfirmed confirmed in_force who"
        " words entry message",
        f"{_FACT} where f.kind = 'reading' order by f.at, f.id",
    ),
    "events": (
        "time tank vat event amount unit count subject state from_tank to_tank open closes in_force who words entry"
        " message",
        f"{_FACT} where f.kind = 'event' order by f.at, f.id",
    ),
    "entries": (
        "time kind tank vat name value unit in_force who item words entry message",
        f"{_FACT} where f.kind not in ('reading', 'event') order by f.at, f.id",
    ),
    "waits": (
        "wait kind step tank vat subject owner started_at minutes due_at ended_at state",
        "select id as wait, * from wait order by id",
    ),
    "changes": (
        "time what reason who entry message tank name value unit",
        "select s.at as time, s.what, s.reason, m.who, s.fact_id as entry, s.message_id as message, f.tank, f.name,"
        " f.value, f.unit from standing s join message m on m.id = s.message_id join fact f on f.id = s.fact_id"
        " order by s.id",
    ),
    "messages": (
        "message kind said_at arrived_at stored_at who chat words file",
        "select id as message, kind, coalesce(sent_at, at) as said_at, at as arrived_at, stored_at, who, chat,"
        " text as words, file from message order by id",
    ),
}
_ROSTER = {
    "people": ("person", "name role units"),
    "clients": ("client", "name address contact chloramine water"),
    "tanks": ("tank", "name client kind volume nicknames animals invertebrates ranges orders every_days weekday notes"),
    "vats": ("vat", "name volume holds fills_at notes"),
}
_TIMES = frozenset({"time", "started_at", "due_at", "ended_at", "said_at", "arrived_at", "stored_at"})
_YES_NO = frozenset({"in_force", "confirmed"})


def csv_files(db: Database) -> dict[str, Iterator[str]]:
    """Each table's file name and its text, line by line."""
    zone = ZoneInfo(load_team(db).zone)
    files = {f"{name}.csv": _table(db, columns.split(), sql, zone) for name, (columns, sql) in _TABLES.items()}
    return files | {f"{name}.csv": _roster(db, kind, columns.split()) for name, (kind, columns) in _ROSTER.items()}


def _table(db: Database, columns: list[str], sql: str, zone: ZoneInfo) -> Iterator[str]:
    yield _line(columns)
    for row in db.conn.execute(sql):
        known = dict(row) | _of_item(row["item"] if "item" in row.keys() else None)  # noqa: SIM118
        yield _line([_shown(column, known.get(column), zone) for column in columns])


def _roster(db: Database, kind: str, columns: list[str]) -> Iterator[str]:
    yield _line([*columns, "in_force"])
    for row in db.conn.execute("select data, active from roster where kind = ? order by id", [kind]):
        known = json.loads(row["data"])
        yield _line([*(known.get(column) for column in columns), "yes" if row["active"] else "no"])


def _of_item(text: str | None) -> dict[str, Any]:
    """What a reading or an event holds beside the columns of its row."""
    item = json.loads(text) if text else {}
    return {key: item[key] for key in ("parameter", *_READING, *_EVENT) if key in item}


def _shown(column: str, value: Any, zone: ZoneInfo) -> Any:
    if column in _TIMES and value is not None:
        return instant(value).astimezone(zone).isoformat()
    return ("yes" if value else "no") if column in _YES_NO else value


def lines_of(rows: Iterable[list[Any]]) -> Iterator[str]:
    """Rows of any table as lines of CSV."""
    return map(_line, rows)


def _line(cells: list[Any]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow([_cell(value) for value in cells])
    return out.getvalue()


def _cell(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return f"{value:.15g}"
    if isinstance(value, dict | list):
        value = json.dumps(value, ensure_ascii=False, separators=(",", ":"))
    return neutralised(value or "")


def neutralised(text: str) -> str:
    """The text so that no spreadsheet runs it as a formula."""
    return f"'{text}" if text.startswith(_FORMULA) else text
