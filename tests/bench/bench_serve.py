"""The running bot beside two bare ones, same library, same server, same run: `python -m tests.bench.bench_serve`.

CPU an update, updates a second, memory, time to the first poll; commit cost against raw SQLite; lateness of pings.
Run it where only the locked dependencies are installed: the database library loads numpy and pandas where it finds
them, which adds 50 MB and a quarter of a second. `--readings 10000000` fills the record with that many readings first:
a minute, and 3.3 GB.
"""

import argparse
import os
import sqlite3
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median, quantiles

from bot.messages import Incoming
from bot.store.database import add, open_database, writing
from tests.doors.running import ROOT, set_up
from tests.loopback.server import Loopback
from tests.loopback.service import TOKEN

TICKS = os.sysconf("SC_CLK_TCK")
PEOPLE = {f"p{chr(97 + n)}": 100 + n for n in range(20)}
TEAM = {
    "name": "Bench",
    "people": [{"name": name, "role": "technician"} for name in PEOPLE],
    "tanks": [{"name": f"Basin {name[-1].upper()}", "kind": "reef"} for name in PEOPLE],
}
SERVE = """
import os, sys
from bot.doors.pace import UNPACED
from bot.doors.settings import from_environ
from bot.doors.telegram import How, serve
if sys.argv[1] == "real":
    from bot.assistant.desk import handle
else:
    from tests.doors.stand_in import handle
sys.exit(serve(from_environ(os.environ), handle, How(pace=UNPACED)))
"""


@dataclass
class Figures:
    """What one bot cost. Milliseconds of CPU an update, seconds, megabytes."""

    name: str
    start_s: float
    burst_per_s: float
    burst_cpu_ms: float
    paced_cpu_ms: float
    paced_p50_ms: float
    paced_p99_ms: float
    rss_start_mb: float
    rss_after_mb: float


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--messages", type=int, default=1000)
    parser.add_argument("--runs", type=int, default=3)
    parser.add_argument("--readings", type=int, default=10_000)
    options = parser.parse_args()
    bots = {
        "bare echo": ("echo", None),
        "echo + one row": ("row", None),
        "ours, echo desk": ("stand-in", 0),
        "ours, whole": ("real", 0),
        f"ours, {options.readings:,} readings": ("real", options.readings),
    }
    print(f"{'':26}{'start s':>9}{'upd/s':>8}{'CPU ms':>8}{'paced':>8}{'p50 ms':>8}{'p99 ms':>8}{'MB':>7}{'after':>7}")
    for name, (kind, readings) in bots.items():
        _print(name, [measure(name, kind, readings, options.messages) for _ in range(options.runs)])
    _commits()
    _pings()


def _print(name, runs):
    middle = [median(getattr(run, field) for run in runs) for field in list(Figures.__annotations__)[1:]]
    print(f"{name:26}{middle[0]:9.2f}{middle[1]:8.0f}" + "".join(f"{x:8.2f}" for x in middle[2:6]), end="")
    print("".join(f"{x:7.0f}" for x in middle[6:]), flush=True)


def measure(name, kind, readings, messages):
    """One run of one bot from its start to its end."""
    with tempfile.TemporaryDirectory() as folder, Loopback() as server:
        began = time.monotonic()
        bot = start(kind, Path(folder) / "team.db", server, readings)
        began += bot.prepared_s
        server.until(lambda s: s.service.arrived["getUpdates"], 30)
        started = time.monotonic() - began
        _warm(server)
        rss = bot.rss_mb()
        burst_s, burst_cpu = _burst(server, bot, messages)
        waits, paced_cpu = _paced(server, bot, 200, 50)
        figures = Figures(
            name, started, messages / burst_s, burst_cpu * 1000 / messages, paced_cpu * 1000 / len(waits),
            median(waits) * 1000, quantiles(waits, n=100)[98] * 1000, rss, bot.rss_mb(),
        )  # fmt: skip
        bot.end()
        return figures


class Running:
    """A bot's process, and what the kernel says of it."""

    def __init__(self, command, environ, prepared_s):
        self.prepared_s = prepared_s
        self._process = subprocess.Popen(command, cwd=ROOT, env=environ, stderr=subprocess.DEVNULL)

    def cpu_s(self):
        fields = Path(f"/proc/{self._process.pid}/stat").read_text().rpartition(")")[2].split()
        return (int(fields[11]) + int(fields[12])) / TICKS

    def rss_mb(self):
        assert self._process.poll() is None, "the bot has ended"
        pages = int(Path(f"/proc/{self._process.pid}/statm").read_text().split()[1])
        return pages * os.sysconf("SC_PAGE_SIZE") / 1e6

    def end(self):
        self._process.terminate()
        self._process.wait(20)


def start(kind, path, server, readings):
    """A bot on that server; ours with a team, and so many readings in its record."""
    began = time.monotonic()
    if readings is None:
        command = [sys.executable, "-m", "tests.bench.echo_bots", kind, server.base_url, str(path)]
        return Running(command, os.environ | {"TOKEN": TOKEN}, time.monotonic() - began)
    set_up(path, PEOPLE, TEAM)
    fill(path, readings)
    environ = os.environ | {
        "BUCKETBELL_TOKEN": TOKEN, "BUCKETBELL_DB": str(path), "BUCKETBELL_BASE_URL": server.base_url,
    }  # fmt: skip
    return Running([sys.executable, "-c", SERVE, kind], environ, time.monotonic() - began)


