"""Stops of somebody who is away: all promises kept where that can be, and what cannot be is named."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import product
from random import Random

import pytest

from bot.rules.absence import Need, Room, propose

TUE = date(2026, 3, 10)
WED, THU = TUE + timedelta(days=1), TUE + timedelta(days=2)


def test_what_may_wait_waits_and_what_may_not_goes_to_a_colleague():
    needs = [Need("tarnwick", ("t",), 30, TUE), Need("quillow", ("q",), 45, TUE, (WED, THU))]
    rooms = [Room("ines", TUE, 200), Room("ines", WED, 10), Room("tomasz", THU, 300)]
    found = propose(needs, rooms, "tomasz")
    assert {(p.need.site, p.who, p.day) for p in found.places} == {
        ("tarnwick", "ines", TUE),
        ("quillow", "tomasz", THU),
    }
    assert found.left == ()


def test_the_owner_is_asked_only_where_nobody_else_has_room():
    need = Need("qt", ("q",), 30, TUE)
    rooms = [Room("mara", TUE, 400, spare=True), Room("ines", TUE, 30)]
    assert propose([need], rooms, "tomasz").places[0].who == "ines"
    assert propose([need], [Room("mara", TUE, 400, True), Room("ines", TUE, 29)], "tomasz").places[0].who == "mara"


def test_the_one_who_is_away_is_given_nothing_on_that_day():
    assert propose([Need("a", ("a",), 30, TUE)], [Room("tomasz", TUE, 480)], "tomasz").left != ()


def test_nothing_is_hidden():
    needs = [Need(f"s{i}", (f"t{i}",), 60, TUE) for i in range(5)]
    found = propose(needs, [Room("ines", TUE, 130)], "tomasz")
    assert len(found.places) == 2
    assert {n.site for n in found.left} | {p.need.site for p in found.places} == {n.site for n in needs}


@pytest.mark.parametrize("seed", range(60))
def test_as_many_promises_are_kept_as_any_sharing_out_could_keep(seed):
    random = Random(seed)
    needs = [
        Need(f"s{i}", (f"t{i}",), random.choice([20, 30, 45, 60]), TUE, random.choice([(), (WED,), (WED, THU)]))
        for i in range(random.randint(1, 5))
    ]
    rooms = [Room(w, d, random.choice([0, 30, 60, 90, 150])) for w, d in product(("a", "b"), (TUE, WED))]
    rooms += [Room("away", THU, random.choice([0, 60]))]
    found = propose(needs, rooms, "away")
    assert len(found.left) == _fewest_left(needs, rooms)
    for room in rooms:
        used = sum(p.need.minutes for p in found.places if (p.who, p.day) == (room.who, room.day))
        assert used <= room.free_min


def _fewest_left(needs, rooms) -> int:
    best = len(needs)
    for choice in product([None, *range(len(rooms))], repeat=len(needs)):
        free = [r.free_min for r in rooms]
        fits = True
        for need, place in zip(needs, choice, strict=True):
            if place is None:
                continue
            free[place] -= need.minutes
            fits &= free[place] >= 0 and rooms[place].day in (need.day, *need.later)
        best = min(best, choice.count(None)) if fits else best
    return best
