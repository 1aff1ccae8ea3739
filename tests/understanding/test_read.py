"""What a message means: each row of fixtures/read, and what must hold for every message."""

import pytest

from bot.items import Clarify, Correction, Reading, Situation
from bot.understanding.read import read
from tests.effort import calls_of
from tests.understanding.match import is_right, items_of, rows, situation, wrong_facts

ROWS = rows()
NOW = situation(ROWS[0]["input"]).now
SITUATION = Situation(NOW, tank="Bar", tanks=("Bar", "Cedar Row lobby"), panel=("temperature", "ph", "salinity"))
HOSTILE = {
    "digits": "9" * 10_000,
    "powers": "9**9" * 2_500,
    "right to left": "\u202e" * 10_000,
    "dots": "." * 10_000,
    "words": "lorem ipsum " * 900,
    "numbers": "1 " * 5_000,
    "names": "ph " * 3_300,
    "fractions": "1/2/" * 2_500,
    "tanks": "cedar row " * 1_000,
    "dashes": "1-2-" * 2_500,
    "spoken": "one " * 2_500,
    "lines": "\n" * 10_000,
    "glued": "ca420mg1300" * 900,
    "animals": "lost 2 clowns and " * 550,
    "unknown words": " ".join(f"x{i}zqwv" for i in range(1_400)),
    "control characters": "".join(map(chr, range(32))) * 312,
    "look-alikes": "рН 8.2 " * 1_400,
    "named pairs": "ph8" * 3_300,
    "questions": "how much salt for 20 gal " * 400,
    "rows": "amm nitrite nitrate 0 0 40 " * 370,
    "corrections": "8 sorry " * 1_250,
    "commas": "9," * 5_000,
    "nonsense": "".join("ph 8.2alk nitrate,/-wc\n"[i * i % 23] for i in range(10_000)),
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_a_message_means_what_its_row_accepts(row):
    items = items_of(row)
    assert is_right(row, items), items


def test_nothing_is_stored_with_a_wrong_value_unit_or_tank():
    wrong = {row["id"]: found for row in ROWS if (found := wrong_facts(row, items_of(row)))}
    assert wrong == {}


def test_every_kind_of_item_and_both_habits_are_among_the_rows():
    kinds = {item["kind"] for row in ROWS for accepted in row["accept"] for item in accepted}
    assert {"reading", "event", "question", "wait", "control", "correction", "task", "clarify"} <= kinds
    assert {row["input"]["units"] for row in ROWS} == {"us", "metric"}
    assert len(ROWS) >= 600


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_is_answered_at_once_and_nothing_is_lost(name):
    read("ph 8.2", SITUATION)
    understood, calls = calls_of(lambda: read(HOSTILE[name], SITUATION))
    assert calls < 1_000_000
    assert understood.items or understood.unread or not HOSTILE[name].strip(" .\n\u202e")


def test_what_is_beyond_the_longest_message_comes_back_as_unread():
    text = "ph 8.2 " + "zzqx " * 2_000 + "the end"
    understood = read(text, SITUATION)
    assert [type(item) for item in understood.items] == [Reading]
    assert text.endswith(understood.unread[-1])


def test_a_long_report_is_read_line_by_line_with_the_tank_of_each():
    text = "\n".join(f"{name}: ph 8.2 alk 8.4 ca 420 temp 78" for name in ("Bar", "Cedar Row lobby") * 5)
    understood = read(text, SITUATION)
    assert [item.tank for item in understood.items] == (["Bar"] * 4 + ["Cedar Row lobby"] * 4) * 5


def test_a_bare_value_as_a_reply_to_a_quote_corrects_what_was_quoted():
    quoted = Reading("ph", 7.1, "pH", tank="Bar")
    understood = read("8.1", Situation(NOW, tank="Cedar Row lobby", tanks=("Bar",), reply_to=quoted))
    assert understood.items == (Correction("ph", value=8.1, unit="pH", old=7.1, tank="Bar"),)


def test_a_reply_with_an_impossible_value_is_asked_back():
    quoted = Reading("ph", 7.1, "pH", tank="Bar")
    (item,) = read("81", Situation(NOW, tanks=("Bar",), reply_to=quoted)).items
    assert isinstance(item, Clarify) and item.why == "unlikely_value"


def test_an_item_without_a_tank_is_kept_in_the_question_for_it():
    (item,) = read("ph 8.1", Situation(NOW, tanks=("Bar", "Cedar Row lobby"))).items
    assert isinstance(item, Clarify) and item.about == Reading("ph", 8.1, "pH")


def test_two_tanks_that_fit_are_both_offered():
    (item,) = read("mill lane ph 8.1", Situation(NOW, tanks=("Mill Lane north", "Mill Lane south"))).items
    assert isinstance(item, Clarify) and item.options == ("Mill Lane north", "Mill Lane south")


def test_an_impossible_value_comes_with_what_it_may_have_been_meant_as():
    (item,) = read("ph 82", SITUATION).items
    assert isinstance(item, Clarify) and "8.2" in item.options
