"""Voice notes: heard by a program of the team's own, quoted with what was heard, or asked to be typed; T18."""

import asyncio
import sys

import pytest

from bot.doors.hear import MOST_BYTES, Transcriber
from bot.doors.settings import Unusable, from_environ
from bot.store.database import open_database, rows
from tests.doors.running import Serving
from tests.doors.test_telegram import texts
from tests.loopback.service import TOKEN


def hears(code, tmp_path, content=b"sound", longest_s=60.0):
    """What comes of a note when the program is that line of Python."""
    note = tmp_path / "a note; rm -rf.ogg"
    note.write_bytes(content)
    return asyncio.run(Transcriber((sys.executable, "-c", code), longest_s).hear(note))


def test_what_the_program_prints_is_the_text_in_one_line(tmp_path):
    code = "import sys; print(open(sys.argv[1]).read().upper()); print(' temp 78 ')"
    assert hears(code, tmp_path, b"ph 8.1").text == "PH 8.1 temp 78"


@pytest.mark.parametrize(
    "code, why",
    [
        ("raise SystemExit(3)", "the program that hears failed"),
        ("print('  ')", "no words in it"),
        ("import time; time.sleep(600)", "no text within"),
    ],
)
def test_a_note_that_gave_no_words_is_asked_for_again(tmp_path, code, why):
    heard = hears(code, tmp_path, longest_s=0.5 if "sleep" in code else 60.0)
    assert heard.text == "" and why in heard.sentence and "Please type it" in heard.sentence


def test_too_large_a_note_is_never_started(tmp_path):
    assert "above 5 MB" in hears("print('ph 8')", tmp_path, bytes(MOST_BYTES + 1)).sentence


def test_a_program_that_is_not_there_or_never_stops_printing_stores_nothing(tmp_path):
    note = tmp_path / "note.ogg"
    note.write_bytes(b"sound")
    assert "did not start" in asyncio.run(Transcriber(("/no/such/program",)).hear(note)).sentence
    assert hears("while True: print('word ' * 1000)", tmp_path).text == ""


def test_the_program_is_told_nothing_of_ours(tmp_path, monkeypatch):
    monkeypatch.setenv("BUCKETBELL_TOKEN", TOKEN)
    assert hears("import os; print(sorted(k for k in os.environ if 'BUCKET' in k))", tmp_path).text == "[]"


def test_a_setting_that_names_no_program_is_refused_at_the_start():
    with pytest.raises(Unusable, match="BUCKETBELL_TRANSCRIBER"):
        from_environ({"BUCKETBELL_TOKEN": TOKEN, "BUCKETBELL_TRANSCRIBER": "no-such-program --fast"})


@pytest.fixture
def real_desk(nursery, server, path, tmp_path):
    def start(**environ):
        return Serving(nursery, server, path, tmp_path / "log", desk="real", **environ).start()

    return start


def test_a_note_is_stored_like_a_message_and_quoted_as_heard(server, path, ana, real_desk):
    real_desk(BUCKETBELL_TRANSCRIBER=f"{sys.executable} -c \"print('elm lobby ph 8.1 temp 78')\"")
    server.voice(ana)
    server.until_sent(1)
    assert 'Heard: "elm lobby ph 8.1 temp 78"' in texts(server)[-1]


def test_without_a_program_the_bot_says_in_a_line_that_it_cannot_hear(server, path, ana, real_desk):
    real_desk()
    server.voice(ana)
    server.until_sent(1)
    assert texts(server)[-1] == "I cannot hear voice notes here: nothing of it is stored. Please type it."
    assert rows(open_database(path), "select 1 as x from fact") == []
