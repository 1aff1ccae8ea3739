"""Questions: each row of fixtures/calc/questions-*.jsonl, and what a message that asks leaves to be stored."""

from collections import Counter
from dataclasses import replace

import pytest

from bot.facts.load import table
from bot.items import Quantity, Situation
from bot.science.topics import calculate
from bot.science.working import Known, Problem, Working
from bot.understanding.read import read
from tests.questions import NOW, answers, is_near, questions, rows

ROWS = rows()
SITUATION = Situation(NOW, tanks=("Harbor Lane lobby", "Grade school discus", "Quarry Lane foyer"))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_a_question_gives_the_figure_that_was_worked_out_apart(row):
    expect = row["expect"]
    asked = questions(**row["input"])[0]
    assert asked.topic in expect.get("topics", [expect["topic"]])
    answer = calculate(asked, Known(habit=row["input"]["units"]))
    if "problem" in expect:
        assert isinstance(answer, Problem), answer
    else:
        assert isinstance(answer, Working), answer
        assert is_near(answer.figures[0].value, answer.figures[0].unit, expect), answer.figures


def test_there_are_at_least_fifteen_questions_for_each_topic():
    counted = Counter(row["expect"]["topic"] for row in ROWS)
    assert {topic for topic in table("topics") if counted[topic] < 15} == set()


def test_each_input_that_is_read_stands_in_the_convention():
    everywhere = {
        "ask",
        "to_unit",
        "unused",
        "near",
        "guessed",
        "parameter",
        "water",
        "reference",
        "ordered",
        "no_loss",
        "form",
        "to_form",
    }
    for row in ROWS:
        for question in questions(**row["input"]):
            assert set(question.inputs) <= everywhere | set(table("topics")[question.topic]["inputs"]), row["id"]


def test_each_word_for_what_is_wanted_stands_in_the_convention():
    for topic, rules in table("question_slots").items():
        if isinstance(rules, dict):
            assert {rule["ask"] for rule in rules["ask"]} <= set(table("topics")[topic]["asks"]), topic
            assert set(rules["slots"]) <= set(table("topics")[topic]["inputs"]) | {"times"}, topic


def test_each_cue_that_a_slot_looks_for_can_be_said():
    said = set(table("words_questions")["cues"])
    for topic, rules in table("question_slots").items():
        for name, slot in (rules["slots"] if isinstance(rules, dict) else {}).items():
            cues = {*slot.get("before", {}), *slot.get("after", {})}
            assert {cue for cue in cues if cue[0] != "@"} <= said, f"{topic}.{name}"


@pytest.mark.parametrize("example", [(t, row["example"]) for t, row in table("topics").items()], ids=lambda e: e[0])
def test_the_example_of_each_topic_is_read_as_that_topic(example):
    topic, text = example
    assert [question.topic for question in questions(text)] == [topic]


def kinds(text: str, **situation) -> list[tuple[str, str | None]]:
    items = read(text, replace(SITUATION, **situation)).items
    return [(item.kind, getattr(item, "topic", None) or getattr(item, "parameter", None)) for item in items]


def test_a_value_in_the_question_itself_is_not_stored_as_a_reading():
    assert kinds("no3 80 want 20 how big a wc") == [("question", "dilution")]


def test_a_value_told_in_a_sentence_of_its_own_is_stored_and_used():
    found = read("harbor lane nitrate 60!! how much water do i change to get it to 20, its 90 gallons", SITUATION)
    reading, question = found.items
    assert (reading.parameter, reading.value, reading.tank) == ("nitrate", 60, "Harbor Lane lobby")
    assert question.inputs["from"] == Quantity(60, "mg/L")
    assert (question.inputs["volume"], question.tank) == (Quantity(90, "gal"), "Harbor Lane lobby")


def test_readings_that_the_question_has_no_use_for_are_stored():
    found = kinds("84f ph 6.5 fed em, no3 60 how big a wc to get 20", tank="Grade school discus")
    assert {("reading", "temperature"), ("reading", "ph"), ("event", None), ("question", "dilution")} <= set(found)


def test_a_statement_is_no_question():
    told = ["changed 20%, nitrate 40", "salt mix came", "20% wc", "order salt for 40 gal", "mixed 20 gal to 1.025"]
    for text in told:
        assert "question" not in [kind for kind, _ in kinds(text, tank="Harbor Lane lobby")], text


def test_a_short_form_is_a_question_without_a_question_mark():
    assert kinds("salt for 40 l 1.025") == [("question", "salt_mix")]
    assert kinds("1.024 in ppt") == [("question", "convert")]


def test_two_questions_of_one_message_are_answered_apart():
    found = [q.topic for q in questions("how much salt for 40 gal at 35 ppt? and what is 78F in C?")]
    assert found == ["salt_mix", "convert"]


def test_a_further_question_about_the_same_water_takes_its_volume():
    first, second = questions("how much salt for 40 gal at 35 ppt and how long to heat it from 60 to 78F with 300w")
    assert (first.topic, second.topic) == ("salt_mix", "heating")
    assert second.inputs["volume"] == first.inputs["volume"] == Quantity(40, "gal")


def test_what_is_left_out_comes_from_the_tank_and_is_named():
    known = Known(tank="Harbor Lane lobby", volume_L=283.9, readings={"nitrate": Quantity(40, "mg/L")}, habit="us")
    answer = calculate(questions("what if i change 30%?")[0], known)
    assert isinstance(answer, Working)
    assert is_near(answer.figures[0].value, answer.figures[0].unit, {"value": 28, "unit": "mg/L", "tolerance": 0.1})
    assert any("nitrate" in each and "40" in each for each in answer.assumed)


def test_the_same_question_in_both_habits_gives_the_same_amount():
    pairs = [
        ("salt for 20 gal at 35 ppt, grams", "salt for 75.708 L at 35 ppt, grams"),
        ("baking soda for 100 gal from 7 to 8 dkh", "baking soda for 378.54 L from 7 to 8 dkh"),
        ("6% bleach for 10 gal at 200 ppm", "6% bleach for 37.854 L at 200 ppm"),
        ("200 W heater 26.417 gal from 68F to 77F no loss, hours", "200 W heater 100 L from 20C to 25C no loss, hours"),
    ]
    for us, metric in pairs:
        one, other = answers(us, "us")[0], answers(metric, "metric")[0]
        assert isinstance(one, Working) and isinstance(other, Working), (one, other)
        assert one.figures[0].value == pytest.approx(other.figures[0].value, rel=1e-3), us


def test_more_volume_takes_more_of_everything():
    for ask in (
        "salt for {} gal at 35 ppt",
        "baking soda for {} gal from 7 to 8 dkh",
        "6% bleach for {} gal at 200 ppm",
    ):
        small, large = (answers(ask.format(volume))[0] for volume in (20, 40))
        assert isinstance(small, Working) and isinstance(large, Working)
        assert large.figures[0].value == pytest.approx(2 * small.figures[0].value, rel=1e-6)


def test_a_number_without_a_place_in_the_sum_is_named():
    answer = answers("salt for 40 L to 1.025, invoice 7781")[0]
    assert isinstance(answer, Working)
    assert any("7781" in each for each in answer.assumed)


def test_no_target_of_a_medicine_is_ever_given():
    for text in ("what should i give for ich in 50 gal", "how much copper for 100 gal", "how long do i run copper"):
        answer = answers(text)[0]
        assert isinstance(answer, Problem) and "veterinarian" in answer.problem, text
