"""Kills the running service at random moments under load, and counts: what was said, what was stored, what was sent.

`python -m tests.kills --kills 500 --desk real` is the long run; tests/doors/test_kills.py is the short one.
"""

import argparse
import json
import random
import sys
import tempfile
import time
from collections import Counter
from dataclasses import asdict, dataclass
from pathlib import Path

from bot.store.database import open_database, rows
from bot.store.seal import broken_seals, strayed_rows, unsealed
from tests.doors.nursery import Nursery
from tests.doors.running import Serving, set_up
from tests.loopback.server import Fault, Loopback

PEOPLE = {f"p{letter}": 100 + number for number, letter in enumerate("abcdefgh")}
TEAM = {
    "name": "Load",
    "people": [{"name": name, "role": "technician"} for name in PEOPLE],
    "tanks": [{"name": f"Basin {name[-1].upper()}", "kind": "reef"} for name in PEOPLE],
}
FAULTS = [
    Fault("status", 500),
    Fault("status", 502),
    Fault("status", 429, retry_after=1, description="Too Many Requests: retry after 1"),
    Fault("drop_before"),
    Fault("drop_after"),
    Fault("garbage"),
    Fault("hang", seconds=0.3),
]


_PINGED = {"real": ": timer", "stand-in": "OUT NOW ping"}  # how a ping names each wait; several may share a message


@dataclass
class Tally:
    """What a sweep found. Good: `missing`, `twice_stored`, `pings_missing`, `faulty` are 0, and few `texts_twice`."""

    kills: int
    said: int = 0
    missing: int = 0
    twice_stored: int = 0
    facts_wrong: int = 0
    pings: int = 0
    pings_missing: int = 0
    pings_again: int = 0  # asked again because nobody answered, as the ladder has it
    texts_sent: int = 0
    texts_twice: int = 0
    answers_lost_by_faults: int = 0
    faulty: str = ""

    @property
    def is_good(self):
        """Nothing lost, nothing doubled in the record, no text more often than kills and lost answers explain."""
        lost = self.missing + self.twice_stored + self.facts_wrong + self.pings_missing
        return lost == 0 and not self.faulty and self.texts_twice <= self.kills + self.answers_lost_by_faults


