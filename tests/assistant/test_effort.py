"""What a message costs does not grow with what lies behind it. Counted in calls, the same on every machine."""

from __future__ import annotations

from bot.store import pending
from bot.store.database import one, rows, writing
from tests.assistant.team import Chat
from tests.effort import calls_of

READINGS = "elm lobby ph 8.2 sg 1.025 temp 25.3 alk 8.2 no3 12"


def cost(chat: Chat, text: str = READINGS) -> int:
    """The calls of the second of two like messages: the first one fills the tables."""
    chat.say("ana", text)
    chat.wait(minutes=20)
    return int(calls_of(lambda: chat.say("ana", text))[1])


def test_questions_that_nobody_ever_answers_make_no_message_dearer() -> None:
    chat = Chat()
    before = cost(chat)
    first = one(chat.db, "select id from message order by id limit 1")
    assert first
    with writing(chat.db):
        for n in range(300):
            options = ("a", "b")
            pending.ask(chat.db, first["id"], "ana", "ana", "which_tank", {}, options, "waiting", text=f"{n}?")
    assert cost(chat) < 1.3 * before


def test_a_long_record_makes_no_message_dearer() -> None:
    chat = Chat()
    for _ in range(25):
        chat.say("ana", READINGS)
        chat.wait(hours=3)
    before = cost(chat)
    for _ in range(60):
        chat.say("ana", READINGS)
        chat.wait(hours=3)
    assert len(rows(chat.db, "select 1 from fact where kind = 'reading'")) > 400
    assert cost(chat) < 1.3 * before
