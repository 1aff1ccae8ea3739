"""Alive or not, for supervisors, containers and collectors; and a clean end."""

import json
import re
import socket
from datetime import UTC, datetime, timedelta
from urllib.error import HTTPError
from urllib.request import urlopen

import pytest

from bot.doors.signs import Signs
from bot.doors.watch import health, notifier
from bot.store import pulse
from bot.store.database import open_database, rows
from tests.doors.test_telegram import all_rows, texts
from tests.loopback.server import PATIENCE_S

NOW = datetime(2026, 3, 2, 14, 0, tzinfo=UTC)


def get(port, path):
    try:
        with urlopen(f"http://127.0.0.1:{port}{path}", timeout=PATIENCE_S) as answer:
            return answer.status, answer.read().decode()
    except HTTPError as refused:
        return refused.code, refused.read().decode()


def counters(port):
    return dict(re.findall(r"^bucketbell_(\w+) ([\d.e+-]+)$", get(port, "/counters")[1], re.M))


def test_the_page_tells_health_and_counts_and_nothing_else(server, serving, ana):
    serving.environ["options"] = {"health_port": "0"}
    server.say(ana, "ping in 0.3")
    serving.start()
    port = serving.port(server)
    counted = server.until(lambda _: (found := counters(port)).get("sent_total") == "2" and found)
    assert (counted["updates_total"], counted["pings_total"], counted["outbox_waiting"]) == ("1", "1", "0")
    assert float(counted["ping_late_seconds_max"]) >= 0
    status, text = get(port, "/health")
    assert status == 200 and json.loads(text) == {"alive": True, "why": "", "trouble": None}
    assert get(port, "/../etc/passwd")[0] == 404 and get(port, "/health?x=1")[0] == 200


def test_rubbish_at_the_port_does_no_harm(server, serving, ana):
    serving.environ["options"] = {"health_port": "0"}
    serving.start()
    port = serving.port(server)
    for rubbish in (
        b"\r\n\r\n",
        b"GET\r\n\r\n",
        b"\xff" * 40_000,
        b"POST / HTTP/1.1\r\ncontent-length: 99999999\r\n\r\n",
    ):
        with socket.create_connection(("127.0.0.1", port), PATIENCE_S) as raw:
            raw.sendall(rubbish)
            assert raw.recv(100).split(b" ")[1:2] in ([b"400"], [b"413"], [])
    server.until(lambda s: get(port, "/health")[0] == 200)


@pytest.mark.parametrize(
    ("signs", "looked_s", "polls", "alive"),
    [
        ({"polls": 5}, 1, True, True),
        ({"polls": 200}, 1, True, False),
        ({"polls": 200}, 1, False, True),
        ({"polls": 5}, 30, True, False),
    ],
)
def test_alive_means_polls_are_answered_and_the_clock_is_looked_at(signs, looked_s, polls, alive):
    known = Signs(NOW - timedelta(hours=1), moments={k: NOW - timedelta(seconds=v) for k, v in signs.items()})
    looked = NOW - timedelta(seconds=looked_s)
    assert health(known, looked, NOW, polls, 30).alive is alive
    known.network_down = True
    assert health(known, looked, NOW, polls, 30).alive is (looked_s < 10)


def test_a_supervisor_hears_that_it_is_ready_and_alive(server, serving, tmp_path):
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as supervisor:
        supervisor.bind(str(tmp_path / "notify"))
        supervisor.settimeout(PATIENCE_S)
        serving.environ["NOTIFY_SOCKET"] = str(tmp_path / "notify")
        serving.start()
        assert [supervisor.recv(100), supervisor.recv(100)] == [b"READY=1", b"WATCHDOG=1"]


def test_without_a_supervisor_nothing_is_told():
    notifier({})("READY=1")


def test_a_clean_stop_finishes_what_was_taken_and_leaves_the_rest(server, serving, path, ana):
    for number in range(60):
        server.say(ana, f"m{number}")
    serving.start()
    server.until_sent(5)
    assert serving.stop() == 0
    serving.start()
    server.until_sent(60)
    serving.stop()
    assert [t.split(" | ")[1] for t in texts(server)] == [f"m{n}" for n in range(60)]
    assert len([row for row in all_rows(path, "message") if row["kind"] == "said"]) == 60


def test_a_longer_absence_is_said_once_with_how_many_messages_waited(server, serving, path, ana):
    from bot.store import pulse

    db = open_database(path)
    pulse.beat(db, "alive", datetime.now(UTC) - timedelta(minutes=30))
    db.close()
    serving.start()
    server.service.chats[ana["id"]] = {"id": ana["id"], "type": "private"}
    server.until(lambda s: any("was away since" in text for text in texts(s)))
    serving.stop()
    serving.start()
    server.say(ana, "hello")
    server.until_sent(2)
    assert sum("was away" in text for text in texts(server)) == 1


def test_a_copy_is_made_at_the_first_start_and_not_again_at_the_next(server, serving, path):
    folder = path.with_name("team.db.copies")
    serving.start()
    server.until(lambda s: list(folder.glob("copy-*.db")))
    serving.stop()
    serving.start()
    server.until(lambda s: len(s.calls("getUpdates")) > 3)
    assert len(list(folder.glob("copy-*.db"))) == 1


def test_the_copy_is_put_back_for_a_test_and_what_came_of_it_is_noted(server, serving, path):
    serving.start()
    server.until(lambda s: "restore_test" in pulse.beats(open_database(path)))
    serving.stop()
    _, noted = pulse.beats(open_database(path))["restore_test"]
    assert noted["why"] == "" and noted["rows"] > 0
    assert [p.suffix for p in path.with_name("team.db.copies").iterdir()] == [".db"]


def test_logs_are_json_lines_without_words_or_token(server, serving, ana):
    server.say(ana, "secret code 4471")
    serving.start()
    server.until_sent(1)
    serving.stop()
    lines = [json.loads(line) for line in serving.log().splitlines()]
    assert any(line["event"] == "update" and line["outcome"] == "message" for line in lines)
    assert not any(word in serving.log() for word in ("4471", "loopback-token", "Ana", '"11"'))
    assert rows(open_database(serving.environ["BUCKETBELL_DB"]), "select 1 as x from message where text like '%4471'")
