"""Loads the demo team and its fourteen weeks of readings and work, moved in time so that they end yesterday."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from sqlite_utils import Database

from bot.items_json import from_json
from bot.messages import Incoming
from bot.store.database import writing
from bot.store.logbook import keep
from bot.store.roster import set_up_team
from bot.store.said import record, record_import
from bot.store.seal import seal

FOLDER = Path(__file__).parent.parent.parent / "fixtures" / "demo"
_LAST_WRITTEN = date(2026, 3, 8)
_DATE = re.compile(r"\d{4}-\d\d-\d\d")


def load_demo(db: Database, now: datetime) -> None:
    """Sets up the demo team in an empty database and writes its past down, in one transaction.

    The past is moved by whole weeks, so each visit keeps its weekday, and cut off at the midnight before `now`.
    Raises FileNotFoundError where the program runs without its fixtures (not from a clone).
    """
    with writing(db):
        load_demo_team(db, now)
        for number, line in enumerate(_past(demo_team(now)["zone"], now)):
            _write_down(db, number, line)


def load_demo_team(db: Database, now: datetime) -> None:
    """Sets up the demo team alone."""
    with writing(db):
        message_id = record_import(db, "", now - timedelta(weeks=14), "the demo team", "team.json")
        set_up_team(db, message_id, demo_team(now))
        seal(db, message_id)


def demo_team(now: datetime) -> dict[str, Any]:
    """The demo team as section 4 of the machine-readable face writes it, its dates moved next to `now`."""
    text = (FOLDER / "team.json").read_text(encoding="utf-8")
    zone = json.loads(text)["team"]["zone"]
    shift = _shift(_today(zone, now))
    moved = _DATE.sub(lambda found: str(date.fromisoformat(found[0]) + shift), text)
    team: dict[str, Any] = json.loads(moved)["team"]
    return team


def _past(zone: str, now: datetime) -> Iterator[dict[str, Any]]:
    today = _today(zone, now)
    shift, midnight = _shift(today), datetime.combine(today, time())
    for text in (FOLDER / "history.jsonl").read_text(encoding="utf-8").splitlines():
        line = json.loads(text)
        at = datetime.fromisoformat(line["at"]) + shift
        if at < midnight:
            yield line | {"at": at.replace(tzinfo=ZoneInfo(zone))}


def _write_down(db: Database, number: int, line: dict[str, Any]) -> None:
    who, at = line["who"], line["at"]
    message_id = record(db, Incoming(at=at, who=who, chat=who, text=line["text"], ref=f"demo-{number}"))
    for item in line["items"]:
        keep(db, message_id or 0, who, from_json(item), at)
    seal(db, message_id or 0)


def _today(zone: str, now: datetime) -> date:
    return now.astimezone(ZoneInfo(zone)).date()


def _shift(today: date) -> timedelta:
    """Whole weeks that bring the last written day to yesterday or at most six days later."""
    behind = (today - timedelta(days=1) - _LAST_WRITTEN).days
    return timedelta(weeks=-(-behind // 7))
