"""Whether the service is alive, for everyone who asks: the supervisor, a container, a person, and the next start."""

from __future__ import annotations

import json
import socket
import sqlite3
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from statistics import quantiles
from typing import Any

from sqlite_utils import Database

from bot.doors.signs import Signs
from bot.doors.web import Answer, Request
from bot.store import pulse
from bot.store.database import one, writing
from bot.store.faults import fault_in_words

DEAF_S, STOOD_STILL_S, KEEP_UPDATES = 60.0, 10.0, timedelta(days=30)


@dataclass(frozen=True)
class Health:
    """Alive or not; where not, `why` says what stands still."""

    alive: bool
    why: str = ""


def health(signs: Signs, looked_at: datetime | None, now: datetime, polls: bool, poll_s: float) -> Health:
    """Alive: the clock is looked at, and polls are answered or the network is known to be away."""
    if looked_at is not None and (now - looked_at).total_seconds() > STOOD_STILL_S:
        return Health(False, "nobody looks at the clock")
    deaf = polls and not signs.network_down and signs.age("polls", now) > DEAF_S + poll_s
    return Health(False, "no poll was answered") if deaf else Health(True)


def notifier(environ: Mapping[str, str]) -> Callable[[str], None]:
    """Tells the supervisor (systemd's datagram socket) how things are; does nothing where there is none."""
    address = environ.get("NOTIFY_SOCKET", "")
    if not address:
        return lambda _: None

    def notify(state: str) -> None:
        with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as sock:
            sock.connect("\0" + address[1:] if address.startswith("@") else address)
            sock.sendall(state.encode())

    return notify


def beat(db: Database, signs: Signs, now: datetime, state: Health) -> None:
    """The sign of life in the database, from which `health` and the next start read."""
    try:
        with writing(db):
            pulse.beat(db, "alive", now, alive=state.alive, why=state.why, trouble=signs.trouble)
    except sqlite3.Error as fault:
        signs.trouble = fault_in_words(fault) or str(fault)


def counters(db: Database, signs: Signs, now: datetime) -> dict[str, float]:
    """Everything countable, by name: since the start, and what waits just now."""
    waiting = one(db, _WAITING) or {}
    late = sorted(signs.lateness_s)
    figures = {f"{name}_total": float(n) for name, n in sorted(signs.counts.items())}
    figures |= {name: float(n or 0) for name, n in waiting.items()}
    figures["seconds_since_poll"] = signs.age("polls", now)
    figures["seconds_up"] = (now - signs.started).total_seconds()
    if late:
        cuts = quantiles(late, n=100) if len(late) > 1 else [late[0]] * 99
        figures |= {
            "ping_late_seconds_p50": cuts[49],
            "ping_late_seconds_p99": cuts[98],
            "ping_late_seconds_max": late[-1],
        }
    return figures


_WAITING = """select
  (select count(*) from inbox where done_at is null) as inbox_waiting,
  (select count(*) from inbox where error is not null) as inbox_set_aside,
  (select count(*) from outbox where sent_at is null and parked is null) as outbox_waiting,
  (select count(*) from outbox where parked is not null) as outbox_parked,
  (select count(*) from wait where state in ('running', 'asked', 'gate')) as waits_open"""


class Page:
    """Two addresses for machines: /health (200 or 503) and /counters (the plain text form that collectors read)."""

    def __init__(self, state: Callable[[], Health], figures: Callable[[], dict[str, float]], signs: Signs) -> None:
        self._state, self._figures, self._signs = state, figures, signs

    async def answer(self, request: Request) -> Answer:
        """The answer to a request."""
        if request.method != "GET":
            return Answer(405)
        if request.path == "/health":
            state = self._state()
            said: dict[str, Any] = {"alive": state.alive, "why": state.why, "trouble": self._signs.trouble}
            return Answer(200 if state.alive else 503, json.dumps(said) + "\n", "application/json")
        if request.path == "/counters":
            return Answer(200, "".join(f"bucketbell_{name} {n:g}\n" for name, n in self._figures().items()))
        return Answer(404)