class Sweep:
    """One database, one server, one process after the other."""

    def __init__(self, folder, seed, desk):
        self._folder, self._desk = Path(folder), desk
        self._random, self._luck = random.Random(seed), random.Random(-seed)  # what is said; what people make of it
        self._said, self._pings, self._pressed = [], 0, set()
        self._path = self._folder / "team.db"
        set_up(self._path, PEOPLE, TEAM)

    def run(self, kills):
        with Loopback() as server, Nursery() as nursery:
            serving = Serving(nursery, server, self._path, self._folder / "log", self._desk)
            self._warm_up(server, serving)
            server.chaos(self._random.random(), 0.03, FAULTS)
            for _ in range(kills):
                serving.start()
                self._talk(server, self._random.uniform(0.02, 1.2))
                assert serving.kill() == -9, serving.log()[-3000:]
            server.chaos(0, 0, [])
            self._come_to_rest(server, serving)
            return self._count(server, kills)

    def _warm_up(self, server, serving):
        """Everybody says something, long enough before the rest that nobody takes the rest for a phone's late burst."""
        if self._desk == "real":
            serving.start()
            for name, number in PEOPLE.items():
                self._say(server, number, name, f"basin {name[-1]} temp 25")
            time.sleep(11)
            serving.stop()

    def _say(self, server, number, name, words):
        self._said.append(server.say(server.person(number, name), words))
        return self._said[-1]

    def _talk(self, server, seconds):
        """Everybody texts at random, for so long on an idle machine; some messages are delivered twice."""
        for _ in range(1 + round(seconds / 0.06)):
            name, number = self._random.choice(list(PEOPLE.items()))
            update = self._say(server, number, name, self._words(name))
            if self._random.random() < 0.05:
                server.repeat(update)
            self._press_done(server)
            time.sleep(self._random.uniform(0.0, 0.12))

    def _press_done(self, server):
        """Somebody answers a ping; now and then twice."""
        pings = [s for s in server.sent() if s.text.startswith("OUT NOW") and s.message_id not in self._pressed]
        if pings and self._luck.random() < 0.5:
            ping = self._luck.choice(pings)
            self._pressed |= {ping.message_id} if self._luck.random() < 0.9 else set()
            for label, _ in ping.buttons:
                if label.startswith("Done"):
                    server.press(server.person(ping.chat, "x"), ping, label)

    def _words(self, name):
        basin, count = f"basin {name[-1]}", len(self._said)
        if self._random.random() < 0.06:
            self._pings += 1
            return f"{basin} timer 1 min" if self._desk == "real" else f"ping in 1.5 no {count}"
        return f"{basin} temp 25.{count % 10}"

    def _come_to_rest(self, server, serving):
        """One more start, without faults, until everything is worked off, due and delivered."""
        serving.start()
        deadline = time.monotonic() + 600
        while not self._is_at_rest(server) and time.monotonic() < deadline:
            time.sleep(0.5)
        serving.stop()

    def _is_at_rest(self, server):
        db = open_database(self._path)
        try:
            counts = [
                "select count(*) as n from inbox where done_at is null",
                "select count(*) as n from outbox where sent_at is null and parked is null",
                "select count(*) as n from wait where state = 'running'",
            ]
            return not server.waiting() and not any(rows(db, sql)[0]["n"] for sql in counts)
        finally:
            db.close()

    def _count(self, server, kills):
        db = open_database(self._path)
        tally = Tally(kills, said=len(self._said), pings=self._pings)
        stored = Counter(r["ref"] for r in rows(db, "select ref from message where kind = 'said'"))
        for update in self._said:
            message = update["message"]
            times = stored[f"{message['chat']['id']}:{message['message_id']}"]
            tally.missing += times == 0
            tally.twice_stored += times > 1
        if self._desk == "real":
            tally.facts_wrong = abs(self._facts(db) - len(self._said))
        self._count_texts(db, server, tally)
        faults = [rows(db, "pragma integrity_check")[0]["integrity_check"].replace("ok", "")]
        faults += [str(found) for found in (broken_seals(db), strayed_rows(db)) if found and self._desk == "real"]
        faults += [str(unsealed(db))] if self._desk == "real" and unsealed(db) else []
        faults += [str(r["error"]) for r in rows(db, "select error from inbox where error is not null limit 3")]
        tally.faulty = "; ".join(filter(None, faults))
        db.close()
        return tally

    def _facts(self, db):
        """Readings and waits in the logbook: each message holds one."""
        return rows(db, "select count(*) as n from fact where kind in ('reading', 'wait')")[0]["n"]

    def _count_texts(self, db, server, tally):
        due = Counter(
            (PEOPLE[r["chat"]], r["text"]) for r in rows(db, "select chat, text from outbox where parked is null")
        )
        sent = Counter((s.chat, s.text) for s in server.sent())
        urgent = [(PEOPLE[r["chat"]], r["text"]) for r in rows(db, "select chat, text from outbox where urgent = 1")]
        named = sum(text.count(_PINGED[self._desk]) for _, text in urgent)
        tally.pings_again = max(0, named - self._pings)
        tally.pings_missing = max(0, self._pings - named) + sum(sent[key] == 0 for key in set(urgent))
        tally.texts_sent = sent.total()
        tally.texts_twice = sum(max(0, n - due[key]) for key, n in sent.items())
        tally.missing += sum(max(0, n - sent[key]) for key, n in due.items())
        tally.answers_lost_by_faults = len([c for c in server.calls("sendMessage") if c.outcome == "ok, answer lost"])


def sweep(kills, seed=1, desk="stand-in"):
    """The tally of so many kills."""
    with tempfile.TemporaryDirectory() as folder:
        return Sweep(folder, seed, desk).run(kills)


def main():
    parser = argparse.ArgumentParser(description="Kills the service at random moments and counts what is lost.")
    parser.add_argument("--kills", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--desk", choices=["real", "stand-in"], default="real")
    options = parser.parse_args()
    began = time.monotonic()
    tally = sweep(options.kills, options.seed, options.desk)
    print(json.dumps(asdict(tally) | {"good": tally.is_good, "seconds": round(time.monotonic() - began)}, indent=1))
    return 0 if tally.is_good else 1


if __name__ == "__main__":
    sys.exit(main())