def fill(path, readings):
    """So many readings of eight parameters at every tank, the newest a day old."""
    if not readings:
        return
    db = open_database(path)
    names = [tank["name"] for tank in TEAM["tanks"]]
    last = datetime.now(UTC) - timedelta(days=1)
    message = Incoming(last, "pa", "pa", "filled", "fill:1")
    with writing(db):
        number = add(
            db, "message", kind="import", chat="", who="pa", at=message.at, stored_at=message.at, text="filled"
        )  # fmt: skip
        rows = (_reading(number, k, names, last.timestamp(), readings) for k in range(readings))
        columns = "message_id, kind, tank, name, value, unit, at, who, item"
        db.conn.executemany(f"insert into fact ({columns}) values (?, ?, ?, ?, ?, ?, ?, ?, ?)", rows)
    db.conn.execute("pragma wal_checkpoint(truncate)")
    db.close()


_USUAL = [  # what each tank reads, give or take a little: parameter, value, unit
    ("ph", 8.0, "pH"), ("salinity", 1.025, "SG"), ("temperature", 25.0, "degC"), ("alkalinity", 8.0, "dKH"),
    ("nitrate", 10.0, "mg/L"), ("calcium", 420.0, "mg/L"), ("magnesium", 1300.0, "mg/L"), ("phosphate", 0.05, "mg/L"),
]  # fmt: skip


def _reading(number, k, names, last, readings):
    tank, (name, value, unit) = names[k % len(names)], _USUAL[k // len(names) % len(_USUAL)]
    value = round(value * (1 + k % 5 / 1000), 4)
    item = f'{{"kind":"reading","parameter":"{name}","value":{value},"unit":"{unit}","tank":"{tank}"}}'
    return number, "reading", tank, name, value, unit, last - (readings - k) * 3.0, "pa", item


def _texts(count):
    for k in range(count):
        name, number = list(PEOPLE.items())[k % len(PEOPLE)]
        yield {"id": number, "is_bot": False, "first_name": name}, f"basin {name[-1]} ph 8.{k % 4}"


def _warm(server):
    for user, text in _texts(len(PEOPLE)):
        server.say(user, text)
    server.until_sent(len(PEOPLE), seconds=60)


def _burst(server, bot, messages):
    """All at once: seconds until the last answer, and CPU seconds."""
    before, cpu, texts = len(server.sent()), bot.cpu_s(), list(_texts(messages))
    began = time.monotonic()
    server.do(lambda s: [s.add_update("message", s.message(user, text=text)) for user, text in texts])
    server.until(lambda s: len(s.service.sent) >= before + messages, 600)
    return time.monotonic() - began, bot.cpu_s() - cpu


def _paced(server, bot, messages, per_s):
    """So many a second: how long each waited for its answer, and CPU seconds."""
    before, cpu, said = len(server.sent()), bot.cpu_s(), []
    for user, text in _texts(messages):
        said.append((user["id"], time.time()))
        server.say(user, text)
        time.sleep(1 / per_s)
    server.until(lambda s: len(s.service.sent) >= before + messages, 60)
    cpu = bot.cpu_s() - cpu
    answers = {}
    for sent in server.sent()[before:]:
        answers.setdefault(sent.chat, []).append(sent.at)
    return [max(0.0, answers[chat].pop(0) - at) for chat, at in said], cpu


def _commits():
    """What our three commits of an update cost beside one raw commit in the same mode."""
    with tempfile.TemporaryDirectory() as folder:
        raw = sqlite3.connect(Path(folder) / "raw.db", isolation_level=None)
        for line in ("pragma journal_mode = wal", "pragma synchronous = full", "create table t (a, b)"):
            raw.execute(line)
        db = open_database(Path(folder) / "ours.db")
        raw_us = _per_call(lambda k: raw.execute("insert into t values (?, ?)", [k, "x" * 100]))
        ours_us = _per_call(lambda k: _written(db, k))
        print(f"one commit: raw {raw_us:.0f} us, ours {ours_us:.0f} us (the same row, full synchronisation)")


def _written(db, k):
    with writing(db):
        add(db, "message", kind="import", chat="", who="a", at=0.0, stored_at=0.0, text="x" * 100, ref=str(k))


def _per_call(act, times=2000):
    began = time.perf_counter()
    for k in range(times):
        act(k)
    return (time.perf_counter() - began) / times * 1e6


def _pings():
    """Fifty waits of the same second: when each ping arrived, after its due moment."""
    with tempfile.TemporaryDirectory() as folder, Loopback() as server:
        bot = start("stand-in", Path(folder) / "team.db", server, 0)
        server.until(lambda s: s.service.arrived["getUpdates"], 30)
        for k in range(50):
            name, number = list(PEOPLE.items())[k % len(PEOPLE)]
            server.say({"id": number, "is_bot": False, "first_name": name}, f"ping in 3 no {k}")
        pings = server.until(
            lambda s: (p := [x for x in s.sent() if x.text.startswith("OUT")]) and len(p) == 50 and p, 30
        )
        db = open_database(Path(folder) / "team.db")
        due = {r["subject"]: r["due_at"] for r in db.conn.execute("select subject, due_at from wait")}
        late = sorted((ping.at - due[ping.text.removeprefix("OUT NOW ")]) * 1000 for ping in pings)
        print(
            f"50 pings due at once arrived {late[0]:.0f} to {late[-1]:.0f} ms after their moment, p50 {late[25]:.0f} ms"
        )
        bot.end()


if __name__ == "__main__":
    main()
