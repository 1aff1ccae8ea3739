"""Days of a four-person team's traffic at high speed: memory, file, lateness. `python -m tests.bench.bench_days`.

The real service against the loopback server, on a clock that runs `--speed` times as fast; pings are answered, visits
opened and closed, nights are quiet.
"""

import argparse
import os
import random
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

from bot.store.database import open_database
from tests.bench.bench_serve import Running
from tests.doors.running import set_up
from tests.loopback.server import Loopback
from tests.loopback.service import TOKEN

START = datetime(2026, 3, 2, 11, 0, tzinfo=UTC)  # a Monday, six in the morning for the team
PEOPLE = {"ana": 11, "bo": 12, "cy": 13, "mara": 14}
TEAM = {
    "name": "Days",
    "people": [{"name": name, "role": "owner" if name == "mara" else "technician"} for name in PEOPLE],
    "tanks": [
        {"name": f"Site {letter}", "kind": "reef", "volume": {"value": 400, "unit": "L"}} for letter in "ABCDEFGHIJKL"
    ],
    "vats": [{"name": "Vat A", "volume": {"value": 60, "unit": "gal"}, "holds": "salt"}],
}
VISIT = (
    "here {tank}", "{temp} ph 8.{d} sg 1.025 no3 1{d}", "alk 8.{d}", "20% wc, skimmer cup", "return off 15 min",
    "net in bleach 20 min", "how much salt for 40 litres to 1.025", "fed, all eating", "status", "leaving",
)  # fmt: skip
SERVE = """
import os, sys, time
from datetime import datetime, timedelta, UTC
from bot.assistant.desk import handle
from bot.doors.pace import UNPACED
from bot.doors.settings import from_environ
from bot.doors.telegram import How, serve
start, began, speed = datetime.fromisoformat(sys.argv[1]), float(sys.argv[2]), float(sys.argv[3])
now = lambda: start + timedelta(seconds=(time.time() - began) * speed)
sys.exit(serve(from_environ(os.environ), handle, How(now=now, pace=UNPACED, sweep_s=0.1, rate=speed)))
"""


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--hours", type=float, default=72)
    parser.add_argument("--speed", type=float, default=480)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder, Loopback() as server:
        Days(Path(folder) / "team.db", server, options.speed).run(options.hours)


class Days:
    def __init__(self, path, server, speed):
        self._path, self._server, self._speed = path, server, speed
        self._random, self._visits, self._pressed, self._said = random.Random(1), {}, set(), 0
        set_up(path, PEOPLE, TEAM)
        self._began = time.time()
        environ = os.environ | {
            "BUCKETBELL_TOKEN": TOKEN, "BUCKETBELL_DB": str(path), "BUCKETBELL_BASE_URL": server.base_url,
        }  # fmt: skip
        command = [sys.executable, "-c", SERVE, START.isoformat(), str(self._began), str(speed)]
        self._bot = Running(command, environ, 0.0)

    def now(self):
        return START + timedelta(seconds=(time.time() - self._began) * self._speed)

    def run(self, hours):
        print(f"{'hour':>5}{'said':>7}{'sent':>7}{'memory MB':>11}{'file MB':>9}", flush=True)
        shown = -6.0
        while (hour := (self.now() - START).total_seconds() / 3600) < hours:
            if hour >= shown + 6:
                shown = hour - hour % 6
                self._show(shown)
            self._act()
            time.sleep(60 / self._speed)
        time.sleep(5)
        self._show(hours)
        self._bot.end()
        self._lateness()

    def _show(self, hour):
        size = sum(p.stat().st_size for p in self._path.parent.glob("team.db*") if p.is_file()) / 1e6
        print(f"{hour:5.0f}{self._said:7}{len(self._server.sent()):7}{self._bot.rss_mb():11.1f}{size:9.2f}", flush=True)

    def _act(self):
        """A minute of the team: pings are answered, and by day everybody goes on with a visit."""
        for ping in self._server.sent()[-40:]:
            if ping.text.startswith("OUT NOW") and ping.buttons and ping.message_id not in self._pressed:
                self._pressed.add(ping.message_id)
                self._server.press(self._server.person(ping.chat, "x"), ping, ping.buttons[0][0])
        if not 12 <= self.now().hour < 23:
            return
        for name, number in PEOPLE.items():
            if self._random.random() < 0.2:
                self._say(number, self._next(name))

    def _say(self, number, text):
        self._said += 1
        date = int(self.now().timestamp())
        self._server.say(self._server.person(number, "x"), text, date=date)

    def _next(self, name):
        tank, step = self._visits.get(name, (None, len(VISIT)))
        if step >= len(VISIT):
            tank, step = self._random.choice(TEAM["tanks"])["name"].lower(), 0
        self._visits[name] = (tank, step + 1)
        return VISIT[step].format(
            tank=tank, temp=round(77 + self._random.random() * 2, 1), d=self._random.randint(0, 5)
        )

    def _lateness(self):
        """How late each ping left after it was put out, in milliseconds of the real clock; what never left."""
        db = open_database(self._path)
        late = sorted(
            (row[0] or 0) * 1000 / self._speed
            for row in db.conn.execute(
                "select sent_at - created_at from outbox where urgent = 1 and sent_at is not null"
            )
        )
        left = db.conn.execute("select count(*) from outbox where sent_at is null and parked is null").fetchone()[0]
        aside = db.conn.execute("select error from inbox where error is not null").fetchall()
        if late:
            middle, high = late[len(late) // 2], late[int(len(late) * 0.99)]
            print(f"{len(late)} pings: p50 {middle:.0f} ms, p99 {high:.0f} ms, at most {late[-1]:.0f} ms of real time")
        print(f"not sent: {left}; set aside: {len(aside)}; limits left: {len(self._server.service.violations)}")
        print(*sorted({row[0].strip().splitlines()[-1] for row in aside}), sep="\n")


if __name__ == "__main__":
    main()
