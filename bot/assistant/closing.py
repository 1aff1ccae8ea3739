"""A wait is closed, given more time, or not yet let go; its true minutes go into the logbook."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from bot.assistant import people, running
from bot.assistant.running import Running
from bot.assistant.turn import Part, Turn
from bot.items import Control, Event, Item
from bot.messages import Outgoing
from bot.rules import open_ends
from bot.rules import waits as rules
from bot.store import logbook
from bot.store import waits as store
from bot.wording import waits as wording
from bot.wording.entries import clock


def finish(turn: Turn, it: Running, at: datetime | None = None, **told: Any) -> list[Part]:
    """Done: the row is closed, its true minutes are kept, and whoever was called in hears of it."""
    ended = it.row.ended_at or when(turn, it, at)
    minutes = rules.minutes_between(it.row.started_at, ended)
    close(turn, it, "done", ended)
    if not _told_already(turn, it):
        turn.keep(_what_happened(it, minutes, told))
    lines = (it.kind.caution,) if it.kind.caution and not it.kind.alone else ()
    said = wording.ended(it.shown, minutes)
    return [Part(said=(said,), tank=it.shown.place, stored=True, lines=lines, others=stand_down(turn, it))]


def close(turn: Turn, it: Running, state: str, at: datetime, **data: Any) -> Running:
    """Closes the row: nothing of it pings after this."""
    row = store.alter_wait(
        turn.db, turn.message_id, it.id, state=state, ended_at=at, next_at=None, data={**it.row.data, **data}
    )
    return running.of(turn, row)


def _what_happened(it: Running, minutes: float, told: Mapping[str, Any]) -> Item:
    """The fact of an end: a wait done with its true minutes, or the open thing closed."""
    row = it.row
    if row.data.get("end"):
        return open_ends.closing_event(row.data["end"], row.subject, row.tank, row.vat)
    return Control("done", tank=row.tank, wait=row.kind, subject=row.subject, minutes=round(minutes, 2), **told)


def _told_already(turn: Turn, it: Running) -> bool:
    """Whether the sentence that closes this open thing is in the logbook itself ("return on, flow seen")."""
    kept = [f.item for f in logbook.facts_of(turn.db, [turn.message_id])] if it.row.data.get("end") else []
    return any(isinstance(i, Event) and i.closes and (i.tank, i.vat) == (it.row.tank, it.row.vat) for i in kept)


def stand_down(turn: Turn, it: Running) -> tuple[Outgoing, ...]:
    """Tells those who were called in that nothing is left for them to do."""
    words = wording.over_for_all(it.shown, turn.who.name)
    names = dict.fromkeys([it.row.owner, *it.row.data.get("told", ())])
    return tuple(people.told(turn, name, words) for name in names if name != turn.who.name and turn.team.person(name))


def ready(turn: Turn, it: Running, at: datetime | None = None) -> bool:
    """Whether it may end now: its shortest time has passed, or somebody has overridden that."""
    if it.row.data.get("time_overridden"):
        return True
    at = at or turn.said_at
    return rules.may_end(it.kind, it.row.started_at, at) and not rules.is_cut(it.kind, it.row.due_at, at)


def too_early(turn: Turn, it: Running, at: datetime | None = None) -> Part:
    """Says why it is not out yet; it goes on to its shortest time, and pings again then."""
    at = at or turn.said_at
    earliest = rules.after(it.row.started_at, it.kind.shortest)
    today = turn.local(turn.now).date()
    if it.row.state == "asked" and earliest > turn.now:
        store.alter_wait(turn.db, turn.message_id, it.id, state="running", due_at=earliest, next_at=earliest, rung=0)
    note_hold(turn, it)
    if rules.may_end(it.kind, it.row.started_at, at):
        return Part(head=wording.too_early_cut(it.shown, clock(it.shown.due, today)))
    minutes = rules.minutes_between(it.row.started_at, at)
    return Part(head=wording.too_early(it.shown, minutes, clock(turn.local(earliest), today)))


def more(turn: Turn, it: Running, minutes: float) -> list[Part]:
    """Gives it more time, as far as the longest."""
    due = rules.extended(it.kind, it.row.started_at, it.row.due_at, turn.now, minutes)
    longest = it.kind.longest
    if longest is not None and due <= max(it.row.due_at, turn.now):
        return [Part(head=wording.no_more(it.shown, longest), buttons=running.ping_buttons(it)[:1])]
    row = store.alter_wait(
        turn.db, turn.message_id, it.id, state="running", due_at=due, next_at=due, rung=0, ended_at=None,
        minutes=rules.minutes_between(it.row.started_at, due),
        data={**it.row.data, "stated": True, "told": [], "on_it": None, "reminded": False},
    )  # fmt: skip
    capped = longest is not None and due == rules.after(it.row.started_at, longest)
    said = wording.put_off(running.of(turn, row).shown, turn.local(turn.now).date(), capped)
    return [Part(said=(said,), tank=it.shown.place, stored=True, others=stand_down(turn, it))]


def stop(turn: Turn, it: Running) -> list[Part]:
    """Stops it: it does not count as done, and nothing that its gate keeps has happened."""
    close(turn, it, "stopped", turn.now)
    turn.keep(Control("stop", tank=it.row.tank, wait=it.row.kind, subject=it.row.subject))
    line = f"Not counted as done: no {it.kind.name} happened." if it.kind.course or it.kind.gate else ""
    lines = (line,) if line else ()
    said = f"{it.shown.thing}: stopped"
    return [Part(said=(said,), tank=it.shown.place, stored=True, lines=lines, others=stand_down(turn, it))]


def when(turn: Turn, it: Running, at: datetime | None) -> datetime:
    """The instant it ended: as said, but neither before its start nor in the future."""
    wanted = at or turn.said_at
    return min(max(wanted, it.row.started_at), turn.now)


def note_hold(turn: Turn, it: Running) -> None:
    """Notes that its time holds it, and whom: whoever the table allows may go on with a reason."""
    row = store.wait(turn.db, it.id)
    store.alter_wait(turn.db, turn.message_id, it.id, data={**row.data, "held": "time", "held_by": turn.who.name})
