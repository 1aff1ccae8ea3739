"""The service running in its own process against the loopback server: started, killed, started again."""

import os
import signal
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

from bot.store import accounts
from bot.store.database import open_database, writing
from bot.store.record import bring_in
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
    """One service process after the other on the same file; `what` is the module that serves."""

    def __init__(self, server, path, log, what=("tests.doors.stand_in",), **environ):
        self._command = [sys.executable, "-m", *what]
        self._environ = os.environ | {
            "BUCKETBELL_TOKEN": TOKEN,
            "BUCKETBELL_DB": str(path),
            "BUCKETBELL_BASE_URL": server.base_url,
            "BUCKETBELL_BASE_FILE_URL": server.base_file_url,
            **environ,
        }
        self._log_path, self.process = Path(log), None

    def start(self):
        with self._log_path.open("ab") as log:
            self.process = subprocess.Popen(self._command, cwd=ROOT, env=self._environ, stderr=log, stdout=log)
        return self

    def kill(self):
        """SIGKILL: nothing of the process gets to run any more."""
        self.process.kill()
        self.process.wait()

    def stop(self, seconds=15):
        """SIGTERM; the exit status."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGTERM)
        return self.process.wait(seconds)

    def log(self):
        return self._log_path.read_text()
