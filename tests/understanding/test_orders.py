"""Orders, answers and jobs for later."""

from dataclasses import replace
from datetime import date, datetime

import pytest

from bot.facts.load import table
from bot.items import Control, Situation, Task, Wait
from bot.understanding.lexicon import phrases
from bot.understanding.read import read

NOW = datetime.fromisoformat("2026-03-03T09:40:00-05:00")
CALM = Situation(NOW, tank="Dock bar", tanks=("Dock bar", "Mill cafe"), people=("ines", "tomasz"))
ASKED = replace(CALM, asked=("no_smell", "smells"))


def controls(text, situation=CALM):
    return [item for item in read(text, situation).items if isinstance(item, Control)]


@pytest.mark.parametrize("key", list(table("words_controls")["answer"]))
def test_each_answer_is_read_by_its_key_when_something_was_asked(key):
    for phrase in phrases(table("words_controls")["answer"][key]):
        answers = [answer for control in controls(phrase, ASKED) for answer in control.answers]
        assert key in answers, phrase


@pytest.mark.parametrize("text", ["ok", "k", "yes", "no", "thx", "👍"])
def test_a_bare_word_is_an_answer_where_something_was_asked_and_nothing_where_not(text):
    assert [control.action for control in controls(text, ASKED)] in (["answer"], ["done"])
    assert read(text, CALM).items == ()


@pytest.mark.parametrize("action", ["undo", "put_back", "stop", "status", "today", "here", "leaving", "plan", "report"])
def test_each_order_of_the_table_is_obeyed_alone_and_with_a_polite_word(action):
    for phrase in phrases(table("words_controls")["whole"][action]):
        assert action in [control.action for control in controls(phrase)], phrase
        assert action in [control.action for control in controls(f"{phrase} pls")], phrase


def test_a_length_asked_for_puts_off_what_was_pinged_and_else_starts_a_timer():
    assert controls("remind me in 20 min", ASKED)[0].minutes == 20
    assert read("remind me in 20 min", CALM).items == (Wait("other", "Dock bar", minutes=20),)


def test_a_job_keeps_its_words_day_and_person_apart():
    (task,) = read("remind ines to order 2 lamps by friday", CALM).items
    assert task == Task("order 2 lamps", due=date(2026, 3, 6), who="ines")


def test_the_override_keeps_the_reason_as_typed():
    (override,) = controls("override: only 10 L top-off, tank is 2000 L")
    assert override.reason == "only 10 L top-off, tank is 2000 L"


def test_a_wait_is_given_away_by_its_name():
    assert controls("give the drip to tomasz") == [Control("hand_over", wait="drip", who="tomasz")]
