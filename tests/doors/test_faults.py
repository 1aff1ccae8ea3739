"""The disk and the file in trouble: a clear sentence, nothing lost, and on again once it is mended."""

import sqlite3

import pytest

from bot.store.database import open_database
from bot.store.schema import MIGRATIONS
from tests.doors.conftest import MARA
from tests.doors.test_telegram import all_rows, texts


def fill_up(path):
    """Leaves no room for another page, as a full disk does (SQLite answers SQLITE_FULL to both)."""
    db = open_database(path)
    pages = db.conn.execute("pragma page_count").fetchone()[0]
    db.close()
    return pages


@pytest.fixture
def full(serving, path):
    """The service on a file that may not grow; the limit goes with the connection, so the service sets it itself."""
    serving.environ["pages"] = str(fill_up(path) + 1)
    return serving


def test_a_full_disk_is_told_to_the_owner_and_nothing_is_lost(server, full, path, ana):
    server.service.chats[MARA] = {"id": MARA, "type": "private"}
    said = [server.say(ana, f"note {n} " + "x" * 900) for n in range(40)]
    full.start()
    server.until(lambda s: any("the disk is full" in text for text in texts(s, MARA)))
    assert "up to 24 h" in texts(server, MARA)[0]
    full.kill()
    del full.environ["pages"]
    full.start()
    server.until(lambda s: all(any(f"note {n} " in t for t in texts(s)) for n in range(40)))
    full.stop()
    stored = [row["text"] for row in all_rows(path, "message") if row["kind"] == "said"]
    assert stored == [update["message"]["text"] for update in said]


def test_a_file_held_by_another_program_is_waited_for(server, serving, path, ana):
    serving.start()
    server.until(lambda s: s.calls("getUpdates"))
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("begin immediate")
    server.say(ana, "ph 8.2")
    server.until(lambda s: "database is locked" in serving.log())
    assert not server.sent()
    other.execute("rollback")
    server.until_sent(1)
    serving.stop()
    assert [r["text"] for r in all_rows(path, "message") if r["kind"] == "said"] == ["ph 8.2"]


def cut_short(path):
    path.write_bytes(path.read_bytes()[:6000])


def no_database(path):
    path.write_bytes(b"hello" * 1000)


def of_a_later_release(path):
    db = open_database(path)
    db.conn.execute(f"pragma user_version = {len(MIGRATIONS) + 3}")
    db.close()


@pytest.mark.parametrize(
    ("harm", "status", "sentence"),
    [
        (cut_short, 74, "the file is damaged"),
        (no_database, 74, "the file is no database"),
        (of_a_later_release, 78, "install the newer release"),
    ],
)
def test_a_file_that_cannot_be_used_is_named_with_what_to_do(server, serving, path, harm, status, sentence):
    harm(path)
    before = path.read_bytes()
    serving.start()
    assert serving.wait() == status
    assert sentence in serving.log() and str(path) in serving.log() and "Traceback" not in serving.log()
    assert path.read_bytes() == before


def test_a_missing_folder_is_named(server, serving, tmp_path):
    serving.environ["BUCKETBELL_DB"] = str(tmp_path / "no" / "team.db")
    serving.start()
    assert serving.wait() == 74
    assert str(tmp_path / "no") in serving.log() and "Traceback" not in serving.log()
