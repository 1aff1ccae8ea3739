"""What whoever runs the machine types: backup, restore, health, doctor, invite; each answers in words."""

import os
import subprocess
import sys
from datetime import UTC, datetime, timedelta

import pytest

from bot.doors.checkup import check_up
from bot.store import pulse
from bot.store.database import open_database, rows
from tests.doors.running import ROOT
from tests.loopback.service import TOKEN


def bot(*arguments, **environ):
    """A verb in a process of its own: (status, what it printed, what it complained of)."""
    known = {k: v for k, v in os.environ.items() if not k.startswith("BUCKETBELL")}
    ran = subprocess.run(
        [sys.executable, "-m", "bot", *map(str, arguments)],
        cwd=ROOT, capture_output=True, text=True, env=known | environ, timeout=300,
    )  # fmt: skip
    assert "Traceback" not in ran.stderr, ran.stderr
    return ran.returncode, ran.stdout, ran.stderr


def found(what, *args, **more):
    return [finding for finding in check_up(*args, **more) if finding.what == what]


def test_backup_and_restore_bring_a_team_back(path, tmp_path):
    status, said, _ = bot("backup", "--db", path, "--copies", tmp_path / "copies")
    assert status == 0 and "Checked" in said
    db = open_database(path)
    db.conn.execute("update roster set active = 0")
    db.close()
    status, said, _ = bot("restore", tmp_path / "copies", "--db", path)
    assert status == 0 and "The file before" in said
    assert rows(open_database(path), "select count(*) as n from roster where active = 1")[0]["n"] == 3


def test_nothing_is_restored_under_a_running_bot(path, tmp_path, serving, server):
    bot("backup", "--db", path, "--copies", tmp_path / "copies")
    serving.start()
    server.until(lambda s: s.calls("getUpdates"))
    status, _, why = bot("restore", tmp_path / "copies", "--db", path)
    assert status == 1 and why.startswith("Nothing changed. Another process already serves")


@pytest.mark.parametrize("verb", [("backup",), ("restore", "no-such-copy.db"), ("restore", "."), ("health",)])
def test_what_is_not_there_is_said_in_one_line(verb, tmp_path):
    status, _, why = bot(*verb, "--db", tmp_path / "nothing.db")
    assert status == 1 and len(why.strip().splitlines()) == 1


def test_health_follows_the_sign_of_life(path):
    db = open_database(path)
    assert bot("health", "--db", path)[0] == 1
    pulse.beat(db, "alive", datetime.now(UTC), alive=True, why="")
    assert bot("health", "--db", path)[0] == 0
    pulse.beat(db, "alive", datetime.now(UTC), alive=False, why="no poll was answered")
    status, _, why = bot("health", "--db", path)
    assert status == 1 and "no poll was answered" in why
    pulse.beat(db, "alive", datetime.now(UTC) - timedelta(minutes=2), alive=True, why="")
    assert bot("health", "--db", path)[0] == 1


def test_an_invitation_prints_the_code_alone_and_the_rest_beside_it(path):
    status, code, hint = bot("invite", "--role", "owner", "--db", path)
    assert status == 0 and len(code.split()) == 1 and code.strip() not in hint


def test_an_invitation_to_an_unknown_role_lists_those_there_are(path):
    status, _, why = bot("invite", "--role", "boss", "--db", path)
    assert status == 2 and "technician" in why


def test_serve_without_a_token_says_what_to_set(tmp_path):
    status, _, why = bot("serve", "--db", tmp_path / "x.db")
    assert status == 78 and "BUCKETBELL_TOKEN" in why and not (tmp_path / "x.db").exists()


def test_the_doctor_finds_everything_in_order(path, server):
    environ = {"BUCKETBELL_TOKEN": TOKEN, "BUCKETBELL_BASE_URL": server.base_url}
    status, said, _ = bot("doctor", "--db", path, **environ)
    assert "ok   token: the chat service knows it: @pail_bot" in said
    assert "ok   database" in said and TOKEN not in said
    assert status == 0, said


def test_the_doctor_says_what_to_do_about_a_refused_token(path, server):
    environ = {"BUCKETBELL_TOKEN": "1:wrong-token", "BUCKETBELL_BASE_URL": server.base_url}
    status, said, _ = bot("doctor", "--db", path, **environ)
    assert status == 1 and "BAD  token: the chat service refuses it" in said and "wrong-token" not in said


def test_the_doctor_says_when_the_chat_service_cannot_be_reached(path):
    environ = {"BUCKETBELL_TOKEN": TOKEN, "BUCKETBELL_BASE_URL": "http://127.0.0.1:9/bot"}
    status, said, _ = bot("doctor", "--db", path, **environ)
    assert status == 1 and "does not answer" in said and "loopback-token" not in said


def test_the_doctor_sees_files_that_others_may_read(path, tmp_path):
    token = tmp_path / "token"
    token.write_text(TOKEN)
    token.chmod(0o644)
    [finding] = found("rights", {"BUCKETBELL_TOKEN_FILE": str(token), "BUCKETBELL_DB": str(path)}, {}, _now(), True)[:1]
    assert finding.state == "bad" and "chmod 600" in finding.said


def test_the_doctor_sees_a_damaged_file_a_missing_folder_and_a_wrong_zone(path, tmp_path):
    db = open_database(path)
    db.conn.execute("""update roster set data = '{"zone": "Mars/Olympus"}' where kind = 'team'""")
    db.close()
    assert found("zone", {"BUCKETBELL_DB": str(path)}, {}, _now(), True)[0].state == "bad"
    path.write_bytes(path.read_bytes()[:5000])
    assert found("database", {"BUCKETBELL_DB": str(path)}, {}, _now(), True)[0].state == "bad"
    missing = {"BUCKETBELL_DB": str(tmp_path / "no" / "team.db")}
    assert found("folder", missing, {}, _now(), True)[0].said.endswith(f"mkdir -p {tmp_path / 'no'}")


def test_the_doctor_sees_old_copies(path, tmp_path):
    folder = tmp_path / "copies"
    folder.mkdir()
    (folder / "copy-20260101T000000Z.db").touch()
    options = {"copies": str(folder), "db": str(path)}
    assert found("copies", {}, options, datetime(2026, 1, 5, tzinfo=UTC), True)[0].state == "look"
    assert found("copies", {}, options, datetime(2026, 1, 1, 9, tzinfo=UTC), True)[0].state == "good"


def _now():
    return datetime.now(UTC)
