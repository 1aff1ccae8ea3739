"""Files of answers: drawn when they are delivered, kept, cleaned by age; a picture that fails loses no message."""

import json
import os
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot.assistant import drawn as table_of_pictures
from bot.doors import pictures
from bot.doors.drawn import ready, ready_apart
from bot.doors.replay import replay
from bot.messages import Outgoing
from bot.store import files
from bot.store.database import open_database
from bot.wording.service import NO_FILE

ROOT = Path(__file__).parent.parent.parent
SCRIPT = [
    {"at": "2026-03-10T09:00:00-04:00", "who": "odile", "text": "here merriwick waiting"},
    {"at": "2026-03-10T09:01:00-04:00", "who": "odile", "text": "plot no3"},
]


@pytest.fixture
def played(tmp_path):
    outs = list(replay(SCRIPT, str(tmp_path / "r.db"), tmp_path))
    return tmp_path / "r.db", outs


def test_a_plot_is_drawn_into_the_folder_beside_the_database(played):
    path, outs = played
    assert outs[1]["files"] == ["drawn/strip-1.png"]
    made = path.with_name("r.db.files") / "drawn" / "strip-1.png"
    assert made.read_bytes().startswith(b"\x89PNG")
    assert made.stat().st_mode & 0o077 == 0


def test_it_is_drawn_again_the_same_over_a_connection_that_can_only_read(played):
    path, _ = played
    made = path.with_name("r.db.files") / "drawn" / "strip-1.png"
    before = made.read_bytes()
    made.unlink()
    message = ready_apart(path, Outgoing("odile", "x", files=("drawn/strip-1.png",)))
    assert message.files == (str(made),)
    assert made.read_bytes() == before


def test_a_picture_that_cannot_be_drawn_costs_the_message_nothing_but_the_picture(played, monkeypatch):
    path, _ = played
    (path.with_name("r.db.files") / "drawn" / "strip-1.png").unlink()
    monkeypatch.setattr(table_of_pictures, "way", lambda kind: lambda source, spec: 1 / 0)
    message = ready_apart(path, Outgoing("odile", "said", files=("drawn/strip-1.png",)))
    assert (message.text, message.files) == (f"said\n{NO_FILE}", ())


def test_a_photo_that_is_gone_is_owned_up_to(played):
    path, _ = played
    message = ready(open_database(path), Outgoing("odile", "said", files=("2026-03/9-photo.jpg",)))
    assert (message.text, message.files) == (f"said\n{NO_FILE}", ())


def test_a_name_of_ours_that_was_never_noted_draws_nothing(played):
    path, _ = played
    message = ready(open_database(path), Outgoing("odile", "said", files=("drawn/strip-99.png", "drawn/report-1.pdf")))
    assert message.files == ()


def test_old_drawings_go_and_photos_stay(played):
    path, _ = played
    folder = path.with_name("r.db.files")
    (folder / "2026-01").mkdir()
    (folder / "2026-01" / "1-photo.jpg").write_bytes(b"x")
    old = datetime(2026, 1, 1, tzinfo=UTC).timestamp()
    for file in folder.rglob("*.*"):
        os.utime(file, (old, old))
    assert files.clean(folder, datetime.now(UTC) - timedelta(days=7)) == 1
    assert [f.name for f in folder.rglob("*.*")] == ["1-photo.jpg"]


def test_a_script_with_pictures_gives_the_same_output_and_the_same_files(tmp_path):
    script = tmp_path / "s.jsonl"
    script.write_text("\n".join(json.dumps(line) for line in SCRIPT))
    seen = []
    for n in range(2):
        command = [sys.executable, "-m", "bot", "replay", str(script), "--db", str(tmp_path / f"{n}.db")]
        out = subprocess.run(command, cwd=ROOT, capture_output=True, check=True).stdout
        drawn = (tmp_path / f"{n}.db.files" / "drawn" / "strip-1.png").read_bytes()
        seen.append((out.replace(f"{n}.db".encode(), b""), drawn))
    assert seen[0] == seen[1]


def test_every_picture_and_page_is_made_from_the_demo_team(tmp_path, capsys):
    status = pictures.pictures([str(tmp_path), "--now", "2026-03-10T08:30:00-04:00", "--phone"])
    made = {path.name for path in tmp_path.iterdir() if path.is_file()}
    assert status == 0 and capsys.readouterr().err == ""
    wanted = {ask.name for ask in pictures._SCRIPT if ask.name}
    assert {name.partition(".")[0] for name in made} == wanted and len(wanted) >= 18
    assert all((tmp_path / name).stat().st_size > 1000 for name in made)
    assert {p.name for p in (tmp_path / "phone").iterdir()} == {name for name in made if name.endswith(".png")}
