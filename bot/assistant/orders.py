"""What an order, a label or a supplier's sheet on file says of a wait; and what may not start without one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from bot.assistant.turn import Part, Turn
from bot.items import Situation, Wait
from bot.rules import medicines, words
from bot.rules.waits import Kind
from bot.team import Tank
from bot.understanding.read import read
from bot.wording import orders as wording


def refusal(turn: Turn, item: Wait, kind: Kind) -> list[Part]:
    """Why this wait may not be started: a treatment without an order on file."""
    words = turn.text if item.wait == "dip" or kind.ordered else item.subject or ""
    named = medicines.named(words)
    if not (kind.ordered or (item.wait == "dip" and named)):
        return []
    tank = turn.tank(item.tank)
    if tank and any(medicines.covers(o, words, turn.local(turn.now).date()) for o in tank.orders):
        return []
    return [Part(head=wording.no_order(named or item.subject or kind.name, item.tank, started=False), urgent=False)]


def sheet(turn: Turn, item: Wait, kind: Kind) -> tuple[float, str] | None:
    """The minutes that an order or a recorded instruction gives for this wait, and who says so."""
    tank = turn.tank(item.tank)
    today = turn.local(turn.now).date()
    for source in (*_orders(tank, today), *_instructions(turn, tank)):
        if source.get("minutes") and _fits(source, item, kind):
            return float(source["minutes"]), str(source.get("by") or "the sheet")
    return None


def minutes_in(turn: Turn, words: str) -> float | None:
    """The length of time that an answer gives: "20", "20 min", "till 10:40"; None where it gives none."""
    situation = turn.situation or Situation(now=turn.local(turn.now))
    for phrase in (f"float {words}", f"float for {words} min"):
        waits = [i for i in read(phrase, situation).items if isinstance(i, Wait)]
        if waits and waits[0].minutes:
            return waits[0].minutes
    return None


def _orders(tank: Tank | None, today: date) -> Iterable[Mapping[str, Any]]:
    return [o for o in tank.orders if medicines.in_force(o, today)] if tank else []


def _instructions(turn: Turn, tank: Tank | None) -> Iterable[Mapping[str, Any]]:
    own = tank.data.get("instructions", ()) if tank else ()
    return (*own, *turn.team.data.get("instructions", ()))


def _fits(source: Mapping[str, Any], item: Wait, kind: Kind) -> bool:
    wait, subject = source.get("wait"), str(source.get("subject") or source.get("animals") or "")
    named = str(source.get("treatment") or "")
    if wait and wait not in (item.wait, kind.key):
        return False
    if not wait and item.wait not in ("dip", "other"):
        return False
    return not subject or not item.subject or words.alike(f"{subject} {named}", item.subject)
