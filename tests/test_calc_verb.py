"""`python -m bot calc`: JSON of the contract, words of the chat, what can be asked."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from bot.doors.jsonlines import calc
from bot.facts.load import table

ROOT = Path(__file__).parent.parent
KEYS = {"topic", "figures", "steps", "assumed", "cautions", "sources"}


def run(*arguments: str, lines: str | None = None):
    """The verb as its own process."""
    command = [sys.executable, "-m", "bot", "calc", *arguments]
    return subprocess.run(command, input=lines, capture_output=True, text=True, encoding="utf-8", cwd=ROOT)


def answered(capsys, *arguments: str):
    """The verb in this process: its status and what it printed."""
    status = calc(list(arguments))
    return status, capsys.readouterr().out


def test_a_question_as_its_own_process_prints_one_json_object():
    done = run("--json", "how much salt for 40 litres to 1.025")
    answer = json.loads(done.stdout)
    assert done.returncode == 0 and set(answer) == KEYS
    assert answer["topic"] == "salt_mix"
    assert answer["figures"][0] == {"name": "salt", "value": pytest.approx(1363, abs=50), "unit": "g"}
    assert answer["assumed"] and answer["cautions"] and answer["sources"] and answer["steps"]


def test_a_lone_question_without_an_answer_ends_with_status_1(capsys):
    status, out = answered(capsys, "--json", "how much salt for 40 L to 1.25")
    assert status == 1
    assert json.loads(out)["topic"] == "salt_mix" and "1.25" in json.loads(out)["problem"]


def test_lines_are_answered_one_for_one_and_end_with_status_0():
    asked = [{"text": "78 F in C"}, {"text": "how much bleach"}, {"text": "salt for 40 l 1.025", "units": "metric"}]
    done = run("--lines", "-", lines="".join(json.dumps(each) + "\n" for each in asked))
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    assert done.returncode == 0
    assert [answer["topic"] for answer in answers] == ["convert", "bleach_solution", "salt_mix"]
    assert "problem" in answers[1] and set(answers[0]) == KEYS


def test_further_questions_of_a_text_are_answered_beside_the_first(capsys):
    status, out = answered(capsys, "--json", "how much salt for 40 gal at 35 ppt? and what is 78F in C?")
    answer = json.loads(out)
    assert status == 0 and answer["topic"] == "salt_mix"
    assert [each["topic"] for each in answer["further"]] == ["convert"]


def test_without_json_the_answer_is_in_words_with_the_figure_first(capsys):
    status, out = answered(capsys, "how much salt for 30 gallons to make thirty five ppt")
    first = out.splitlines()[0]
    assert status == 0 and first.startswith("salt: 4130 g")
    assert len(out.splitlines()) <= 4


def test_steps_and_sources_come_on_request(capsys):
    question = "nitrate 80 want 20 in 75 gal, how big a water change"
    _, short = answered(capsys, question)
    _, long = answered(capsys, "--steps", question)
    assert "sources:" not in short
    assert "sources:" in long and long.startswith(short.rstrip("\n"))


def test_help_shows_every_topic_with_its_example():
    page = run("--help").stdout
    for topic, row in table("topics").items():
        assert topic in page and row["example"] in page


@pytest.mark.parametrize("topic", [topic for topic in table("topics") if topic != "other"])
def test_each_example_of_the_help_is_answered(topic, capsys):
    status, out = answered(capsys, "--json", table("topics")[topic]["example"])
    answer = json.loads(out)
    assert status == 0 and answer["topic"] == topic and answer["figures"], answer


def test_a_line_that_is_no_question_object_gets_a_sentence():
    done = run("--lines", "-", lines="nonsense\n")
    assert "no JSON" in json.loads(done.stdout)["problem"]
