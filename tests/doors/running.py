"""The service running in its own process against the loopback server: started, killed, started again."""

import re
import signal
import time
from datetime import UTC, datetime
from pathlib import Path

from bot.store import accounts
from bot.store.database import open_database, writing
from bot.store.record import bring_in
from tests.loopback.server import PATIENCE_S
from tests.loopback.service import TOKEN

ROOT = Path(__file__).parent.parent.parent
TEAM = {"name": "t", "people": [{"name": "ana", "role": "technician"}, {"name": "mara", "role": "owner"}]}


def set_up(path, people, team=TEAM):
    """A database with a team, and accounts for those of its people who have one: {name: number}."""
    db, now = open_database(path), datetime.now(UTC)
    with writing(db):
        bring_in(db, {"team": team}, "set up", now)
        for name, number in people.items():
            code = accounts.new_invite(db, None, "technician", name, now)
            accounts.let_in(db, accounts.live_invite(db, code, now), str(number), name, now)
    db.close()


class Serving:
    """One service process after the other on the same file, with the stand-in desk or the real one."""

    def __init__(self, nursery, server, path, log, desk="stand-in", options=None, **environ):
        self._nursery, self._desk, self._log = nursery, desk, Path(log)
        self.environ = {
            "BUCKETBELL_TOKEN": TOKEN,
            "BUCKETBELL_DB": str(path),
            "BUCKETBELL_BASE_URL": server.base_url,
            "BUCKETBELL_BASE_FILE_URL": server.base_file_url,
            "options": options or {},
            **environ,
        }
        self.child = None

    def start(self):
        self.child = self._nursery.start(self.environ, self._desk, self._log)
        return self

    def kill(self):
        """SIGKILL: nothing of the process gets to run any more."""
        if self.child.status() is None:
            self.child.signal(signal.SIGKILL)
        return self.child.status(hang=True)

    def stop(self, seconds=PATIENCE_S):
        """SIGTERM; the exit status."""
        if self.child.status() is None:
            self.child.signal(signal.SIGTERM)
        return self.wait(seconds)

    def wait(self, seconds=PATIENCE_S):
        """The exit status, once it has ended by itself."""
        ends = time.monotonic() + seconds
        while self.child.status() is None:
            assert time.monotonic() < ends, f"still running; log: {self.log()[-2000:]}"
            time.sleep(0.02)
        return self.child.status()

    def is_running(self):
        return self.child is not None and self.child.status() is None

    def port(self, server):
        """The port at which it listens, once it does."""
        found = server.until(lambda _: re.findall(r'"event": "listening".*"port": (\d+)', self.log()))
        return int(found[-1])

    def log(self):
        return self._log.read_text() if self._log.exists() else ""
