"""Names of files that people send are not to be trusted."""

import asyncio
from datetime import UTC, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.doors.fetch import MOST_BYTES, Fetcher, clean
from bot.doors.translate import Attachment

NOW = datetime(2026, 3, 2, 14, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("given_name", "kept"),
    [
        ("old-log.csv", "old-log.csv"),
        ("../../etc/passwd", "passwd"),
        ("..\\..\\boot.ini", "boot.ini"),
        ("/etc/cron.d/x", "x"),
        ("a\0b.csv", "a_b.csv"),
        ("..", "file"),
        (".bashrc", "bashrc"),
        ("~/.ssh/id", "id"),
        ("con:aux|.txt", "con_aux.txt"),
        ("x" * 300 + ".csv", "x" * 60 + ".csv"),
        ("été 2026.CSV", "t_2026.csv"),
        ("a.tar.gz", "a_tar.gz"),
        ("", "file"),
    ],
)
def test_a_name_is_cleaned(given_name, kept):
    assert clean(given_name) == kept


@settings(max_examples=100)
@given(st.text(max_size=80))
def test_no_name_leaves_the_folder(tmp_path_factory, name):
    folder = tmp_path_factory.getbasetemp()
    path = (folder / f"7-{clean(name)}").resolve()
    assert path.parent == folder.resolve() and len(path.name) < 80


def fetch(tmp_path, get, size=3, name="a.csv"):
    fetcher = Fetcher(tmp_path / "files", get, first_delay_s=0.0)
    return asyncio.run(fetcher.fetch(Attachment("f", "u", name, size, False), 7, NOW))


def test_a_file_stands_whole_under_its_number_for_its_owner_alone(tmp_path):
    async def get(_):
        return b"a,b"

    path = fetch(tmp_path, get).path
    assert path == tmp_path / "files" / "2026-03" / "7-a.csv" and path.read_bytes() == b"a,b"
    assert path.stat().st_mode & 0o777 == 0o600


def test_a_file_that_does_not_come_is_tried_again_and_then_asked_for(tmp_path):
    tries = []

    async def get(_):
        tries.append(1)
        raise OSError("away")

    fetched = fetch(tmp_path, get)
    assert fetched.path is None and "Send it again" in fetched.sentence and len(tries) == 4


def test_a_file_larger_than_it_said_is_not_kept(tmp_path):
    async def get(_):
        return b"x" * (MOST_BYTES + 1)

    assert fetch(tmp_path, get).path is None
    assert not list((tmp_path / "files").rglob("*.csv"))


def test_a_nearly_full_disk_keeps_its_room_for_the_record(tmp_path, monkeypatch):
    import shutil

    async def get(_):
        raise AssertionError("must not be asked for")

    monkeypatch.setattr(shutil, "disk_usage", lambda _: shutil._ntuple_diskusage(10**9, 10**9, 10**8))
    assert "disk is nearly full" in fetch(tmp_path, get).sentence
