"""What was unclear waits; the answer completes it, other words do not, and nothing is guessed."""

from __future__ import annotations

import pytest

from bot.items import Event, Reading
from tests.assistant.team import Chat


def test_a_unit_that_was_asked_for_completes_the_entry() -> None:
    chat = Chat()
    assert "Not stored" in chat.say("ana", "elm lobby wc 15")
    assert "15 %" in chat.say("ana", "%")
    assert [(i.event, i.amount, i.unit) for i in chat.in_force()] == [("water_change", 15, "%")]


def test_another_entry_is_not_taken_for_the_answer() -> None:
    chat = Chat()
    chat.say("ana", "elm lobby wc 15")
    chat.say("ana", "lost the goby")
    (lost,) = chat.in_force()
    assert isinstance(lost, Event) and lost.event == "livestock_lost" and lost.count in (None, 1)


def test_a_tank_named_later_stores_all_that_lacked_it_at_its_own_time() -> None:
    chat = Chat()
    said = chat.now
    assert "which tank" in chat.say("ana", "ph 8.1 no3 10")
    assert chat.in_force() == []
    chat.wait(minutes=2)
    answer = chat.say("ana", "elm")
    assert "pH 8.1" in answer and "NO3 10" in answer and "Elm lobby" in answer
    assert {(i.tank, i.parameter, i.value) for i in chat.in_force()} == {
        ("Elm lobby", "ph", 8.1),
        ("Elm lobby", "nitrate", 10),
    }
    assert said < chat.now


@pytest.mark.parametrize("text", ["ph 82", "temp 780", "sg 1.25", "alk -4", "no3 99999"])
def test_what_cannot_be_is_asked_about_and_not_stored(text: str) -> None:
    chat = Chat()
    answer = chat.say("ana", f"elm lobby {text}")
    assert "Not stored" in answer or "not stored" in answer
    assert [i for i in chat.in_force() if isinstance(i, Reading)] == []


def test_a_question_does_not_block_what_comes_next() -> None:
    chat = Chat()
    chat.say("ana", "elm lobby ph 82")
    assert "NO3 10" in chat.say("ana", "no3 10")
    assert [i.parameter for i in chat.in_force()] == ["nitrate"]


def test_a_press_answers_once_and_a_second_press_changes_nothing() -> None:
    chat = Chat()
    chat.say("ana", "elm lobby wc 15")
    assert "15 %" in chat.press("ana", "%")
    assert "nothing changed" in chat.press("ana", "%")
    assert len(chat.in_force()) == 1
