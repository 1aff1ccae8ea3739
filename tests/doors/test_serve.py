"""The whole bot in its own process: somebody gets in by a code, texts, is pinged, takes back; nobody else gets in."""

import subprocess
import sys

import pytest

from bot.store.database import open_database
from bot.store.record import bring_in
from bot.store.seal import broken_seals, strayed_rows, unsealed
from bot.wording import service
from tests.doors.conftest import ANA, EVE
from tests.doors.running import ROOT, Serving

TEAM = {
    "name": "Pail & Sons",
    "people": [{"name": "mara", "role": "owner"}, {"name": "ana", "role": "technician"}],
    "tanks": [
        {"name": "Oak Street lobby", "kind": "reef", "volume": {"value": 400, "unit": "L"}, "nicknames": ["oak"]}
    ],
}


@pytest.fixture
def path(tmp_path):
    from datetime import UTC, datetime

    db = open_database(tmp_path / "team.db")
    bring_in(db, {"team": TEAM}, "set up", datetime.now(UTC))
    db.close()
    return tmp_path / "team.db"


@pytest.fixture
def serving(nursery, server, path, tmp_path):
    running = Serving(nursery, server, path, tmp_path / "log", desk="real")
    yield running
    if running.is_running():
        running.kill()


def invited(path, *options):
    command = [sys.executable, "-m", "bot", "invite", "--db", str(path), *options]
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True).stdout.strip()


def texts(server, chat):
    return [sent.text for sent in server.sent(chat)]


def test_a_life_from_the_code_to_the_undo(server, serving, path):
    ana = server.person(ANA, "Ana")
    serving.start()
    server.say(ana, f"/start {invited(path, '--role', 'technician', '--name', 'ana')}")
    server.until_sent(1)
    server.say(ana, "oak ph 8.2 78.4F")
    quoted = server.until_sent(2)[1]
    assert "Oak Street lobby" in quoted.text and "8.2" in quoted.text and "78.4" in quoted.text
    assert quoted.bold == ["Oak Street lobby"]
    server.press(ana, quoted, "Undo")
    server.until_sent(3)
    serving.stop()
    db = open_database(path)
    voided = db.conn.execute("select count(*) from standing where what = 'void'").fetchone()[0]
    assert voided == 2
    assert (broken_seals(db), unsealed(db), strayed_rows(db)) == ([], [], [])


def test_a_code_is_good_once(server, serving, path):
    ana, eve = server.person(ANA, "Ana"), server.person(EVE, "Eve")
    code = invited(path, "--role", "owner")
    serving.start()
    server.say(ana, f"/start {code}")
    server.until_sent(1, ANA)
    server.say(eve, f"/start {code}")
    assert server.until_sent(1, EVE)[0].text == service.BAD_CODE


def test_a_member_does_not_use_up_the_code_of_another(server, serving, path):
    ana, eve = server.person(ANA, "Ana"), server.person(EVE, "Eve")
    code = invited(path, "--role", "technician", "--name", "ana")
    second = invited(path, "--role", "learner", "--name", "eve")
    serving.start()
    server.say(ana, f"/start {code}")
    server.until_sent(1, ANA)
    server.say(ana, f"/start {second}")
    assert server.until_sent(2, ANA)[1].text == service.ALREADY_IN
    server.say(eve, f"/start {second}")
    assert "you're in" in server.until_sent(1, EVE)[0].text
    serving.stop()
    dump = "\n".join(open_database(path).conn.iterdump())
    assert code not in dump and second not in dump


def test_guessing_codes_is_slowed_down_until_even_the_right_one_waits(server, serving, path):
    eve = server.person(EVE, "Eve")
    code = invited(path, "--role", "owner")
    serving.start()
    for number in range(7):
        server.say(eve, f"/start guess-{number}")
    server.say(eve, f"/start {code}")
    server.until(lambda s: service.TOO_MANY_CODES in texts(s, EVE))
    server.until(lambda s: not s.waiting() or None)
    assert texts(server, EVE).count(service.BAD_CODE) == 5
    assert "you're in" not in "".join(texts(server, EVE))


def test_somebody_removed_is_a_stranger_at_once(server, serving, path):
    from datetime import UTC, datetime

    from bot.store.roster import retire
    from bot.store.said import record_import

    ana = server.person(ANA, "Ana")
    serving.start()
    server.say(ana, f"/start {invited(path, '--role', 'technician', '--name', 'ana')}")
    server.until_sent(1)
    serving.stop()
    db = open_database(path)
    retire(db, record_import(db, "mara", datetime.now(UTC), "remove ana"), "person", "ana")
    db.close()
    serving.start()
    server.say(ana, "oak ph 8.2")
    last = server.until_sent(2)[1].text
    assert "Oak" not in last and "8.2" not in last
    serving.stop()
    assert "ph 8.2" not in "\n".join(open_database(path).conn.iterdump())


def test_forged_presses_and_presses_from_other_chats_do_nothing(server, serving, path):
    ana, bob = server.person(ANA, "Ana"), server.person(13, "Bob")
    serving.start()
    server.say(ana, f"/start {invited(path, '--role', 'technician', '--name', 'ana')}")
    server.say(bob, f"/start {invited(path, '--role', 'technician', '--name', 'bob')}")
    server.until_sent(1, ANA), server.until_sent(1, 13)
    server.say(ana, "oak ph 8.2")
    quoted = server.until_sent(2, ANA)[1]
    data = dict(quoted.buttons)["Undo"]
    server.press_data(bob, 13, 1, data)
    for forged in ("u:1", "w1:0", "x", "u:99999999999999999999", "u:-1; drop table fact", "é" * 30):
        server.press_data(ana, ANA, quoted.message_id, forged)
    server.press_data(server.person(EVE, "Eve"), ANA, quoted.message_id, data)
    server.say(ana, "status")
    server.until_sent(3, ANA)
    serving.stop()
    db = open_database(path)
    assert db.conn.execute("select count(*) from standing").fetchone()[0] == 0
    assert len(server.sent(13)) == 1


def test_a_message_with_a_door_code_is_taken_out_of_the_chat_and_out_of_the_inbox(server, serving, path):
    ana = server.person(ANA, "Ana")
    serving.start()
    server.say(ana, f"/start {invited(path, '--role', 'office', '--name', 'ana')}")
    server.until_sent(1)
    server.say(ana, "code for oak is 9981*")
    assert "9981" not in server.until_sent(2)[1].text
    server.until(lambda s: s.calls("deleteMessage"))
    serving.stop()
    db = open_database(path)
    kept = [row["raw"] for row in db.query("select raw from inbox")] + [
        r["text"] for r in db.query("select text from message")
    ]
    assert all("9981" not in text for text in kept)
    assert list(db.query("select 1 from removal where done_at is null")) == []
