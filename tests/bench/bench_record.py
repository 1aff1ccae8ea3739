"""What a long record costs: `python -m tests.bench.bench_record [READINGS ...]` (default 1 000 000 and 10 000 000).

Ten years of sixty tanks. Each line: median and 99th percentile in ms over so many runs; the peer is bare SQLite in the
same file and mode: the same number of rows written in one transaction, or the same rows fetched by their index.
"""

from __future__ import annotations

import gc
import json
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from datetime import timedelta
from itertools import count
from pathlib import Path

from sqlite_utils import Database

from bot.assistant import importing
from bot.assistant.desk import handle
from bot.messages import Incoming
from bot.store import outbox
from bot.store.database import rows, writing
from bot.store.record import exported
from bot.store.reversals import take_back
from bot.store.said import record_import
from tests.bench.years import END, TANKS, build, name_of

RUNS, ROWS = 120, 5000
ASKED = {
    "a message of five readings stored and judged": "{} temp 78.2 ph 8.21 sg 1.0255 alk 8.5 no3 9",
    "an odd one stored and asked about": "{} alk 83",
    "history of one test": "history ph {}",
    "the last value": "last temp {}?",
    "what changed": "what changed at {}",
    "who was there last": "who was at {} last",
    "the trail of a day": "trail {} 3 march",
    "a water change": "{} 10% wc",
    "a correction": "{} alk was 8.4 not 8.5",
    "its undo": "undo",
}
"""What is asked, of each tank in turn."""


def main(arguments: Sequence[str]) -> None:
    for readings in [int(a) for a in arguments] or [1_000_000, 10_000_000]:
        with tempfile.TemporaryDirectory() as folder:
            _measure(Path(folder) / "years.db", readings)


def _measure(path: Path, readings: int) -> None:
    began = time.perf_counter()
    db = build(path, readings)
    facts = rows(db, "select count(*) as n from fact")[0]["n"]
    print(f"\n{facts:,} facts, {path.stat().st_size / 1e6:,.0f} MB, built in {time.perf_counter() - began:.0f} s")
    print(f"{'':48}{'median':>9}{'99th':>9}   ms")
    _row("bare SQLite: 12 rows in one transaction", _timed(lambda i: _bare(db), RUNS))
    _row("bare SQLite: 20 rows by their index", _timed(lambda i: _fetch(db, i), RUNS))
    numbers = count(1)
    for name, words in ASKED.items():
        _row(name, _timed(lambda i, words=words: _say(db, words, numbers), RUNS))
    _import(db)
    _export(db, facts)
    db.close()


def _say(db: Database, words: str, numbers: Iterator[int]) -> None:
    number = next(numbers)
    at = END + timedelta(minutes=number)
    handle(db, Incoming(at, "ana", "ana", words.format(name_of(number % TANKS).lower()), f"b{number}"))
    for row in outbox.unsent(db):
        outbox.crossed_off(db, row["id"], at)


def _bare(db: Database) -> None:
    with writing(db):
        for _ in range(12):
            db.conn.execute(
                "insert into pulse (name, at) values (?, 1) on conflict do update set at = at + 1", ["bench"]
            )


def _fetch(db: Database, i: int) -> None:
    sql = "select * from fact where tank = 'Alder lobby' and name = 'ph' order by at desc limit 20"
    db.conn.execute(sql).fetchall()


def _import(db: Database) -> None:
    log = _old_log()
    dry: list[float] = []
    stored: list[float] = []
    undone: list[float] = []
    for _ in range(3):
        dry += _timed(lambda i: importing.dry_run(db, log, END), 1)
        numbers: list[int] = []
        stored += _timed(lambda i: numbers.append(_carry_out(db, log)), 1)  # noqa: B023
        undone += _timed(lambda i: _take_back(db, numbers[-1]), 1)  # noqa: B023
    _row(f"import of {ROWS:,} rows: dry run", dry)
    _row(f"import of {ROWS:,} rows: stored", stored)
    _row(f"import of {ROWS:,} rows: taken back", undone)


def _old_log() -> str:
    lines = ["date,tank,temp F,ph,nitrate"]
    for i in range(ROWS):
        day = (END - timedelta(days=365 * 12) + timedelta(hours=8 * i)).date()
        lines.append(f"{day.isoformat()},Alder lobby,{77 + i % 3}.{i % 10},8.{i % 4},{5 + i % 9}")
    return "\n".join(lines)


def _carry_out(db: Database, log: str) -> int:
    with writing(db):
        number = record_import(db, "cleo", END, "old log", "old.csv")
        importing.carry_out(db, number, "cleo", log, END)
    return number


def _take_back(db: Database, number: int) -> None:
    with writing(db):
        cause = record_import(db, "cleo", END, "undo")
        take_back(db, cause, number, END)


def _export(db: Database, facts: int) -> None:
    began = time.perf_counter()
    size = sum(len(piece) for piece in exported(db))
    took = time.perf_counter() - began
    print(f"{'export':48}{took:9.1f} s   {size / 1e6:,.0f} MB, {facts / took:,.0f} facts a second")
    began = time.perf_counter()
    for row in db.conn.execute("select * from fact"):
        json.dumps(list(row))
    bare = time.perf_counter() - began
    print(f"{'bare SQLite: every fact as JSON':48}{bare:9.1f} s   ratio {took / bare:.1f}")


def _timed(act: Callable[[int], object], runs: int) -> list[float]:
    gc.collect()
    taken = []
    for i in range(runs):
        began = time.perf_counter()
        act(i)
        taken.append((time.perf_counter() - began) * 1e3)
    return taken


def _row(name: str, taken: list[float]) -> None:
    taken = sorted(taken)
    worst = taken[min(round(len(taken) * 0.99), len(taken) - 1)]
    print(f"{name:48}{taken[len(taken) // 2]:9.1f}{worst:9.1f}")


if __name__ == "__main__":
    main(sys.argv[1:])
