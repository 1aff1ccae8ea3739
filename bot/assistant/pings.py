"""Waits whose moment has come: pinged, several of one chat together, each once."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from bot.assistant import after_leaving, calls, climbing, driving, people, running
from bot.assistant.calls import Call
from bot.assistant.running import Running
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.rules import ladder
from bot.rules import waits as rules
from bot.store import waits as store
from bot.store.waits import WaitRow
from bot.wording import waits as wording


def due(turn: Turn, rows: Sequence[WaitRow]) -> list[Part]:
    """Everything that is due with waits: pings that are over, and ladders that climb."""
    over = [running.of(turn, w) for w in rows if w.state == "running"]
    found = [c for owner in dict.fromkeys(it.row.owner for it in over) for c in _of_owner(turn, owner, over)]
    found += [c for w in rows if w.state != "running" for c in climbing.climb(turn, running.of(turn, w))]
    return calls.gathered(turn, found)


def at_once(turn: Turn, it: Running) -> Part:
    """The ping of a wait that was over before it was heard of: it stands in the reply."""
    it = _asked(turn, it)
    return Part(head=_words(turn, it), tank=it.shown.place, stored=True, buttons=running.ping_buttons(it)[:2])


def _of_owner(turn: Turn, owner: str, over: Sequence[Running]) -> list[Call]:
    """The pings of one person; held back a moment where another is over within three seconds."""
    own = [it for it in over if it.row.owner == owner]
    last = _last_of_group(turn, own)
    if last > turn.now:
        for it in own:
            store.alter_wait(turn.db, turn.message_id, it.id, next_at=last)
        return []
    held = [it for it in own if _still_short(turn, it)]
    ready = [_asked(turn, it) for it in own if it not in held]
    return [_held_back(turn, it) for it in held] + [c for it in ready for c in _pings(turn, it)]


def _last_of_group(turn: Turn, own: Sequence[Running]) -> datetime:
    """The moment of the last wait of this person that is over within the window; each counts from the first due."""
    window = timedelta(seconds=table("pings")["together"]["value"])
    first = min(it.row.due_at for it in own)
    until = max(first, turn.now - window) + window
    return store.last_before(turn.db, own[0].row.owner, until)


def _still_short(turn: Turn, it: Running) -> bool:
    return it.kind.early == "hold" and not rules.may_end(it.kind, it.row.started_at, turn.now)


def _held_back(turn: Turn, it: Running) -> Call:
    """A stated length that is under the shortest pings when said, and says so; again at the shortest."""
    earliest = rules.after(it.row.started_at, it.kind.shortest)
    store.alter_wait(
        turn.db, turn.message_id, it.id, due_at=earliest, next_at=earliest, minutes=it.kind.shortest
    )  # fmt: skip
    minutes = rules.minutes_between(it.row.started_at, turn.now)
    words = wording.too_early(it.shown, minutes, f"{turn.local(earliest):%H:%M}")
    return Call(it.row.owner, it, words, words)


def _asked(turn: Turn, it: Running) -> Running:
    """Notes that it has pinged, and when the next rung of its ladder is due."""
    again = ladder.moment(turn.now, 0, it.ladder) if it.kind.hurts else None
    data = {**it.row.data, "pinged_at": turn.now.timestamp()}
    row = store.alter_wait(turn.db, turn.message_id, it.id, state="asked", next_at=again, rung=0, data=data)
    return running.of(turn, row)


def _pings(turn: Turn, it: Running) -> list[Call]:
    """The ping; of a hurt wait of somebody at the wheel the call to somebody else, where there is anybody."""
    at_wheel = it.kind.hurts and driving.at_wheel(turn, it.row.owner)
    return (climbing.instead_of_driver(turn, it) if at_wheel else []) or [_ping(turn, it)]


def _ping(turn: Turn, it: Running) -> Call:
    line = wording.ping_line(it.shown, it.over_min(turn.now))
    buttons = after_leaving.buttons(turn, it) or running.ping_buttons(it)
    return Call(it.row.owner, it, _words(turn, it), line, buttons, _sounds(turn, it))


def _words(turn: Turn, it: Running) -> str:
    return wording.ping(it.shown, it.over_min(turn.now), running.next_words(turn, it.kind))


def _sounds(turn: Turn, it: Running) -> bool:
    """Hurt and stated waits ring whatever the hour, unless their owner is at the wheel; the rest not in quiet hours."""
    if driving.at_wheel(turn, it.row.owner):
        return it.kind.hurts and people.next_after(turn, it.row.owner, it.row.tank) is None
    return it.kind.hurts or bool(it.row.data.get("stated")) or not people.is_off(turn, it.row.owner)
