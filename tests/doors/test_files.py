"""Export, import and verify as a person runs them from a shell."""

import csv
import json
import zipfile
from datetime import UTC, datetime

import pytest

from bot.__main__ import main
from bot.store.database import open_database
from bot.store.demo import demo_team, load_demo

NOW = datetime(2026, 6, 15, 12, 0, tzinfo=UTC)


@pytest.fixture
def path(tmp_path):
    db = open_database(tmp_path / "team.db")
    load_demo(db, NOW)
    db.close()
    return tmp_path / "team.db"


def test_export_import_export_gives_the_same_bytes(path, tmp_path):
    first, second = tmp_path / "a.json", tmp_path / "b.json"
    assert main(["export", str(first), "--db", str(path)]) == 0
    assert main(["import", str(first), "--db", str(tmp_path / "new.db")]) == 0
    assert main(["export", str(second), "--db", str(tmp_path / "new.db")]) == 0
    assert first.read_bytes() == second.read_bytes()
    assert len(first.read_bytes()) > 100_000


def test_a_team_file_sets_up_an_empty_database(tmp_path, capsys):
    (tmp_path / "team.json").write_text(json.dumps({"team": demo_team(NOW)}))
    assert main(["import", str(tmp_path / "team.json"), "--db", str(tmp_path / "new.db")]) == 0
    assert "17 tanks" in capsys.readouterr().out


def test_the_tables_come_as_a_folder_or_as_a_zip_with_the_same_bytes(path, tmp_path):
    assert main(["export", str(tmp_path / "tables"), "--db", str(path)]) == 0
    assert main(["export", str(tmp_path / "t.zip"), "--db", str(path)]) == 0
    with zipfile.ZipFile(tmp_path / "t.zip") as archive:
        for name in archive.namelist():
            assert archive.read(name) == (tmp_path / "tables" / name).read_bytes()
    with (tmp_path / "tables" / "readings.csv").open(encoding="utf-8", newline="") as lines:
        assert len(list(csv.DictReader(lines))) > 1000


def test_one_table_comes_under_its_own_name(path, tmp_path, capsys):
    assert main(["export", str(tmp_path / "events.csv"), "--db", str(path)]) == 0
    assert (tmp_path / "events.csv").read_text().startswith("time,tank")
    assert main(["export", str(tmp_path / "evnts.csv"), "--db", str(path)]) == 1
    assert "events.csv" in capsys.readouterr().err


@pytest.mark.parametrize("text", ["", "{", "[]", "{}", '"team"', '{"team": [1]}'])
def test_a_file_that_is_no_export_is_refused_in_one_sentence(tmp_path, text, capsys):
    (tmp_path / "odd.json").write_text(text)
    assert main(["import", str(tmp_path / "odd.json"), "--db", str(tmp_path / "new.db")]) == 1
    shown = capsys.readouterr().err
    assert "send" in shown.lower()
    assert len(shown.splitlines()) == 1


@pytest.mark.parametrize("verb", [["export", "x.json"], ["verify"]])
def test_a_database_that_is_not_there_is_not_made(tmp_path, verb, capsys):
    assert main([*verb, "--db", str(tmp_path / "none.db")]) == 1
    assert "--db" in capsys.readouterr().err
    assert not (tmp_path / "none.db").exists()


def test_verify_is_content_with_an_honest_record_and_names_a_tampered_message(path, capsys):
    assert main(["verify", "--db", str(path)]) == 0
    db = open_database(path)
    db.conn.execute("drop trigger fact_no_update")
    db.conn.execute("update fact set value = value + 1 where message_id = 77")
    db.close()
    capsys.readouterr()
    assert main(["verify", "--db", str(path)]) == 1
    assert capsys.readouterr().out == "message 77: not what was sealed\n"
