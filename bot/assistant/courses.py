"""The steps of a course: which one is before, which one comes next."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from bot.assistant import orders, running, waits
from bot.assistant.running import Running
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Wait, changed
from bot.rules import waits as rules
from bot.rules.waits import Kind


def follow(turn: Turn, it: Running, key: str, at: datetime, minutes: float | None = None) -> Part:
    """Starts the next step of the course with the same thing, place and owner."""
    nxt = _kind(turn, key)
    item = Wait(nxt.wait, tank=it.row.tank, vat=it.row.vat, subject=it.row.subject, step=nxt.step, minutes=minutes)
    long = rules.length(nxt, minutes, orders.sheet(turn, item, nxt))
    assert long is not None
    started = changed(item, started=at) if at < turn.now else item
    assert isinstance(started, Wait)
    kept = {k: it.row.data[k] for k in ("overridden", "reason") if it.row.data.get(k)}
    part = waits.begin(turn, started, long, it.row.owner, stated=minutes is not None, after=it.id, **kept)
    return replace(part, at=None)


def _kind(turn: Turn, key: str) -> Kind:
    wait = str(table("waits")[key].get("wait", key))
    return running.kind_of(turn, wait, key if wait != key else None, None)
