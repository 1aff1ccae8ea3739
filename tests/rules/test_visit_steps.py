"""The steps of a real visit: what comes before what, what goes on from what was begun, what may be left out."""

from __future__ import annotations

import pytest

from bot.rules.plan import Impossible
from bot.rules.visit_steps import factor, order, parts_of, scene_of, within
from tests.effort import calls_of
from tests.rules.test_plan import broken

KINDS = ["reef", "marine fish-only", "brackish", "tropical community", "soft water", "goldfish or pond", "quarantine"]
NEW_FISH = scene_of("reef", ["add 2 clowns", "bleach nets"])


@pytest.mark.parametrize("kind", KINDS)
def test_the_plan_of_each_kind_keeps_every_limit(kind):
    found = order(scene_of(kind, ["change carbon"]))
    assert broken(found.visit, found.plan) == []


@pytest.mark.parametrize("kind", KINDS)
def test_power_is_off_before_hands_go_in_and_on_before_the_door(kind):
    start = order(scene_of(kind, ["clean pump"])).plan.starts_min
    for step in ("glass", "siphon", "filter", "refill", "clean pump"):
        assert start["power off"] < start[step] < start["power on"], step
    assert start["power on"] < max(start.values()) == start["pack"]


def test_water_is_tested_before_anything_is_touched_and_top_off_comes_last():
    start = order(scene_of("reef", [])).plan.starts_min
    assert start["look"] < start["test"] < start["power off"]
    assert start["top-off on"] >= start["power on"] + 3 + 10


def test_a_heater_cools_before_it_stands_dry():
    start = order(scene_of("reef", [])).plan.starts_min
    assert start["siphon"] >= start["power off"] + 2 + 10


def test_a_ponds_autofill_is_shut_first_and_opened_last():
    start = order(scene_of("goldfish or pond", [])).plan.starts_min
    assert start["autofill shut"] < start["power off"] and start["autofill open"] > start["power on"]


def test_new_fish_and_bleached_nets_run_beside_the_work():
    found = order(NEW_FISH)
    hands = sum(step.minutes for step in found.visit.steps)
    assert broken(found.visit, found.plan) == []
    assert found.plan.out_min < hands + 20
    assert found.gain_min > 30


def test_bleach_and_acid_are_never_open_together():
    found = order(scene_of("reef", ["bleach nets", "descale pump"]))
    start = found.plan.starts_min
    assert start["acid"] >= start["neutralise"] or start["bleach"] >= start["rinse acid"]
    assert broken(found.visit, found.plan) == []


def test_what_is_done_is_not_planned_again_and_its_limits_go_on():
    scene = scene_of("reef", [], done={"reading": 20.0, "event.equipment.off": 12.0, "event.cleaning": 3.0})
    start = order(scene).plan.starts_min
    assert not {"look", "test", "power off", "glass"} & set(start)
    assert start["power on"] <= 60 - 12
    late = scene_of("reef", [], done={"reading": 50.0, "event.equipment.off": 55.0})
    with pytest.raises(Impossible):
        order(late)


def test_bags_afloat_are_planned_from_when_they_were_put_in():
    start = order(scene_of("reef", [], done={"wait.float": 15.0})).plan.starts_min
    assert "float" not in start and 5 <= start["drip"] <= 45


def test_short_of_time_parts_are_left_out_but_never_a_gate_or_what_is_open():
    scene = scene_of("reef", ["change carbon", "bleach nets"])
    found = within(scene, 75)
    assert found.left_out and found.plan.out_min <= 75
    assert {"rinse", "neutralise", "smell, strip", "test", "pack"} <= set(found.plan.starts_min)
    begun = scene_of("reef", [], done={"event.equipment.off": 5.0})
    assert "change" not in parts_of(begun) and "power on" in within(begun, 5).plan.starts_min


def test_of_a_part_that_was_begun_nothing_is_left_out():
    begun = scene_of("reef", [], done={"event.equipment.off": 5.0}, left_out=frozenset({"change"}))
    assert "power on" in order(begun).plan.starts_min


def test_with_time_enough_nothing_is_left_out():
    assert within(scene_of("reef", ["change carbon"]), 240).left_out == ()


def test_two_people_are_out_sooner_than_one():
    assert order(scene_of("reef", [], hands=2)).plan.out_min < order(scene_of("reef", [])).plan.out_min


@pytest.mark.parametrize("true_min", [45, 60, 75, 90])
def test_minutes_learned_bring_the_plan_to_what_a_visit_really_takes(true_min):
    scene = scene_of("reef", [])
    learned = scene_of("reef", [], factor=factor(scene, true_min))
    assert order(learned).plan.out_min == pytest.approx(true_min, rel=0.1)


def test_whoever_takes_very_long_still_gets_a_plan_that_keeps_the_longest_times():
    found = order(scene_of("reef", [], factor=factor(scene_of("reef", []), 200)))
    assert broken(found.visit, found.plan) == [] and found.plan.out_min > 80


def test_the_longest_visit_is_planned_in_the_time_of_an_answer():
    asked = ["add 2 clowns", "bleach nets", "change carbon"]
    found, calls = calls_of(lambda: order(scene_of("reef", asked, others={"Bar": 31.0}, factor=1.37)))
    assert calls < 8_000_000
    assert broken(found.visit, found.plan) == []
