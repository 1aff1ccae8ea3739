"""The rows of an old log in the record: each once, as it stood in the file, with the facts that were read from it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from sqlite_utils import Database

from bot.rules.importing import Plan
from bot.rules.importing_rows import Line
from bot.store.database import add, rows
from bot.store.logbook import keep
from bot.store.roster import set_up

_AT_ONCE = 500


def write_down(db: Database, message_id: int, who: str, plan: Plan, at: datetime) -> dict[str, int]:
    """Stores what a plan holds under one message, so that one undo takes all of it back; rows that are in the record
    already are left out. Returns how many rows of each fate were new, and how many facts they gave.

    who   whose facts they are where a row names nobody of the team
    at    when a fact held that knows no time of its own
    """
    new = unknown(db, plan.lines)
    added = {line.tank for line in new if line.items}
    for name in plan.new_tanks:
        if name in added:
            set_up(db, message_id, "tank", {"name": name})
    counts = {"fine": 0, "doubtful": 0, "unreadable": 0, "facts": 0}
    for line in new:
        counts[line.fate] += 1
        counts["facts"] += _write_line(db, message_id, who, line, at)
    return counts


def unknown(db: Database, lines: Sequence[Line]) -> list[Line]:
    """The rows that are not in the record yet, each once; a batch that was taken back counts as not there."""
    seen = known(db, (line.row.mark for line in lines))
    new = []
    for line in lines:
        if line.row.mark not in seen:
            seen.add(line.row.mark)
            new.append(line)
    return new


def known(db: Database, marks: Iterable[str]) -> set[str]:
    """Which of the marks belong to rows in force."""
    wanted, found = list(marks), set()
    for start in range(0, len(wanted), _AT_ONCE):
        some = wanted[start : start + _AT_ONCE]
        sql = f"select mark from import_row r where mark in ({', '.join('?' * len(some))}) and {_IN_FORCE}"
        found |= {row["mark"] for row in rows(db, sql, some)}
    return found


_IN_FORCE = (
    "coalesce((select what from reversal v where v.target_id = r.message_id order by v.id desc limit 1), '') <> 'undo'"
)


def _write_line(db: Database, message_id: int, who: str, line: Line, at: datetime) -> int:
    facts = [keep(db, message_id, line.who or who, item, at) for item in line.items]
    add(
        db, "import_row", message_id=message_id, number=line.row.number, mark=line.row.mark, text=line.row.text,
        fate=line.fate, faults=list(line.faults), first_fact=facts[0] if facts else None,
        last_fact=facts[-1] if facts else None,
    )  # fmt: skip
    return len(facts)
