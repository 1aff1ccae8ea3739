"""The client's reports, version by version. A version is a row of what was worked out, with the facts it came from;
which of them went out is a fact of its own, so that undo takes a sending or an edit back like anything else.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlite_utils import Database

from bot.items import Control
from bot.rules.report import Report, as_data, from_data
from bot.store import logbook, worked
from bot.store.database import epoch, instant, rows
from bot.store.reversals import is_undone


@dataclass(frozen=True)
class Version:
    """One version: `root` is the first one of its visit; `own` the lines that the office wrote itself."""

    id: int
    root: int
    number: int
    message_id: int
    at: datetime
    report: Report
    own: Mapping[str, str]

    def covers(self, tank: str | None, at: datetime) -> bool:
        """Whether an entry of that tank and time belongs to its visit."""
        return tank in self.report.tanks and self.report.start <= at <= self.report.end


def keep(
    db: Database, message_id: int, at: datetime, report: Report, own: Mapping[str, str], earlier: Version | None
) -> Version:
    """Writes a version down; `earlier` is the one that it takes the place of."""
    number = earlier.number + 1 if earlier else 1
    data = {"report": as_data(report), "own": dict(own), "root": earlier.root if earlier else None, "number": number}
    item = Control("report", tank=report.tanks[0], number=number, date=report.start.date())
    row_id = worked.keep(db, message_id, report.tanks[0], at, item, data, report.facts)
    return Version(row_id, earlier.root if earlier else row_id, number, message_id, at, report, own)


def version(db: Database, version_id: int) -> Version | None:
    """The version of that number, in force or not."""
    found = rows(db, "select * from worked where id = ? and json_extract(data, '$.report') is not null", [version_id])
    return _version(found[0]) if found else None


def current(db: Database, since: datetime, tanks: Sequence[str] = ()) -> list[Version]:
    """The version in force of each visit that was written since then, in the order of the visits; only those whose
    first tank is one of `tanks`, where some are named.
    """
    of_tanks = f" and tank in ({', '.join('?' * len(tanks))})" if tanks else ""
    sql = f"select * from worked where at >= ?{of_tanks} and json_extract(data, '$.report') is not null order by id"
    found: dict[int, Version] = {}
    for each in map(_version, rows(db, sql, [epoch(since), *tanks])):
        if not is_undone(db, each.message_id):
            found[each.root] = each
    return sorted(found.values(), key=lambda v: (v.report.start, v.root))


def latest_of(db: Database, root: int) -> Version | None:
    """The version in force of a visit; None where all of them were taken back."""
    sql = "select * from worked where (id = ? or json_extract(data, '$.root') = ?) order by id desc"
    versions = map(_version, rows(db, sql, [root, root]))
    return next((v for v in versions if not is_undone(db, v.message_id)), None)


def sent(db: Database) -> dict[int, logbook.Fact]:
    """The versions that went out, each with the fact that says so."""
    facts = logbook.events(db, None, ["report"], kind="control", limit=10_000)
    return {f.item.number: f for f in facts if isinstance(f.item, Control) and f.item.number and f.item.answers}


def last_sent(db: Database, root: int, before: int) -> Version | None:
    """The version of a visit that went out last before that one; None where none did."""
    out = sent(db)
    found = [v for i in sorted(out) if i < before and (v := version(db, i)) and v.root == root]
    return found[-1] if found else None


def _version(row: Mapping[str, Any]) -> Version:
    data = json.loads(row["data"])
    return Version(
        row["id"], data["root"] or row["id"], data["number"], row["message_id"], instant(row["at"]),
        from_data(data["report"]), data["own"],
    )  # fmt: skip
