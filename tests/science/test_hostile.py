"""What somebody may send to break a sum: it is answered with finite numbers or refused in words, and never raises."""

import math

import pytest

from bot.items import Quantity, Question
from bot.science.topics import TOPICS, calculate
from bot.science.working import Known, Problem, Working
from tests.science.calc_rows import known, quantities, rows

MEANT = [(place, row) for place, row in rows() if "value" in row["expect"]]
BENT = [math.nan, math.inf, -math.inf, -1.0, 0.0, 1e-12, 1e12, 1e300]
STRANGE = ["degF", "gal", "SG", "mg/L", "%", "", "in", "lb", "W", "pH", "min", "drop/s", "furlong"]


def bent(row):
    """The row's question with one input at a time made impossible, strange in its unit, a word, or left out."""
    said = quantities(row["inputs"])
    for name, each in said.items():
        if isinstance(each, Quantity):
            yield from ((said | {name: Quantity(value, each.unit)}) for value in BENT)
            yield from ((said | {name: Quantity(each.value, unit)}) for unit in STRANGE)
        yield said | {name: "banana"}
        yield {other: kept for other, kept in said.items() if other != name}


def faults_of(got) -> list[str]:
    if isinstance(got, Problem):
        return [] if len(got.problem) > 20 and got.problem.rstrip().endswith((".", "?", ")")) else [got.problem]
    assert isinstance(got, Working)
    return [f"{each.name} {each.value} {each.unit}" for each in got.figures if not math.isfinite(each.value)]


@pytest.mark.parametrize("topic", TOPICS)
def test_a_bent_question_is_answered_in_numbers_or_refused_in_words(topic):
    some = [row for _, row in MEANT if row["topic"] == topic][::3]
    assert some, topic
    for row in some:
        for inputs in bent(row):
            got = calculate(Question(topic, inputs), known(row.get("known", {})))
            assert faults_of(got) == [], inputs


@pytest.mark.parametrize("topic", TOPICS)
def test_a_question_that_says_nothing_is_asked_back_or_answered_with_what_was_assumed(topic):
    got = calculate(Question(topic), Known())
    assert faults_of(got) == []
    assert isinstance(got, Problem) or got.assumed


@pytest.mark.parametrize("topic", TOPICS)
def test_each_unknown_that_can_be_wanted_is_answered_or_asked_back(topic):
    from bot.facts.load import table

    for wanted in table("topics")[topic]["asks"]:
        assert faults_of(calculate(Question(topic, {"ask": wanted}), Known())) == [], wanted


def test_a_topic_without_a_sum_says_what_can_be_asked():
    got = calculate(Question("astrology"), Known())
    assert isinstance(got, Problem)
    assert "how much salt for" in got.problem


def test_all_that_is_missing_is_asked_for_at_once():
    got = calculate(Question("salinity_change", {"ask": "exchange"}), Known())
    assert isinstance(got, Problem)
    assert "salinity of the tank now" in got.problem
    assert "water volume" in got.problem


def test_a_unit_that_is_not_ours_is_named_in_the_refusal():
    got = calculate(Question("salt_mix", {"volume": Quantity(3, "furlong")}), Known())
    assert isinstance(got, Problem)
    assert "furlong" in got.problem
