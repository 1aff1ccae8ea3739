"""Each word of our tables occurs in a message and is read as what it stands under: a new word needs no further test."""

from dataclasses import replace
from datetime import datetime

import pytest

from bot.facts.load import table
from bot.items import Reading, Situation
from bot.understanding.lexicon import phrases
from bot.understanding.read import read
from bot.understanding.text import Text
from tests.understanding.phrasings import spoken

SITUATION = Situation(datetime.fromisoformat("2026-04-14T10:20:00-04:00"), tank="Bar", tanks=("Bar",))
WORDS, TIMES = table("words_readings"), table("words_times")
PARAMETERS = {name for name, row in table("parameters").items() if isinstance(row, dict)}
# A value that only the right parameter makes usual, in the unit of a bare number.
TYPICAL = {
    "temperature": "78.4", "salinity": "34.5", "ph": "8.15", "ammonia": "0.25", "nitrite": "0.1", "nitrate": "15",
    "phosphate": "0.08", "alkalinity": "8.3", "calcium": "425", "magnesium": "1310", "potassium": "395",
    "strontium": "8",
    "iodine": "0.06", "silicate": "0.4", "iron": "0.1", "copper": "0.15", "chlorine": "1.5", "chloride": "110",
    "oxygen": "7.1", "orp": "320", "conductivity": "420", "hardness": "8", "co2": "22", "tds": "180",
}  # fmt: skip


def only_reading(text: str) -> Reading:
    (item,) = read(text, SITUATION).items
    assert isinstance(item, Reading), item
    return item


def pairs(rows: dict) -> list[tuple[str, str]]:
    return [(meaning, word) for meaning, line in rows.items() for word in phrases(line)]


def test_every_parameter_has_a_typical_value_here():
    assert set(TYPICAL) == PARAMETERS


def _value(parameter: str, word: str) -> str:
    names_gravity = any(word in phrases(line) for unit, line in WORDS["name_unit"].items() if unit == "SG")
    names_share = word in phrases(WORDS["name_unit"]["%"])
    if word in phrases(WORDS["name_unit"]["mS/cm"]):
        return "52.8"
    return "1.0255" if names_gravity else "94" if names_share else TYPICAL[parameter]


@pytest.mark.parametrize(("meaning", "word"), pairs(WORDS["parameter"]))
def test_each_name_of_a_parameter_is_read_as_it(meaning, word):
    parameter, _, more = meaning.partition(" ")
    item = only_reading(f"{word} {_value(parameter, word)}")
    assert item.parameter == parameter
    assert item.value == float(_value(parameter, word))
    assert not more or more in (item.basis, item.of)


@pytest.mark.parametrize(("meaning", "word"), pairs(WORDS["limit"]))
def test_each_limit_in_words_is_read_as_one(meaning, word):
    items = read(f"nitrite {word}", SITUATION).items
    readings = [item for item in items if isinstance(item, Reading)]
    if meaning in ("below", "above", "zero"):
        assert [(item.parameter, item.above) for item in readings] == [("nitrite", meaning == "above")]
    else:
        assert readings == []


UNITS = [
    (unit, word) for unit, row in table("units").items() if isinstance(row, dict) for word in phrases(row["words"])
]


@pytest.mark.parametrize(("unit", "word"), UNITS)
def test_each_unit_word_behind_a_number_can_be_that_unit(unit, word):
    measures = Text(f"12{'' if word in ('#', chr(34), chr(39)) else ' '}{word}", SITUATION).measures
    assert unit in {each.name for measure in measures for each in measure.units}


@pytest.mark.parametrize(("value", "word"), pairs(TIMES["cardinal"]))
def test_each_number_word_is_its_number(value, word):
    assert [number.value for number in Text(word, SITUATION).numbers] == [float(value)]


@pytest.mark.parametrize("value", [*range(0, 130), 310, 420, 999, 1025, 1280, 1350, 2000])
def test_a_number_said_in_words_is_the_number(value):
    said = spoken(value, 0) if value < 1000 else f"{spoken(value // 1000, 0)} thousand {spoken(value % 1000, 0)}"
    said = said.removesuffix(" zero") if value >= 1000 else said
    assert [number.value for number in Text(said, SITUATION).numbers] == [float(value)]


@pytest.mark.parametrize(("meaning", "word"), pairs(TIMES["hedge"]))
def test_each_hedge_before_a_number_is_kept(meaning, word):
    (number,) = Text(f"nitrate {word} 20" if meaning != "between" else f"nitrate {word} 10 and 30", SITUATION).numbers
    assert number.value == 20
    assert {"about": number.about, "below": number.below, "above": number.above, "between": number.low == 10}[meaning]


@pytest.mark.parametrize("word", phrases(TIMES["mend"]["mend"]))
def test_each_word_that_takes_a_number_back_leaves_the_second(word):
    items = read(f"ph 8.2 {word} 8.0", SITUATION).items
    assert [replace(item, about=False) for item in items] == [Reading("ph", 8.0, "pH", tank="Bar")]


DAYS = [(days, word) for group in ("day", "span") for days, word in pairs(TIMES[group])]


@pytest.mark.parametrize(("days", "word"), DAYS)
def test_each_word_for_a_day_is_that_many_days_away(days, word):
    instants = Text(word, SITUATION).ahead
    assert [(each.day - SITUATION.now.date()).days for each in instants] == [int(days)]


@pytest.mark.parametrize(("number", "word"), [(n, w) for g in ("weekday", "month") for n, w in pairs(TIMES[g])])
def test_each_weekday_and_month_is_known(number, word):
    is_month = word in {w for _, w in pairs(TIMES["month"])}
    (instant,) = Text(f"{word} 5" if is_month else word, SITUATION).past
    assert (instant.day.month if is_month else instant.day.weekday()) == int(number)
