"""The terminal chat, typed into as by a person who is quick with the keys."""

import io
from datetime import UTC, datetime, timedelta

import pytest

from bot.assistant.desk import handle
from bot.doors.terminal import chat, last_person
from bot.messages import Incoming
from bot.store import waits
from tests.assistant.team import Chat


@pytest.fixture
def db():
    return Chat(start=datetime.now(UTC) - timedelta(days=1)).db


def said(db, *lines):
    out = io.StringIO()
    chat(db, "ana", "Type.", io.StringIO("".join(f"{line}\n" for line in lines)), out)
    return out.getvalue()


def test_each_line_is_answered_and_ctrl_d_ends(db):
    out = said(db, "elm lobby ph 8.2", "", "how much salt for 40 L to 1.025")
    assert out.startswith("Type.\n") and "Elm lobby" in out and "pH 8.2" in out and "salt: " in out


def test_a_number_presses_the_button_of_that_number(db):
    out = said(db, "elm lobby ph 8.2", "1")
    assert "[1 Undo]" in out and "Taken back, Elm lobby: pH 8.2" in out


def test_quick_lines_after_a_long_silence_did_not_wait_for_a_signal(db):
    before = datetime.now(UTC) - timedelta(hours=3)
    handle(db, Incoming(before, "ana", "ana", "elm lobby ph 8.1", "early"))
    out = said(db, "elm lobby ph 8.2", "78 f", "net in bleach 15 min")
    assert "came through together" not in out
    assert [row.subject for row in waits.open_waits(db)] == ["net"]


def test_the_one_who_spoke_last_can_go_on(db):
    said(db, "elm lobby ph 8.2")
    assert last_person(db) == "ana"
