"""Waits whose moment has come: pinged, several of one chat together, each once."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from bot.assistant import climbing, driving, people, running
from bot.assistant.running import Running
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.messages import Button, Outgoing
from bot.rules import ladder
from bot.rules import waits as rules
from bot.store import conversations
from bot.store import waits as store
from bot.store.waits import WaitRow
from bot.wording import waits as wording


def due(turn: Turn, rows: Sequence[WaitRow]) -> list[Part]:
    """Everything that is due with waits: pings that are over, and ladders that climb."""
    over = [running.of(turn, w) for w in rows if w.state == "running"]
    parts = [p for owner in dict.fromkeys(it.row.owner for it in over) for p in _of_owner(turn, owner, over)]
    return parts + [p for w in rows if w.state != "running" for p in climbing.climb(turn, running.of(turn, w))]


def at_once(turn: Turn, it: Running) -> Part:
    """The ping of a wait that was over before it was heard of: it stands in the reply."""
    it = _asked(turn, it)
    return Part(head=_words(turn, it), tank=it.shown.place, stored=True, buttons=running.ping_buttons(it)[:2])


def _of_owner(turn: Turn, owner: str, over: Sequence[Running]) -> list[Part]:
    """The pings of one person; held back a moment where another is over within three seconds."""
    own = [it for it in over if it.row.owner == owner]
    last = _last_of_group(turn, own)
    if last > turn.now:
        for it in own:
            store.alter_wait(turn.db, turn.message_id, it.id, next_at=last)
        return []
    held = [it for it in own if _still_short(turn, it)]
    ready = [_asked(turn, it) for it in own if it not in held]
    outgoing = [_held_back(turn, it) for it in held] + _together(turn, owner, ready)
    return [Part(others=(o,), urgent=o.sound) for o in outgoing] + [p for it in ready for p in _at_the_wheel(turn, it)]


def _last_of_group(turn: Turn, own: Sequence[Running]) -> datetime:
    first = min(it.row.due_at for it in own)
    until = max(first, turn.now - _window()) + _window()
    soon = [
        w.next_at for w in store.open_waits(turn.db, owner=own[0].row.owner)
        if w.state == "running" and w.next_at and w.next_at <= until
    ]  # fmt: skip
    return max(soon)


def _window() -> timedelta:
    return timedelta(seconds=table("pings")["together"]["value"])


def _still_short(turn: Turn, it: Running) -> bool:
    return it.kind.early == "hold" and not rules.may_end(it.kind, it.row.started_at, turn.now)


def _held_back(turn: Turn, it: Running) -> Outgoing:
    """A stated length that is under the shortest pings when said, and says so; again at the shortest."""
    earliest = rules.after(it.row.started_at, it.kind.shortest)
    store.alter_wait(turn.db, turn.message_id, it.id, due_at=earliest, next_at=earliest)
    minutes = rules.minutes_between(it.row.started_at, turn.now)
    words = wording.too_early(it.shown, minutes, f"{turn.local(earliest):%H:%M}")
    return people.told(turn, it.row.owner, words, sound=True)


def _asked(turn: Turn, it: Running) -> Running:
    """Notes that it has pinged, and when the next rung of its ladder is due."""
    again = ladder.moment(turn.now, 0, it.ladder) if it.kind.hurts else None
    data = {**it.row.data, "pinged_at": turn.now.timestamp()}
    row = store.alter_wait(turn.db, turn.message_id, it.id, state="asked", next_at=again, rung=0, data=data)
    return running.of(turn, row)


def _together(turn: Turn, owner: str, ready: Sequence[Running]) -> list[Outgoing]:
    if not ready:
        return []
    sound = any(_sounds(turn, it) for it in ready)
    if len(ready) == 1:
        return [people.told(turn, owner, _words(turn, ready[0]), running.ping_buttons(ready[0]), sound)]
    _remember_list(turn, owner, ready)
    words = wording.pings([(it.shown, _over(turn, it)) for it in ready])
    return [people.told(turn, owner, words, _buttons_of_many(ready), sound)]


def _words(turn: Turn, it: Running) -> str:
    return wording.ping(it.shown, _over(turn, it), running.next_words(turn, it.kind))


def _over(turn: Turn, it: Running) -> int:
    """Whole minutes that it is over."""
    return int(rules.minutes_between(it.row.due_at, turn.now))


def _sounds(turn: Turn, it: Running) -> bool:
    """Hurt and stated waits ring whatever the hour, unless their owner is at the wheel; the rest not in quiet hours."""
    if driving.at_wheel(turn, it.row.owner):
        return it.kind.hurts and people.next_after(turn, it.row.owner, it.row.tank) is None
    return it.kind.hurts or bool(it.row.data.get("stated")) or not people.is_off(turn, it.row.owner)


def _at_the_wheel(turn: Turn, it: Running) -> list[Part]:
    """A hurt wait of somebody at the wheel goes to somebody else at once."""
    if it.kind.hurts and driving.at_wheel(turn, it.row.owner):
        return climbing.instead_of_driver(turn, it)
    return []


def _buttons_of_many(ready: Sequence[Running]) -> tuple[Button, ...]:
    if len(ready) <= 3:
        return tuple(Button(f"{it.kind.out} {i}", f"w:{it.id}:out") for i, it in enumerate(ready, start=1))
    return (Button("All out", f"wa:{ready[0].id}:{ready[-1].id}"), Button("List", "ws"))


def _remember_list(turn: Turn, owner: str, ready: Sequence[Running]) -> None:
    known = conversations.conversation(turn.db, owner)
    data = {**known.data, "listed": [it.id for it in ready]}
    conversations.carry_on(turn.db, turn.message_id, owner, data=data)
