"""One process for one file: a lock beside the database, let go by the system itself when the process ends."""

from __future__ import annotations

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


class Held(Exception):
    """Another process serves the same file."""


@contextmanager
def only_process(db: Path) -> Iterator[None]:
    """Holds the lock of that database; raises Held at once where somebody else does."""
    path = db.with_name(db.name + ".lock")
    handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise Held(f"Another process already serves {db}: stop it first ({path} is held).") from None
        yield
    finally:
        os.close(handle)
