"""`python -m bot read`: one JSON object a message, with or without a situation, whatever comes in."""

import json
import subprocess
import sys
from pathlib import Path

from bot.doors.jsonlines import read

ROOT = Path(__file__).parent.parent.parent


def answered(capsys, *arguments: str):
    """The verb in this process: its status and the objects it printed."""
    status = read(list(arguments))
    return status, [json.loads(line) for line in capsys.readouterr().out.splitlines()]


def of_lines(tmp_path, capsys, *lines: str):
    path = tmp_path / "messages.jsonl"
    path.write_text("".join(line + "\n" for line in lines), encoding="utf-8")
    return answered(capsys, "--lines", str(path))


def test_one_message_as_an_argument(capsys):
    status, (found,) = answered(capsys, "den ph 8.2", "--tanks", "Harlan den, Bar")
    assert status == 0 and found["unread"] == []
    reading = {"kind": "reading", "tank": "Harlan den", "parameter": "ph", "value": 8.2, "unit": "pH"}
    assert found["items"] == [reading]


def test_lines_are_answered_one_for_one_in_order(tmp_path, capsys):
    situation = {"units": "metric", "now": "2026-05-12T10:15:00+02:00", "tank": "Kreisel", "tanks": ["Kreisel"]}
    lines = [json.dumps({"text": text, **situation}) for text in ("pH 8,1", "lol", "KH 7,4 T 25")]
    status, found = of_lines(tmp_path, capsys, *lines)
    assert status == 0
    assert [[item["kind"] for item in each["items"]] for each in found] == [["reading"], [], ["reading", "reading"]]


def test_a_line_that_is_no_message_says_what_to_send_and_the_rest_goes_on(tmp_path, capsys):
    bad = ["nonsense", "[1]", '{"txt": "ph 8"}', '{"text": "ph 8", "now": "noon"}', '{"text": "ph 8", "tanks": [7]}']
    status, found = of_lines(tmp_path, capsys, *bad, "[" * 100_000, '{"text": "ph 8", "tank": "Bar"}')
    assert status == 1
    assert all("problem" in each for each in found[:6])
    assert found[6]["items"][0]["value"] == 8


def test_a_file_that_is_not_there_ends_with_status_2(tmp_path, capsys):
    assert answered(capsys, "--lines", str(tmp_path / "none.jsonl"))[0] == 2


def test_without_a_message_it_says_what_it_needs(capsys):
    assert answered(capsys)[0] == 2


def test_broken_characters_come_back_as_json():
    text = '{"text": "\\ud800 zzqx \\u202e ph 8.2", "tank": "Bar"}'
    command = [sys.executable, "-m", "bot", "read", "--lines", "-"]
    done = subprocess.run(command, input=text, capture_output=True, text=True, encoding="utf-8", cwd=ROOT)
    found = json.loads(done.stdout)
    assert done.returncode == 0, done.stderr
    assert found["items"][0]["value"] == 8.2 and found["unread"]


def test_nothing_slow_is_loaded_to_read_a_message():
    program = (
        "import sys; from bot.doors.jsonlines import read; read(['ph 8.2 and wc 20%', '--tank', 'Bar'])\n"
        "print([m for m in ('pint', 'sqlite3', 'telegram', 'apscheduler', 'asyncio') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, cwd=ROOT)
    assert done.stdout.splitlines()[-1] == "[]", done.stderr
