"""What changed at a tank: all of the last days but readings that were as always; and gasping fish."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from bot.assistant import events, judging
from bot.assistant.history_parts import day_of, entries_of, tank_of, today_of
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Control, Event, Item, Reading
from bot.rules.judged import Verdict
from bot.rules.words import says
from bot.store import logbook
from bot.store.logbook import Fact
from bot.wording import history as wording


def changed(turn: Turn, item: Control) -> list[str]:
    """Doses, changes, animals, tools, pumps, checks, settings and odd readings, newest first, a line a day."""
    tank = str(tank_of(turn, item))
    day = day_of(turn, item)
    days = item.days or table("conversation")["what_changed"]["days"]
    since = day[0] if day else turn.now - timedelta(days=days)
    head = wording.changed_head(tank, days if not day else None, since)
    return wording.by_day(head, entries_of(turn, _what_changed(turn, tank, since)), today_of(turn))


def note(turn: Turn, item: Item) -> list[Part]:
    """A note; of gasping fish, what keeps people and fish alive first and what changed lately, never a diagnosis."""
    assert isinstance(item, Event)
    kept = events.take(turn, item)
    if item.tank is None or not says(item.subject or "", table("conversation")["gasping"]["words"]):
        return kept
    lately = changed(turn, Control("history", tank=item.tank, subject="changed"))
    return [Part(head="\n".join([table("conversation")["gasping"]["says"], *lately])), *kept]


def _what_changed(turn: Turn, tank: str, since: datetime) -> list[Fact]:
    kinds = ("event", "wait", "setting", "batch", "task")
    found = [f for kind in kinds for f in logbook.events(turn.db, tank, since=since, kind=kind)]
    orders = logbook.events(turn.db, tank, since=since, kind="control")
    found += [f for f in orders if getattr(f.item, "action", None) in ("done", "override", "stop")]
    moved = logbook.events(turn.db, None, ["livestock_moved"], since)
    found += [f for f in moved if tank == getattr(f.item, "to_tank", None) and f.item.tank != tank]  # type: ignore[union-attr]
    odd = [f for f, verdicts in judging.judged_since(turn, tank, since) if _is_odd(f, verdicts)]
    unlike = {f.id: f for f in (*found, *odd) if f.message_id != turn.message_id}
    return sorted(unlike.values(), key=lambda f: (f.at, f.id), reverse=True)


def _is_odd(fact: Fact, verdicts: Sequence[Verdict]) -> bool:
    """Not confirmed, out of its range, or moved too fast."""
    item = fact.item
    return isinstance(item, Reading) and (item.unconfirmed or any(v.kind in _ODD for v in verdicts))


_ODD = ("poison", "free_ammonia", "alarm", "unlike", "fast", "outside", "chloride")
