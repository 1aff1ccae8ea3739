"""A person hurt is seen before anything else, in many phrasings; an animal or a machine that is hurt is none."""

import itertools
from datetime import UTC, datetime

import pytest

from bot.facts.load import table
from bot.items import Control, Reading, Situation
from bot.understanding.hurt import hurt_in
from bot.understanding.read import read
from bot.understanding.tokens import tokenise

SITUATION = Situation(datetime(2026, 3, 3, 9, tzinfo=UTC), tank="Bar", tanks=("Bar",), people=("ines", "tomasz"))
CHEMICALS = ("bleach", "acid", "formalin", "peroxide", "kalk")
WAYS = ("in", "into", "splashed in", "got in", "sprayed in")
WHOSE = ("my", "his", "tomasz's", "the")


def hazards(text):
    return [sign.hazard for sign in hurt_in(tokenise(text), SITUATION.people)]


@pytest.mark.parametrize("words", list(itertools.product(CHEMICALS, WAYS, WHOSE)), ids=" ".join)
def test_any_chemical_that_came_into_an_eye_is_seen(words):
    assert hazards(f"{' '.join(words)} eye") == ["eye"]


@pytest.mark.parametrize("who", ["i", "ines", "he", "the client", "someone"])
@pytest.mark.parametrize(
    "what", ["got shocked", "got stung", "was bitten", "is bleeding", "passed out", "fell off the ladder"]
)
def test_whatever_befalls_a_person_is_seen_whoever_it_is(who, what):
    assert len(hazards(f"{who} {what}")) == 1


@pytest.mark.parametrize(
    "slip", ["eletrocuted", "ambulence", "unconcious", "cut my hnad", "sombody is hurt", "bleding bad"]
)
def test_a_thumb_that_shakes_is_understood(slip):
    assert any(isinstance(i, Control) and i.action == "person_hurt" for i in read(slip, SITUATION).items)


NOBODY = """
tang got stung by the anemone
the eel bit the trigger
puffer in shock
heater burned out
popeye on the oranda
cloudy eye on the angel
koi gasping at the surface
torch stung the hammer
cut the carbon in half
nobody got hurt
almost cut my hand
fish not breathing well
bleach on hand 2 gal
the pump got shocked
who got hurt last month
clown fell behind the rock
faint smell of chlorine on the net
"""


@pytest.mark.parametrize("text", NOBODY.strip().splitlines())
def test_an_animal_or_a_machine_or_nobody_hurt_raises_no_alarm(text):
    assert hazards(text) == []


def test_every_hazard_has_its_first_aid():
    words = table("words_hurt")
    known = {key for group in ("alone", "whole", "symptom", "harm") for key in words[group]} | {"eye", "skin", "gas"}
    assert known <= set(table("hazards"))


def test_the_hurt_come_first_and_readings_beside_them_are_kept():
    items = read("temp 78.2 ines got shocked by the heater", SITUATION).items
    assert isinstance(items[0], Control) and items[0].action == "person_hurt"
    assert items[0].who == "ines" and items[0].subject == "shock"
    assert [item.value for item in items if isinstance(item, Reading)] == [78.2]


def test_bleach_mixed_with_an_acid_is_gas_but_a_question_about_it_is_none():
    assert hazards("mixed bleach and vinegar by mistake") == ["gas"]
    assert hazards("can i mix bleach and vinegar") == []
