"""A database as it stands after years: readings, work and messages of many tanks, written straight into the tables."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from bot.store.database import open_database, writing
from bot.store.roster import set_up_team
from bot.store.said import record_import
from bot.store.seal import seal

END = datetime(2026, 3, 10, 8, 0, tzinfo=UTC)
YEARS, MILLION, TANKS, PEOPLE = 10, 1_000_000, 60, ("ana", "ben", "cleo", "dora")
PANEL = {
    "temperature": (78.0, 0.4, "degF"), "ph": (8.2, 0.05, "pH"), "salinity": (1.0255, 0.0004, "SG"),
    "alkalinity": (8.4, 0.2, "dKH"), "nitrate": (9.0, 1.0, "mg/L"),
}  # fmt: skip
START = datetime(1900, 1, 1, tzinfo=UTC)
INDEXES = (
    "fact_series",
    "fact_message",
    "fact_kind",
    "fact_time",
    "message_once",
    "message_who",
    "fact_name",
    "fact_tank_kind",
)


def team() -> dict[str, Any]:
    """Sixty tanks of twenty clients."""
    roles = ("technician", "technician", "office", "owner")
    tanks = [
        {"name": name_of(i), "client": f"Client {i // 3}", "kind": "reef", "invertebrates": True,
         "volume": {"value": 90 + i, "unit": "gal"}, "panel": list(PANEL)}
        for i in range(TANKS)
    ]  # fmt: skip
    return {
        "name": "Long round", "units": "us", "zone": "America/New_York",
        "people": [{"name": n, "role": r} for n, r in zip(PEOPLE, roles, strict=True)],
        "clients": [{"name": f"Client {i}"} for i in range(TANKS // 3)], "tanks": tanks,
        "vats": [{"name": "Vat A", "volume": {"value": 100, "unit": "gal"}, "holds": "salt"}],
    }  # fmt: skip


TREES = (
    "Alder", "Birch", "Cedar", "Dogwood", "Elder", "Fir", "Ginkgo", "Hazel", "Ironwood", "Juniper", "Katsura", "Larch",
    "Maple", "Nutmeg", "Oak", "Poplar", "Quince", "Rowan", "Spruce", "Tamarack",
)  # fmt: skip


def name_of(i: int) -> str:
    """The tank of that number."""
    return f"{TREES[i // 3]} {('lobby', 'hall', 'den')[i % 3]}"


def build(path: Path, readings: int) -> Database:
    """A database with about so many readings, a tenth as much work, and the messages they came in. A million readings
    are ten years of sixty tanks; more go back further, so that a tank's last week is the same in each.
    """
    db = open_database(path)
    with writing(db):
        cause = record_import(db, "", START, "team")
        set_up_team(db, cause, team())
        seal(db, cause)
    definitions = {
        row["name"]: row["sql"] for row in db.query("select name, sql from sqlite_master where type = 'index'")
    }
    db.conn.execute("pragma synchronous = off")
    for name in INDEXES:
        db.conn.execute(f"drop index {name}")
    with writing(db):
        _fill(db, readings)
    for name in INDEXES:
        db.conn.execute(definitions[name])
    db.conn.execute("analyze")
    db.conn.execute("pragma synchronous = full")
    return db


def _fill(db: Database, readings: int) -> None:
    said = "insert into message (id, kind, chat, ref, who, at, stored_at, text) values (?, 'said', ?, ?, ?, ?, ?, ?)"
    fact = (
        "insert into fact (message_id, kind, tank, name, value, unit, at, who, item) values (?, ?, ?, ?, ?, ?, ?, ?, ?)"
    )
    for message, facts in _visits(readings):
        db.conn.execute(said, message)
        db.conn.executemany(fact, facts)


def _visits(readings: int) -> Iterator[tuple[tuple[Any, ...], list[tuple[Any, ...]]]]:
    chance = random.Random(7)
    tanks = [t["name"] for t in team()["tanks"]]
    rounds = readings // (len(PANEL) * TANKS)
    step = timedelta(days=365 * YEARS) / (MILLION // (len(PANEL) * TANKS))
    number = 10
    for visit in range(rounds):
        for place, tank in enumerate(tanks):
            at = (END - step * (rounds - visit) + timedelta(minutes=place)).timestamp()
            who = PEOPLE[place % 2]
            number += 1
            message = (number, who, f"y{number}", who, at, at, f"{tank.lower()} 78.1 8.2 1.0255 8.4 9, 10% wc")
            facts = [_reading(number, tank, p, chance, at, who) for p in PANEL]
            if visit % 2 == 0:
                facts.append(_change(number, tank, at, who))
            yield message, facts


def _reading(number: int, tank: str, parameter: str, chance: random.Random, at: float, who: str) -> tuple[Any, ...]:
    middle, spread, unit = PANEL[parameter]
    value = round(chance.gauss(middle, spread), 4 if unit == "SG" else 2)
    item = {"kind": "reading", "parameter": parameter, "value": value, "unit": unit, "tank": tank}
    return number, "reading", tank, parameter, value, unit, at, who, json.dumps(item)


def _change(number: int, tank: str, at: float, who: str) -> tuple[Any, ...]:
    item = {"kind": "event", "event": "water_change", "tank": tank, "amount": 10.0, "unit": "%"}
    return number, "event", tank, "water_change", 10.0, "%", at, who, json.dumps(item)
