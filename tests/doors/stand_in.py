"""A desk of a few lines in place of the real one: quotes what came, pings when asked to."""

import re
from datetime import timedelta

from bot.doors.pace import UNPACED
from bot.doors.poll import Patience
from bot.messages import Button, Edited, Incoming, Outgoing, Pressed
from bot.store import outbox, said, waits
from bot.store.database import writing

__all__ = ["QUICK", "UNPACED", "handle"]
QUICK = Patience(poll=2, first=0.05, longest=0.4, refusals=(0.02, 0.02, 0.02, 0.02))


def handle(db, happening):
    """ "ping in 2" starts a wait of 2 s, "fail" raises; everything is quoted back under two buttons."""
    with writing(db):
        if not isinstance(happening, Incoming | Edited | Pressed):
            return _tick(db, happening)
        number = said.record(db, happening)
        if number is None:
            return None
        return _answer(db, happening, number)


def _answer(db, happening, number):
    if isinstance(happening, Pressed):
        outbox.post(db, Outgoing(happening.chat, f"pressed {happening.data}"), happening.at, number)
        return number
    if "fail" in happening.text:
        raise ValueError("asked to fail")
    if found := re.match(r"ping in ([\d.]+)", happening.text):
        _start(db, happening, number, float(found[1]))
    words = "edited" if isinstance(happening, Edited) else "read"
    shown = [words, happening.text, *(f"{k}={v}" for k in _SHOWN if (v := getattr(happening, k, None)))]
    buttons = (Button("Undo", f"u:{number}"), Button("Keep", f"k:{number}"))
    topic = getattr(happening, "topic", None)
    reply = Outgoing(happening.chat, " | ".join(shown), buttons, topic=topic, reply_to=happening.ref)
    outbox.post(db, reply, happening.at, number)
    return number


_SHOWN = ("who", "chat", "reply_to", "topic", "photo", "file", "sent_at", "group")


def _start(db, happening, number, seconds):
    due = happening.at + timedelta(seconds=seconds)
    waits.start(
        db, number, kind="other", subject=happening.text, owner=happening.who, chat=happening.chat,
        topic=happening.topic, started_at=happening.at, minutes=seconds / 60, due_at=due, state="running", next_at=due,
    )  # fmt: skip


def _tick(db, tick):
    due = waits.due(db, tick.at)
    number = said.record(db, tick) if due or tick.down_since else None
    if tick.down_since:
        outbox.post(db, Outgoing("ana", f"was away since {tick.down_since:%H:%M}", unasked=True), tick.at, number)
    for wait in due:
        waits.alter_wait(db, number, wait.id, state="asked", next_at=None)
        ping = Outgoing(wait.chat, f"OUT NOW {wait.subject}", unasked=True, sound=True, topic=wait.topic)
        outbox.post(db, ping, tick.at, number, urgent=True)
    return number
