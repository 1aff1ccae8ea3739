"""Animals counted by what came and went."""

from __future__ import annotations

import pytest

from bot.items import Event
from bot.rules.animals import census, change_of, kind_in

BASE = [{"name": "clownfish", "count": 2}, {"name": "yellow tang", "count": 3}, {"name": "cleaner shrimp", "count": 4}]


def lost(subject, count=None, tank="Elm"):
    return Event("livestock_lost", tank, count=count, subject=subject)


@pytest.mark.parametrize(
    ("said", "name"),
    [
        ("clownfish", "clownfish"), ("clowns", "clownfish"), ("the clown", "clownfish"), ("tang", "yellow tang"),
        ("yellow tangs", "yellow tang"), ("big tang", "yellow tang"), ("shrimp", "cleaner shrimp"),
        ("the cleaner", "cleaner shrimp"), ("goby", None), ("fish", None),
    ],
)  # fmt: skip
def test_words_for_an_animal_find_it_on_the_list(said, name):
    assert kind_in([str(each["name"]) for each in BASE], said.removeprefix("the ")) == name


def test_two_that_fit_equally_well_are_not_guessed():
    assert kind_in(["yellow tang", "blue tang"], "tang") is None
    assert kind_in(["yellow tang", "blue tang"], "blue tang") == "blue tang"


def test_losses_additions_and_moves_change_the_count_of_their_own_tank():
    events = [
        lost("clown"), lost("tangs", 2), Event("livestock_added", "Elm", count=5, subject="firefish"),
        Event("livestock_moved", "Elm", count=1, subject="cleaner shrimp", from_tank="Elm", to_tank="Fir"),
        lost("clown", 1, tank="Fir"), Event("water_change", "Elm", amount=20, unit="%"),
    ]  # fmt: skip
    assert census(BASE, events, "Elm") == {"clownfish": 1, "yellow tang": 1, "cleaner shrimp": 3, "firefish": 5}
    assert census([], events, "Fir") == {"cleaner shrimp": 1}


def test_nothing_falls_below_none():
    assert census(BASE, [lost("clown", 5)], "Elm") == {"yellow tang": 3, "cleaner shrimp": 4}


def test_a_move_within_a_tank_changes_nothing():
    assert change_of(Event("livestock_moved", "Elm", count=2, from_tank="Elm", to_tank="Elm"), "Elm") == 0
