"""What one step of a replay put out: the messages it posted, with what it stored and took out of force."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlite_utils import Database

from bot.doors import drawn
from bot.items_json import as_json
from bot.store import logbook, outbox
from bot.store.database import rows
from bot.store.roster import load_team


def outputs(db: Database, message_id: int | None, at: datetime, number: int | None) -> Iterator[dict[str, Any]]:
    """The outbox as output lines, each crossed off; what was stored stands with the first of them."""
    when = at.astimezone(ZoneInfo(load_team(db).zone)).isoformat()
    changes = _changes(db, message_id)
    for row in sorted(outbox.unsent(db, 10_000), key=lambda r: int(r["id"])):
        drawn.ready(db, outbox.as_outgoing(row))
        outbox.crossed_off(db, row["id"], at, ref=f"b{row['id']}")
        yield _said(row, when, number) | changes
        changes = {"stored": [], "voided": []}
    if changes["stored"] or changes["voided"]:
        yield {"at": when, "to": "", "text": "", "buttons": [], "files": [], "line": number, "unasked": False} | changes


def problem(at: datetime, number: int, words: str) -> dict[str, Any]:
    """A line of the script that could not be carried out, as an output line."""
    nothing: dict[str, Any] = {"to": "", "text": "", "buttons": [], "files": [], "unasked": False, "sound": False}
    return {"at": at.isoformat(), "line": number, "problem": words, **nothing, "stored": [], "voided": []}


def _said(row: dict[str, Any], when: str, number: int | None) -> dict[str, Any]:
    unasked = bool(row["unasked"])
    said = {
        "at": when,
        "to": row["chat"],
        "text": row["text"],
        "buttons": [button.label for button in outbox.buttons_of(row)],
        "files": json.loads(row["files"]),
        "unasked": unasked,
        "sound": bool(row["sound"]),
    }
    extra = {"line": number} if number is not None and not unasked else {}
    return said | extra | ({"topic": row["topic"]} if row["topic"] else {})


def _changes(db: Database, message_id: int | None) -> dict[str, Any]:
    """Facts that the step put in force (new, restored, confirmed) and those it took out of force."""
    if message_id is None:
        return {"stored": [], "voided": []}
    new = {f.id: f for f in logbook.facts_of(db, [message_id]) if not f.void}
    standings = rows(db, "select fact_id, what from standing where message_id = ? order by id", [message_id])
    moved = {row["fact_id"]: row["what"] for row in standings if row["fact_id"] not in new}
    facts = {i: f for i in moved if (f := logbook.fact(db, i)) and f.message_id != message_id}
    stored = [*new.values(), *(facts[i] for i in facts if moved[i] != "void" and not facts[i].void)]
    voided = [facts[i] for i in facts if moved[i] == "void" and not _was_void(db, i, message_id)]
    return {"stored": [as_json(f.item) for f in stored], "voided": [as_json(f.item) for f in voided]}


def _was_void(db: Database, fact_id: int, before: int) -> bool:
    """Whether a fact was out of force already before the message."""
    sql = (
        "select what from standing where fact_id = ? and message_id < ? and what <> 'confirm' order by id desc limit 1"
    )
    return [row["what"] for row in rows(db, sql, [fact_id, before])] == ["void"]
