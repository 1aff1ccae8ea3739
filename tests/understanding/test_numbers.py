"""Numbers in every spelling, with their ranges, limits, hedges and corrections on the spot."""

from datetime import datetime

import pytest

from bot.items import Quantity, Situation
from bot.understanding.text import Text

NOW = datetime.fromisoformat("2026-04-14T10:20:00-04:00")


def numbers(text: str, units: str = "us"):
    return Text(text, Situation(NOW, units)).numbers


@pytest.mark.parametrize(
    ("text", "values"),
    [
        (".5", [0.5]), ("8,1", [8.1]), ("1,350", [1350]), ("1,350.5", [1350.5]), ("1.2k", [1200]), ("-5", [-5]),
        ("1 1/2", [1.5]), ("1½", [1.5]), ("3/4", [0.75]), ("half", [0.5]), ("two and a half", [2.5]),
        ("8 point 1", [8.1]),
        ("0/0/40", [0, 0, 40]), ("thirty five", [35]), ("eight point one", [8.1]), ("three ten", [310]),
        ("thirteen fifty", [1350]), ("a hundred and ten", [110]), ("one thousand three hundred", [1300]),
        ("ten twenty five", [1025]), ("zero zero forty", [0, 0, 40]), ("a couple", [2]), ("a dozen", [12]),
        ("7/24/365", [7, 24, 365]), ("٨٫٢".replace("٫", "."), [8.2]), ("9" * 40, []), ("1.0.25", []),
    ],
)  # fmt: skip
def test_each_spelling_is_its_value(text, values):
    assert [number.value for number in numbers(text)] == values


def test_the_same_digits_may_be_read_in_two_ways_the_likelier_by_the_habit():
    assert numbers("1,350")[0].ways == (1350, 1.35)
    assert numbers("1,350", "metric")[0].ways == (1.35, 1350)
    assert numbers("1.350", "metric")[0].ways == (1.35, 1350)
    assert numbers("eight two")[0].ways == (8.2, 82)
    assert numbers("temp.78")[0].ways == (78, 0.78)


@pytest.mark.parametrize("text", ["8.2-8.4", "8.2 - 8.4", "between 8.2 and 8.4", "btw 8.2 and 8.4", "8.2–8.4"])
def test_a_range_is_its_middle_with_both_ends(text):
    (number,) = numbers(text)
    assert (number.value, number.low, number.high) == (8.3, 8.2, 8.4)


@pytest.mark.parametrize("text", ["27-24", "555-0100-12", "8.2 -8.4"])
def test_a_score_and_a_telephone_number_are_no_range(text):
    assert all(number.low is None for number in numbers(text))


def test_limits_and_hedges_are_kept_on_either_side():
    assert numbers("<0.25")[0].below and numbers(">80")[0].above and numbers("80+")[0].above
    assert numbers("~8")[0].about and numbers("400ish")[0].about and numbers("10 or so")[0].about
    assert not numbers("8.0 -> 8.4")[1].above


@pytest.mark.parametrize(
    "text", ["8.2 sorry 8.0", "8.2, no wait 8.0", "8.2 i mean 8.0", "8.2 *8.0", "8.2.. er 8.0", "8.2 f sorry 8.0"]
)
def test_a_number_corrected_on_the_spot_is_the_second(text):
    (number,) = numbers(text)
    assert (number.value, number.old) == (8.0, 8.2)


@pytest.mark.parametrize("text", ["temp 78 wait 20 min", "24*24", "ph 8.2 sorry alk 9"])
def test_what_only_looks_like_a_correction_leaves_both(text):
    assert len(numbers(text)) == 2


def test_a_unit_that_is_open_is_decided_by_what_is_measured():
    (measure,) = Text("30g", Situation(NOW)).measures
    assert measure.quantity("volume", "mass") == Quantity(30, "gal")
    assert measure.quantity("mass") == Quantity(30, "g")
    assert measure.quantity("time") is None


def test_a_unit_kept_as_another_is_converted():
    (measure,) = Text("10 imp gal", Situation(NOW)).measures
    assert measure.quantity("volume") == Quantity(45.4609, "L")
