"""What was done: where, when, how much; and what was not done at all."""

from datetime import datetime

import pytest

from bot.facts.load import table
from bot.items import Clarify, Event, Situation, Task, Wait
from bot.understanding.lexicon import phrases
from bot.understanding.read import read

NOW = datetime.fromisoformat("2026-03-03T09:40:00-05:00")
US = Situation(NOW, tank="Quarry Lane foyer", tanks=("Quarry Lane foyer", "Dock bar", "Mill cafe"), people=("ines",))
METRIC = Situation(NOW, units="metric", tank="Dock bar", tanks=US.tanks)


def only(text, situation=US):
    items = read(text, situation).items
    assert len(items) == 1, items
    return items[0]


def events(text, situation=US):
    return [item for item in read(text, situation).items if isinstance(item, Event)]


@pytest.mark.parametrize(
    "text", ["no wc today", "didnt change the floss", "have not fed", "couldnt clean the glass", "forgot to dose"]
)
def test_what_was_not_done_is_at_most_a_note(text):
    assert {event.event for event in events(text)} <= {"note"}


@pytest.mark.parametrize(
    "text", ["gonna do a wc", "will change 20%", "about to feed", "should i dose alk", "fed?", "can we add 2 tangs"]
)
def test_what_is_only_intended_or_asked_is_not_stored(text):
    assert events(text) == []


def test_a_deed_said_of_tomorrow_is_a_task_or_asked_about():
    assert isinstance(only("change the carbon tomorrow"), Task)
    assert not any(event.at and event.at > NOW for event in events("fed tomorrow"))


@pytest.mark.parametrize(
    ("text", "unit", "value"), [("wc 30g", "gal", 30), ("wc 300", "gal", 300), ("half wc", "%", 50)]
)
def test_an_amount_of_water_that_can_be_only_one_thing_is_taken(text, unit, value):
    assert (only(text).amount, only(text).unit) == (value, unit)


@pytest.mark.parametrize("text", ["wc 30", "wc 30g", "30g wc", "changed 2 buckets"])
def test_an_amount_of_water_that_may_be_two_things_is_asked_about(text):
    asked = [item for item in read(text, METRIC).items if isinstance(item, Clarify)]
    assert not events(text, METRIC) or asked


def test_a_dose_without_a_unit_is_asked_about_with_what_was_understood():
    asked = only("dosed alk 20")
    assert isinstance(asked, Clarify) and asked.why == "which_unit"
    assert (
        asked.about == Event("dose", tank="Quarry Lane foyer", amount=20, subject="alk") or asked.about.subject == "alk"
    )


def test_each_animal_goes_to_the_tank_named_behind_it():
    found = events("added 2 clowns to dock bar and 3 hermits to the cafe")
    assert [(e.count, e.tank) for e in found] == [(2, "Dock bar"), (3, "Mill cafe")]


def test_one_deed_at_two_tanks_is_two_events():
    assert {e.tank for e in events("cleaned the glass at dock bar and mill cafe")} == {"Dock bar", "Mill cafe"}


def test_a_move_names_both_its_tanks():
    move = only("moved 2 chromis from dock bar to the cafe")
    assert (move.from_tank, move.to_tank, move.count) == ("Dock bar", "Mill cafe", 2)


def test_off_with_a_length_is_a_wait_and_without_one_an_event():
    assert only("return off 15 min") == Wait("pump_off", "Quarry Lane foyer", minutes=15, subject="return")
    assert (only("return off").event, only("return off").state) == ("equipment", "off")


@pytest.mark.parametrize("text", ["dip", "dip the wrasse", "dip 900 min", "dip 0 min"])
def test_no_length_of_a_dip_is_ever_assumed(text):
    item = only(text)
    assert isinstance(item, Clarify) or (item.wait == "dip" and item.minutes is None)


def test_a_rest_of_a_bare_number_is_asked_about():
    assert only("new water rest 24").why == "which_unit"


@pytest.mark.parametrize("word", [w for line in table("words_waits")["kind"].values() for w in phrases(line)])
def test_each_word_for_a_wait_starts_one_of_the_length_said(word):
    waits = [item for item in read(f"{word} 20 min", US).items if isinstance(item, Wait)]
    assert [wait.minutes for wait in waits] == [20]


@pytest.mark.parametrize("animal", [w for line in table("words_animals")["animal"].values() for w in phrases(line)])
def test_each_animal_of_the_table_can_be_lost(animal):
    lost = only(f"lost 3 {animal}")
    assert (lost.event, lost.count, lost.subject) == ("livestock_lost", 3, animal)
