"""The team's list in the database: each person, client, tank and vat is one row that holds its JSON."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from sqlite_utils import Database

from bot.store.database import one, rows
from bot.store.journal import alter, put
from bot.team import DESK, Client, Person, Tank, Team, Vat, client_from, person_from, tank_from, vat_from

KINDS = {"people": "person", "clients": "client", "tanks": "tank", "vats": "vat"}
_HEAD = ("name", "units", "zone")


def load_team(db: Database) -> Team:
    """Everyone and everything in force, in the order in which they were set up."""
    return _team(tuple(db.conn.execute("select kind, data from roster where active = 1 order by id")))


@lru_cache(maxsize=8)
def _team(listed: tuple[tuple[str, str], ...]) -> Team:
    """The team of these rows; from one message to the next they are the same."""
    found: dict[str, list[dict[str, Any]]] = {"team": [], "person": [], "client": [], "tank": [], "vat": []}
    for kind, data in listed:
        found[kind].append(json.loads(data))
    head = found["team"][0] if found["team"] else {}
    listed_people = tuple(map(person_from, found["person"]))
    people: tuple[Person, ...] = tuple(p for p in listed_people if p.role != DESK)
    desks: tuple[Person, ...] = tuple(p for p in listed_people if p.role == DESK)
    clients: tuple[Client, ...] = tuple(map(client_from, found["client"]))
    tanks: tuple[Tank, ...] = tuple(map(tank_from, found["tank"]))
    vats: tuple[Vat, ...] = tuple(map(vat_from, found["vat"]))
    known = {k: head[k] for k in _HEAD if k in head}
    return Team(people=people, clients=clients, tanks=tanks, vats=vats, data=head, desks=desks, **known)


def retired_tanks(db: Database) -> list[str]:
    """The names of tanks that were taken off the list; what was said of them stays in the record."""
    found = rows(db, "select name from roster where kind = 'tank' and active = 0 order by id desc")
    return [str(row["name"]) for row in found]


def set_up(db: Database, message_id: int, kind: str, data: Mapping[str, Any]) -> int:
    """Puts a person, client, tank or vat on the list, or changes the one of that name; returns its row."""
    row = row_of(db, kind, data["name"])
    if row is None:
        return put(db, message_id, "roster", kind=kind, name=data["name"], data=dict(data))
    alter(db, message_id, "roster", row["id"], data=dict(data), active=1)
    return int(row["id"])


def amend(db: Database, message_id: int, kind: str, name: str, /, **values: Any) -> None:
    """Changes single keys of what is on the list; KeyError where the name is not on it."""
    row = row_of(db, kind, name)
    if row is None:
        raise KeyError(name)
    alter(db, message_id, "roster", row["id"], data=json.loads(row["data"]) | values)


def amend_team(db: Database, message_id: int, /, **values: Any) -> None:
    """Changes keys of the team's own row."""
    row = one(db, "select * from roster where kind = 'team'")
    if row is None:
        put(db, message_id, "roster", kind="team", name="team", data=values)
    else:
        alter(db, message_id, "roster", row["id"], data=json.loads(row["data"]) | values)


def retire(db: Database, message_id: int, kind: str, name: str) -> None:
    """Takes a person, tank ... off the list; the history stays."""
    row = row_of(db, kind, name)
    if row is None:
        raise KeyError(name)
    alter(db, message_id, "roster", row["id"], active=0)


def row_of(db: Database, kind: str, name: str) -> dict[str, Any] | None:
    """The row of a name, in force or retired."""
    return one(db, "select * from roster where kind = ? and name = ?", [kind, name])


def set_up_team(db: Database, message_id: int, team: Mapping[str, Any]) -> None:
    """Everything in a team's JSON (section 4), added to what is there."""
    amend_team(db, message_id, **{k: v for k, v in team.items() if k not in KINDS})
    for plural, kind in KINDS.items():
        for each in team.get(plural, ()):
            set_up(db, message_id, kind, each)


def team_json(db: Database) -> dict[str, Any]:
    """The team as section 4 writes it."""
    team: dict[str, Any] = {}
    for row in rows(db, "select data from roster where kind = 'team'"):
        team |= json.loads(row["data"])
    for plural, kind in KINDS.items():
        found = rows(db, "select data from roster where kind = ? and active = 1 order by id", [kind])
        team[plural] = [json.loads(row["data"]) for row in found]
    return team
