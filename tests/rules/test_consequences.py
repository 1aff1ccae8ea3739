"""What is taken to have followed from a wrong value, and what is not."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from bot.facts.load import table
from bot.items import Control, Event, Quantity, Question, Reading, Task
from bot.rules.consequences import After, followed, stands_for, used_value, without

AT = datetime(2026, 3, 10, 9, 0, tzinfo=UTC)
ALK = Reading("alkalinity", 3.8, "dKH", tank="Elm lobby")


def after(item, minutes=10.0):
    return After(1, AT + timedelta(minutes=minutes), "ana", item)


@pytest.mark.parametrize(
    ("reading", "item"),
    [
        (ALK, Event("dose", subject="bicarb")),
        (ALK, Event("dose", subject="alk 20 mL")),
        (ALK, Event("dose")),
        (ALK, Task("order bicarb")),
        (Reading("nitrate", 40, "mg/L"), Event("water_change", amount=20, unit="%")),
        (Reading("salinity", 1.021, "SG"), Control("done", wait="drip")),
        (Reading("temperature", 70, "degF"), Control("done", wait="mix_rest")),
        (Reading("copper", 0.3, "mg/L"), Control("done", wait="float")),
        (Reading("chlorine", 1, "mg/L"), Event("dose", subject="thiosulfate")),
        (Reading("salinity", 1.02, "SG"), Control("override", subject="G2", reason="salinity only 1 low")),
    ],
)
def test_what_concerns_the_same_thing_has_followed(reading, item):
    assert followed(reading, AT, [after(item)], None) == [after(item)]


@pytest.mark.parametrize(
    ("reading", "item"),
    [
        (ALK, Event("dose", subject="calcium chloride")),
        (ALK, Event("feeding", subject="mysis")),
        (ALK, Event("water_change", amount=20, unit="%")),
        (ALK, Task("order carbon")),
        (ALK, Control("done", wait="drip")),
        (Reading("nitrate", 40, "mg/L"), Control("done", wait="drip")),
        (Reading("ph", 7.0, "pH"), Event("livestock_lost", subject="goby")),
    ],
)
def test_what_is_about_something_else_has_not(reading, item):
    assert followed(reading, AT, [after(item)], None) == []


def test_what_was_done_before_it_or_long_after_or_after_a_new_test_has_not_followed():
    dose = Event("dose", subject="bicarb")
    long_after = table("consequences")["dose"]["value"] + 1
    assert followed(ALK, AT, [after(dose, -1), after(dose, long_after)], None) == []
    assert followed(ALK, AT, [after(dose, 30)], AT + timedelta(minutes=20)) == []
    assert followed(ALK, AT, [after(dose, 10)], AT + timedelta(minutes=20)) != []


def test_each_parameter_has_words_that_stand_for_it():
    for parameter in table("parameters"):
        if isinstance(table("parameters")[parameter], dict):
            assert stands_for(parameter, parameter)
    assert stands_for("dosed some potassium nitrate", "nitrate")
    assert not stands_for("nitrogen", "nitrate")


def question(**inputs):
    return Question("dose", inputs)


def test_a_value_typed_into_the_question_is_found_and_put_right():
    asked = question(parameter="alkalinity", **{"from": Quantity(3.8, "dKH"), "to": Quantity(8.3, "dKH")})
    assert used_value(asked, ALK)
    assert without(asked, "alkalinity", 3.8, Quantity(8.1, "dKH")).inputs["from"] == Quantity(8.1, "dKH")
    assert "from" not in without(asked, "alkalinity", 3.8, None).inputs
    assert not used_value(question(parameter="calcium", **{"from": Quantity(3.8, "mg/L")}), ALK)
    assert not used_value(question(parameter="alkalinity", **{"from": Quantity(3.9, "dKH")}), ALK)
