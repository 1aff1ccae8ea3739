"""Late messages: those with a known time keep it; several that came through together are asked about, once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from bot.assistant import asking, waits
from bot.assistant.dispatch import parts_of
from bot.assistant.turn import Ask, Part, Turn
from bot.facts.load import table
from bot.items import Event, Item, Reading, Understood, Wait, changed
from bot.items_json import as_json, from_json
from bot.rules import late as rules
from bot.rules.waits import after
from bot.store import logbook, pending, reminders, said
from bot.store import waits as store
from bot.store.database import instant
from bot.store.pending import Pending
from bot.store.reminders import Reminder
from bot.understanding.read import read
from bot.wording import late as wording

HANDLER = "burst"


def sift(turn: Turn, understood: Understood) -> tuple[Understood, list[Part]]:
    """What of a message may be worked off at once, and what is to be said of its lateness."""
    if rules.is_late(turn.said_at, turn.now):
        return understood, [Part(lines=(wording.came_late(turn.local(turn.now)),))]
    together = _together(turn)
    if not together:
        return understood, []
    waiting = [i for i in understood.items if isinstance(i, Wait) and i.started is None]
    rest = tuple(i for i in understood.items if i not in waiting)
    return replace(understood, items=rest), _held(turn, waiting, together)


def answer(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """When they were written: waits start then, what was measured or done is kept at that time."""
    at = _time_meant(turn, question, value, text)
    if at is None:
        return None
    parts = _moved(turn, question, at)
    for data in question.data["waits"]:
        item = from_json(dict(data))
        parts += waits.take(turn, changed(item, started=turn.local(at)))
    return [*parts, *asking.settled(turn, question)] or [Part(lines=("Kept as it came.",))]


def due(turn: Turn, reminder: Reminder) -> list[Part]:
    """Still not answered: asked again, with a sound, because nothing of it is running."""
    reminders.alter_reminder(turn.db, turn.message_id, reminder.id, state="done")
    question = _asked(turn, reminder.chat or "")
    if question is None or not question.data["waits"]:
        return []
    _remind(turn, reminder.chat or "", reminder.who or "")
    return [asking.again_unasked(turn, question)]


def _asked(turn: Turn, chat: str) -> Pending | None:
    return next((q for q in pending.unanswered(turn.db, chat) if q.data.get("handler") == HANDLER), None)


def _remind(turn: Turn, chat: str, who: str) -> None:
    wait = table("pings")["late"]["value"]
    reminders.set_reminder(turn.db, turn.message_id, "burst", after(turn.now, wait), who, chat)


def _together(turn: Turn) -> int:
    if turn.live or turn.group or turn.said_at != turn.now:
        return 0
    return rules.burst([at for at, _ in said.arrivals(turn.db, turn.who.name, turn.message_id)])


def _held(turn: Turn, waiting: Sequence[Wait], together: int) -> list[Part]:
    """Puts the one question, or adds to what it already holds."""
    messages = [number for _, number in said.arrivals(turn.db, turn.who.name, turn.message_id)][:together]
    asked = _asked(turn, turn.chat)
    if asked:
        data = {**asked.data, "waits": [*asked.data["waits"], *map(as_json, waiting)], "messages": messages}
        pending.settle(turn.db, turn.message_id, asked.id, asked.state, data=data)
        return [Part(lines=(wording.still_not_running(waiting),))] if waiting else []
    early = _unstarted(turn, messages)
    before = said.last_before(turn.db, turn.who.name, min(messages))
    kept: dict[str, Any] = {
        "waits": [as_json(i) for i in (*early, *waiting)], "messages": messages,
        "since": before.timestamp() if before else None, "came": turn.now.timestamp(),
    }  # fmt: skip
    since = turn.local(before) if before else None
    _remind(turn, turn.chat, turn.who.name)
    text, options = wording.question(together, since, [*early, *waiting])
    return [Part(ask=Ask(text, options, HANDLER, "which_time", None, kept, hold=True))]


def _unstarted(turn: Turn, messages: Sequence[int]) -> list[Wait]:
    """The waits that the first messages of the burst started too late: stopped, and held with the rest."""
    found: list[Wait] = []
    for fact in logbook.facts_of(turn.db, sorted(messages)):
        if isinstance(fact.item, Wait) and fact.item.started is None and not fact.void:
            found.append(fact.item)
            logbook.void(turn.db, turn.message_id, fact.id, "when it began is asked", turn.now)
            for row in store.open_of(turn.db, [fact.id]):
                store.alter_wait(turn.db, turn.message_id, row.id, state="stopped", next_at=None)
    return found


def _time_meant(turn: Turn, question: Pending, value: str | None, text: str) -> datetime | None:
    if value == "now" or wording.is_just_now(text):
        return instant(question.data["came"])
    if value == "since" and question.data["since"]:
        return instant(question.data["since"])
    return None if _together(turn) else _time_in(turn, text)


def _time_in(turn: Turn, text: str) -> datetime | None:
    """The past instant that the words name and nothing beside it: "10:05", "since 10:05", "20 min ago"."""
    if not text or turn.situation is None:
        return None
    understood = read(f"float since {text.removeprefix('since ')}", turn.situation)
    item = understood.items[0] if len(understood.items) == 1 and not understood.unread else None
    plain = isinstance(item, Wait) and item.minutes is None and item.subject is None and item.started
    return item.started if plain and isinstance(item, Wait) and item.started and item.started <= turn.now else None


def _moved(turn: Turn, question: Pending, at: datetime) -> list[Part]:
    """Readings and events of the burst without a time of their own are kept at the time meant."""
    if at >= instant(question.data["came"]):
        return []
    moved: list[Item] = []
    for fact in logbook.facts_of(turn.db, sorted(question.data["messages"])):
        if isinstance(fact.item, Reading | Event) and fact.item.at is None and not fact.void:
            logbook.void(turn.db, turn.message_id, fact.id, "said to be earlier", turn.now)
            moved.append(changed(fact.item, at=turn.local(at)))
    store.stop_unsaid(turn.db, turn.message_id, turn.now)  # what stands open since then is opened anew
    return parts_of(turn, Understood(tuple(moved))) if moved else []
