"""The whole record as JSON (machine-readable face, section 4): out to a file, and back into an empty database.

An export is `{"team": ..., "record": ...}`: the record holds every table that belongs to it, row by row in the order of
writing, so that the database can be rebuilt and exports the same bytes again.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterator, Mapping
from datetime import datetime
from typing import Any

from sqlite_utils import Database

from bot.store.database import one, rows, writing
from bot.store.faults import fault_in_words
from bot.store.roster import set_up_team, team_json
from bot.store.said import record_import
from bot.store.schema import MIGRATIONS, RECORD, STATE
from bot.store.seal import seal
from bot.store.teamfile import faults

TABLES = RECORD + STATE
_HOLD_JSON = frozenset({"item", "before", "after", "data", "options", "faults"})


class Refused(Exception):
    """A file that cannot be taken in: what was seen, why it cannot stand, what to do instead."""


def exported(db: Database) -> Iterator[str]:
    """The text of an export, in pieces; the same record always gives the same text."""
    yield f'{{"team": {_json(team_json(db))},\n"record": {{"version": {len(MIGRATIONS)}'
    yield f',\n"numbers": {_json(_numbers(db))}'
    for table in TABLES:
        yield f',\n"{table}": ['
        yield from _rows_as_text(db, table)
        yield "]"
    yield "\n}}\n"


def bring_in(db: Database, data: Mapping[str, Any], who: str, at: datetime) -> str:
    """Takes in what `exported` wrote, or a team alone; returns what was done, in a few words. Raises Refused."""
    if not isinstance(data.get("team"), Mapping):
        raise Refused(
            'The file holds no {"team": ...}: it is not an export of this program. Send the file as exported.'
        )
    if wrong := faults(data["team"]):
        raise Refused("\n".join(["The team cannot be taken in; nothing is stored.", *wrong]))
    with writing(db):
        return _readably(lambda: _rebuild(db, data)) if "record" in data else _add_team(db, data["team"], who, at)


def _readably(rebuild: Callable[[], str]) -> str:
    """A record of a form that no export has is refused as such; trouble with the disk stays what it is."""
    try:
        return rebuild()
    except (AttributeError, KeyError, TypeError, ValueError, OverflowError, sqlite3.Error) as fault:
        if fault_in_words(fault):
            raise
        raise Refused(
            f"The record in the file is not as an export writes it ({fault}); nothing is stored. "
            "Import the untouched export."
        ) from None


def _add_team(db: Database, team: Mapping[str, Any], who: str, at: datetime) -> str:
    message_id = record_import(db, who, at, f"team {team.get('name', '')}".strip())
    set_up_team(db, message_id, team)
    seal(db, message_id)
    return ", ".join(f"{len(team.get(group, ()))} {group}" for group in ("people", "clients", "tanks", "vats"))


def _rebuild(db: Database, data: Mapping[str, Any]) -> str:
    record = data["record"]
    _check(db, record)
    db.conn.execute("pragma defer_foreign_keys = on")
    for table in TABLES:
        for row in record.get(table, ()):
            _insert(db, table, row)
    for table, number in record.get("numbers", {}).items():
        db.conn.execute("delete from sqlite_sequence where name = ?", [table])
        db.conn.execute("insert into sqlite_sequence (name, seq) values (?, ?)", [table, number])
    if team_json(db) != data["team"]:
        raise Refused(
            "The team in the file is not the one that its record ends with: one of them was edited. "
            "Import the untouched export, then send the changes in words or as a file that holds the team alone."
        )
    return ", ".join(f"{len(record.get(table, ()))} {word}" for table, word in _COUNTED.items())


_COUNTED = {"message": "messages", "fact": "facts", "wait": "waits"}


def _check(db: Database, record: Mapping[str, Any]) -> None:
    if any(one(db, f"select 1 from {table} limit 1") for table in TABLES):
        raise Refused("This database already holds a record. A whole record goes into an empty one: name a new file.")
    if record.get("version", 0) > len(MIGRATIONS):
        raise Refused("The file was written by a newer release. Install that release, then import again.")


def _insert(db: Database, table: str, row: Mapping[str, Any]) -> None:
    known = {r["name"] for r in rows(db, "select name from pragma_table_info(?)", [table])}
    if set(row) - known:
        raise Refused(f"{table} has columns nobody here knows: {', '.join(sorted(set(row) - known))}.")
    values = [_json(v) if k in _HOLD_JSON and isinstance(v, dict | list) else v for k, v in row.items()]
    db.conn.execute(f"insert into {table} ({', '.join(row)}) values ({', '.join('?' * len(row))})", values)


def _numbers(db: Database) -> dict[str, int]:
    """The highest number that each table ever gave away: a row taken back must not lend its number to another."""
    return {r["name"]: r["seq"] for r in rows(db, "select name, seq from sqlite_sequence order by name")}


def _rows_as_text(db: Database, table: str) -> Iterator[str]:
    comma = ""
    for row in db.conn.execute(f"select * from {table} order by 1"):
        cells = ", ".join(f'"{name}": {_cell(name, row[name])}' for name in row.keys())  # noqa: SIM118
        yield f"{comma}\n{{{cells}}}"
        comma = ","


def _cell(name: str, value: Any) -> str:
    return value if name in _HOLD_JSON and value is not None else json.dumps(value, ensure_ascii=False)


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))
