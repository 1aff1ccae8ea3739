"""Waits through `serve` on the loopback Bot API server, which enforces the service's published limits.

    python -m tests.bench.bench_waits [PENDING] [DUE] [CHATS] [ROWS]        10000 1000 120 100000

First: PENDING waits, DUE of them falling due within one minute, over CHATS chats; how late each ping is delivered, and
what the limit alone would allow (30 messages a second in all, one a second in a chat). Then: a table of ROWS closed
waits and one overdue; how long from the start of the process until its ping is delivered.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random
from statistics import median, quantiles

from sqlite_utils import Database

from bot.store import waits
from bot.store.database import add, epoch, one, open_database, writing
from tests.doors.running import set_up
from tests.loopback.server import Loopback
from tests.loopback.service import TOKEN

LEAD_S = 20.0
"""Seconds from setting up until the first wait is due: the service must be running by then."""


def main(pending: int, due: int, chats: int, rows: int) -> int:
    """Runs both measurements; 1 where a ping is lost or doubled."""
    lost = _lateness(pending, due, chats)
    _start_up(rows)
    return int(lost)


def _lateness(pending: int, due: int, chats: int) -> bool:
    with tempfile.TemporaryDirectory() as folder, Loopback() as server:
        path = Path(folder) / "team.db"
        moments = _fill(path, pending, due, chats)
        for number in range(chats):
            server.do(lambda s, n=1000 + number: s.chats.setdefault(n, {"id": n, "type": "private"}))
        with _serving(server, path):
            time.sleep(max(0.0, min(moments.values()) - time.time()) + 60 + 30)
        pings = [
            sent for sent in server.service.sent if sent.text.startswith("OUT NOW")
        ]  # a pinned card names waits too
        delivered = [(name, sent.at) for sent in pings for name in re.findall(r"\bw\d+\b", sent.text)]
        late = sorted(at - moments[name] for name, at in delivered if name in moments)
        _say(pending, due, chats, len(server.service.sent), late, moments)
        refused = list(server.service.violations)
        print(f"  limits broken: {len(refused)}; waits told: {len({n for n, _ in delivered})} of {due}")
        return sorted(n for n, _ in delivered if n in moments) != sorted(moments)


def _fill(path: Path, pending: int, due: int, chats: int) -> dict[str, float]:
    """Waits of so many people; returns when each of those falling due within the minute is due."""
    names = [f"p{number}" for number in range(chats)]
    team = {"name": "bench", "people": [{"name": name, "role": "technician"} for name in names]}
    set_up(path, {name: 1000 + number for number, name in enumerate(names)}, team)
    random, db, moments = Random(1), open_database(path), {}
    now = datetime.now(UTC)
    with writing(db):
        cause = add(db, "message", kind="import", chat="", who="", at=now, stored_at=now, text="bench")
        for number in range(pending):
            soon = number < due
            span = LEAD_S + random.uniform(0, 60) if soon else random.uniform(86_400, 30 * 86_400)
            _wait(db, cause, names[number % chats], f"w{number}", now, now + timedelta(seconds=span))
            if soon:
                moments[f"w{number}"] = epoch(now) + span
    db.close()
    return moments


def _wait(db: Database, cause: int, owner: str, subject: str, start: datetime, due: datetime) -> None:
    waits.start(
        db, cause, kind="settle", step=None, tank=None, vat=None, subject=subject, owner=owner, chat=owner, topic=None,
        started_at=start, minutes=(due - start).total_seconds() / 60, due_at=due, state="running", next_at=due,
        fact_id=None, data={"stated": True},
    )  # fmt: skip


def _start_up(rows: int) -> None:
    with tempfile.TemporaryDirectory() as folder, Loopback() as server:
        path = Path(folder) / "team.db"
        _fill(path, 0, 0, 1)
        db, now = open_database(path), datetime.now(UTC)
        with writing(db):
            cause = one(db, "select max(id) as id from message")
            assert cause
            for number in range(rows):
                db.conn.execute(_CLOSED, [f"c{number}", epoch(now) - 9e5, epoch(now) - 8e5, epoch(now) - 8e5])
            _wait(db, cause["id"], "p0", "w1", now - timedelta(minutes=20), now - timedelta(minutes=5))
        db.close()
        server.do(lambda s: s.chats.setdefault(1000, {"id": 1000, "type": "private"}))
        began = time.time()
        with _serving(server, path):
            while not server.service.sent and time.time() - began < 60:
                time.sleep(0.01)
        print(f"start-up with {rows} closed waits: ping of the overdue one {server.service.sent[0].at - began:.2f} s")


_CLOSED = (
    "insert into wait (kind, subject, owner, chat, started_at, minutes, due_at, state, ended_at, data)"
    " values ('settle', ?, 'p0', 'p0', ?, 30, ?, 'done', ?, '{}')"
)


@contextmanager
def _serving(server: Loopback, path: Path) -> Iterator[None]:
    environ = os.environ | {
        "BUCKETBELL_TOKEN": TOKEN, "BUCKETBELL_DB": str(path), "BUCKETBELL_BASE_URL": server.base_url,
        "BUCKETBELL_BASE_FILE_URL": server.base_file_url,
    }  # fmt: skip
    with open(path.with_suffix(".log"), "w", encoding="utf-8") as log:
        process = subprocess.Popen([sys.executable, "-m", "bot", "serve"], env=environ, stdout=log, stderr=log)
        try:
            yield
        finally:
            process.terminate()
            process.wait(timeout=30)


def _say(pending: int, due: int, chats: int, sent: int, late: list[float], moments: dict[str, float]) -> None:
    print(f"{pending} waits pending, {due} due within a minute, {chats} chats: {sent} messages")
    if len(late) > 1:
        most = quantiles(late, n=100)[98]
        print(f"  late by median {median(late):.2f} s, 99th percentile {most:.2f} s, most {late[-1]:.2f} s,")
        print("  of which up to 3 s are spent waiting for a neighbour, to go in one message")
    print(f"  the limit alone, one message a wait: at most {_ideal(moments, chats):.2f} s late")


def _ideal(moments: dict[str, float], chats: int) -> float:
    """The most that any ping is late where only the limits hold, each wait in a message of its own."""
    overall, latest = 0.0, 0.0
    free = [0.0] * chats
    for name, at in sorted(moments.items(), key=lambda m: m[1]):
        chat = int(name[1:]) % chats
        overall = max(at, overall + 1 / 30)
        go = max(overall, free[chat])
        free[chat] = go + 1.0
        latest = max(latest, go - at)
    return latest


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    sys.exit(main(*(given + [10_000, 1_000, 120, 100_000][len(given) :])))
