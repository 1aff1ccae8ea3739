"""Undo: one's own last message, once, with a way back; an entry of an earlier visit only after a second word."""

from __future__ import annotations

from datetime import timedelta

from tests.assistant.team import Chat


def test_undo_takes_back_all_items_of_the_last_message_and_put_back_restores_them() -> None:
    chat = Chat()
    chat.say("ana", "elm lobby ph 8.1, 20% wc, 1 goby lost")
    assert len(chat.in_force()) == 3
    chat.now += timedelta(minutes=1)
    assert chat.say("ana", "undo").startswith("Taken back, Elm lobby")
    assert chat.in_force() == []
    chat.say("ana", "put back")
    assert len(chat.in_force()) == 3


def test_undo_never_takes_back_what_a_colleague_said() -> None:
    chat = Chat()
    chat.say("ana", "elm lobby ph 8.1")
    assert "Nothing of yours" in chat.say("ben", "undo")
    assert len(chat.in_force()) == 1


def test_an_entry_of_an_earlier_visit_is_taken_back_only_after_a_second_word() -> None:
    chat = Chat()
    chat.say("ana", "elm lobby ph 8.1")
    chat.now += timedelta(hours=26)
    assert "Take it back?" in chat.say("ana", "undo")
    assert len(chat.in_force()) == 1
    assert "Taken back" in chat.press("ana", "Yes")
    assert chat.in_force() == []


def test_pressing_undo_twice_takes_back_once() -> None:
    chat = Chat()
    chat.say("ana", "elm lobby ph 8.1")
    chat.say("ana", "elm lobby no3 10")
    assert "NO3 10" in chat.press("ana", "Undo")
    assert "Already taken back" in chat.press("ana", "Undo")
    assert len(chat.in_force()) == 1


def test_undo_stops_the_wait_that_the_message_started() -> None:
    chat = Chat()
    chat.say("ana", "elm lobby net in bleach 20 min")
    chat.now += timedelta(minutes=1)
    assert "bleach" in chat.say("ana", "status")
    chat.say("ana", "undo")
    assert chat.wait(hours=1) == {}


def test_a_message_edited_after_it_was_taken_back_is_not_put_back_in_its_old_words() -> None:
    chat = Chat()
    chat.say("ana", "elm lobby ph 8.3 no3 10")
    first = chat.last_ref
    chat.now += timedelta(minutes=1)
    chat.say("ana", "undo")
    chat.now += timedelta(minutes=1)
    chat.edit("ana", first, "elm lobby ph 8.1")
    chat.now += timedelta(minutes=1)
    chat.say("ana", "put back")
    assert [(i.parameter, i.value) for i in chat.in_force()] == [("ph", 8.1)]
