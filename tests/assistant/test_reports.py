"""A report from a whole visit with seeded leaks: none of them in the text, none on the page; ready at leaving."""

import re
from io import BytesIO

import pytest
from pypdf import PdfReader

from bot.assistant.drawn import drawn
from bot.messages import Incoming
from bot.store.database import rows
from tests.assistant.team import TEAM, Chat, handle
from tests.effort import calls_of

CLIENTS = [{"name": "Elm Clinic", "contact": "desk, 555-0111"}, {"name": "Fir Hotel"}]
TANKS = [
    TEAM["tanks"][0] | {"client": "Elm Clinic", "animals": [{"name": "firefish", "count": 3}]},
    TEAM["tanks"][1] | {"client": "Fir Hotel"},
]
LEAKS = (
    "note client never pays on time", "dosed Reefgold 20 ml", "cleaned glass with Sparklex",
    "moved 2 clowns to fir bar", "ammonia 9", "return off", "override: ben says it is fine today",
    "1 firefish dead ben left the lid open", "order seals for ben friday", "ben has the key of fir hotel",
)  # fmt: skip
FORBIDDEN = ("pays", "Reefgold", "Sparklex", "Fir", "ammonia", "override", "Ben", "ben ", "seals", "lid open", "key")


@pytest.fixture
def chat():
    return Chat(TEAM | {"clients": CLIENTS, "tanks": TANKS, "phone": "555-0110"})


def visited(chat, *said):
    for text in ("here elm lobby", "temp 78.4 ph 8.2 sg 1.0255 no3 8", *said):
        chat.wait(minutes=1)
        chat.say("ana", text)
    chat.wait(minutes=1)


def left(chat):
    """What the office is told when ana leaves."""
    handle(chat.db, Incoming(chat.now, "ana", "ana", "leaving", f"leave{chat.now.timestamp()}"))
    return next(row["text"] for row in chat.drained() if row["chat"] == "cleo")


def page_of(chat):
    """The words on the page that the last message carried."""
    [name] = re.findall(
        r"drawn/report-\d+\.pdf", rows(chat.db, "select files from outbox order by id desc")[0]["files"]
    )
    return " ".join(page.extract_text() for page in PdfReader(BytesIO(drawn(chat.db, name))).pages)


def test_none_of_the_seeded_leaks_is_in_the_text_or_on_the_page(chat):
    visited(chat, *LEAKS, "return on, flow seen")
    text = left(chat)
    chat.press("cleo", "Send")
    page = page_of(chat)
    for where in (text, page):
        assert [leak for leak in FORBIDDEN if leak in where] == [], where
        assert "9 mg" not in where and "firefish lost" in where


@pytest.mark.parametrize("leak", LEAKS)
def test_each_leak_alone_stays_out(chat, leak):
    visited(chat, leak, "return on, flow seen")
    text = left(chat)
    assert [word for word in FORBIDDEN if word in text] == []


def test_it_is_ready_with_the_answer_to_leaving(chat):
    visited(chat, "20% wc")
    text, calls = calls_of(lambda: left(chat))
    assert text and calls < 500_000
    chat.press("cleo", "Send")
    page, calls = calls_of(lambda: page_of(chat))
    assert "a fifth of the water changed" in page and calls < 5_000_000


def test_what_is_confirmed_after_leaving_enters_a_new_version(chat):
    visited(chat, "ammonia 9")
    assert "ammonia" not in left(chat)
    chat.press("ana", "It is 9")
    assert "ammonia 9 mg/L: we are correcting it" in chat.say("cleo", "reports")


def test_a_technician_sees_the_text_and_may_not_send_it(chat):
    visited(chat)
    left(chat)
    assert chat.say("ana", "report").startswith("Elm Clinic, lobby")
    shown = rows(chat.db, "select buttons from outbox where chat = 'ana' order by id desc")[0]["buttons"]
    assert shown == "[]"


def test_a_sent_report_is_not_sent_twice_and_a_sending_can_be_taken_back(chat):
    visited(chat)
    left(chat)
    chat.press("cleo", "Send")
    assert chat.say("cleo", "reports") == "No report waits."
    assert chat.press("cleo", "Send") == "That was answered before; nothing changed."
    assert chat.press("cleo", "Undo").startswith("Taken back")
    assert chat.say("cleo", "reports").startswith("Elm Clinic, lobby")


def test_undo_of_leaving_takes_the_report_back(chat):
    visited(chat)
    left(chat)
    chat.press("ana", "Undo")
    assert chat.say("cleo", "reports") == "No report waits."


def test_a_visit_without_anything_done_has_no_report(chat):
    chat.say("ana", "here elm lobby")
    chat.wait(minutes=5)
    assert "Report" not in chat.say("ana", "leaving")


def test_the_owner_does_it_where_there_is_no_office():
    people = [p for p in TEAM["people"] if p["role"] != "office"]
    chat = Chat(TEAM | {"clients": CLIENTS, "tanks": TANKS, "people": people})
    visited(chat)
    assert "Report with Dora." in chat.say("ana", "leaving")


def test_words_that_stay_for_a_client_are_in_the_next_report_too(chat):
    visited(chat)
    left(chat)
    chat.press("cleo", "Edit")
    assert "Please: Do not press the red switch." in chat.say("cleo", "always please: do not press the red switch")
    chat.wait(days=7)
    visited(chat)
    chat.say("ana", "leaving")
    assert "Please: Do not press the red switch." in chat.say("ana", "report elm lobby")


def test_an_answer_to_edit_that_names_no_line_is_an_ordinary_message(chat):
    visited(chat)
    left(chat)
    chat.press("cleo", "Edit")
    assert chat.say("cleo", "elm lobby ph 8.1").startswith("Elm lobby")
