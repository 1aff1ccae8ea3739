"""Tanks and vats as people name them."""

from datetime import datetime

import pytest

from bot.items import Situation
from bot.understanding.text import Text

TANKS = (
    "Cedar Row lobby",
    "Suite 310 nano",
    "Copper Kettle cafe",
    "Mill Lane north",
    "Mill Lane south",
    "Q7",
    "Ray pool",
)
SITUATION = Situation(
    datetime.fromisoformat("2026-04-14T10:20:00-04:00"),
    tank="Q7",
    tanks=TANKS,
    vats=("Vat A",),
    nicknames={"big blue": "Ray pool"},
)


def named(text: str) -> list[tuple[str, ...]]:
    return [mention.options for mention in Text(text, SITUATION).mentions]


@pytest.mark.parametrize(
    ("text", "tank"),
    [
        ("cedar row lobby", 0), ("CEDAR", 0), ("lobby", 0), ("cedr row", 0), ("cedar row's", 0),
        ("suite 310", 1), ("the nano", 1),
        ("suite three ten", 1), ("at 310", 1), ("copper kettle", 2), ("kettle", 2), ("mill ln north", 3),
        ("q7", 5), ("Q 7", 5), ("big blue", 6), ("ray pool tank", 6),
    ],
)  # fmt: skip
def test_each_way_to_name_a_tank(text, tank):
    assert named(text) == [(TANKS[tank],)]


def test_two_that_fit_alike_are_both_kept():
    assert named("mill lane") == [("Mill Lane north", "Mill Lane south")]


@pytest.mark.parametrize("text", ["orp 310", "ph 7", "the lane", "street"])
def test_a_value_or_a_common_word_names_nothing(text):
    assert named(text) == []


def test_a_word_of_the_trade_counts_for_less_than_a_name():
    (copper,) = Text("copper 0.2", SITUATION).mentions
    (cedar,) = Text("cedar ph 8", SITUATION).mentions
    assert copper.plausible < 1 <= cedar.plausible


def test_a_near_miss_never_beats_an_exact_name():
    situation = Situation(SITUATION.now, tanks=("Marlow bar", "Harlow bar"))
    assert [mention.options for mention in Text("harlow", situation).mentions] == [("Harlow bar",)]


@pytest.mark.parametrize(
    "text", ["tank 2 ph 8.1", "the big one ph 8.1", "ph 8.1 at harper street", "harper street: ph 8.1"]
)
def test_a_place_that_no_name_tells_could_be_any(text):
    assert named(text) == [TANKS]


def test_a_vat_is_told_from_a_tank():
    (mention,) = Text("vat a sg 1.026", SITUATION).mentions
    assert mention.vat and mention.options == ("Vat A",)
