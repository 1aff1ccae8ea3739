"""A process that has loaded the whole bot and forks a service on request: many starts in little time.

It reads JSON lines: {"environ", "desk", "log"} starts one, answers its number; {"wait": number, "hang": bool} answers
its exit status, null where it still runs.
"""

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent


class Nursery:
    """The other end: `with Nursery() as nursery`, then `nursery.start(...)`."""

    def __enter__(self):
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.doors.nursery"],
            cwd=ROOT,
            text=True,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
        )
        return self

    def __exit__(self, *left):
        self._process.stdin.close()
        self._process.wait()

    def start(self, environ, desk, log):
        return Child(self, self.ask(environ=environ, desk=desk, log=str(log)))

    def ask(self, **request):
        self._process.stdin.write(json.dumps(request) + "\n")
        self._process.stdin.flush()
        return json.loads(self._process.stdout.readline())


class Child:
    """One service process."""

    def __init__(self, nursery, pid):
        self._nursery, self.pid, self._status = nursery, pid, None

    def signal(self, number):
        os.kill(self.pid, number)

    def status(self, hang=False):
        """The exit status (negative: killed by that signal); None where it runs."""
        if self._status is None:
            self._status = self._nursery.ask(wait=self.pid, hang=hang)
        return self._status


def _serve(environ, desk, log):
    from bot.doors import telegram
    from bot.doors.settings import from_environ
    from bot.doors.telegram import How, serve
    from bot.store.database import open_database
    from tests.doors import stand_in

    opened = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    for stream in (1, 2):
        os.dup2(opened, stream)
    if "pages" in environ:
        telegram.open_database = lambda path: _of_pages(open_database(path), environ["pages"])
    how = How(pace=stand_in.UNPACED, patience=stand_in.QUICK, sweep_s=0.5, environ=environ)
    return serve(from_environ(environ, environ.get("options")), desk, how)


def _of_pages(db, pages):
    """The database with a file that may not grow any more: the next page is refused as on a full disk."""
    db.conn.execute(f"pragma max_page_count = {pages}")
    return db


def main():
    from bot.assistant.desk import handle
    from bot.understanding.read import read  # noqa: F401
    from tests.doors import stand_in

    desks, born = {"real": handle, "stand-in": stand_in.handle}, set()
    for line in sys.stdin:
        request = json.loads(line)
        if "wait" in request:
            pid, status = os.waitpid(request["wait"], 0 if request["hang"] else os.WNOHANG)
            answer = os.waitstatus_to_exitcode(status) if pid else None
            born.discard(pid)
        else:
            answer = os.fork()
            if not answer:
                os._exit(_serve(request["environ"], desks[request["desk"]], request["log"]))
            born.add(answer)
        print(json.dumps(answer), flush=True)
    for pid in born:
        os.kill(pid, signal.SIGKILL)


if __name__ == "__main__":
    main()
