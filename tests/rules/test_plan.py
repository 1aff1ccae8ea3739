"""The planner against exhaustive search, and against the limits that it must keep."""

from __future__ import annotations

from contextlib import suppress
from itertools import permutations, product
from random import Random

import pytest

from bot.rules.plan import NOW, Course, Impossible, Link, Plan, Step, Visit, best_plan, usual_plan
from tests.rules.visits import random_visit

# The visit of a marine tank with new fish: minutes of hands, and the waits between (common practice, no source).
MARINE = Visit(
    (
        Step("float", 2),
        Step("match mix", 3),
        Step("siphon", 14, (Link("match mix"),)),
        Step("drip", 3, (Link("float", 15, 60),)),
        Step("net in bleach", 6),
        Step("refill", 12, (Link("siphon"),)),
        Step("neutralise", 4, (Link("net in bleach", 15, 120),)),
        Step("second tank", 8),
        Step("test", 4, (Link("refill", 15),)),
        Step("net gate", 3, (Link("neutralise", 10),)),
        Step("release", 5, (Link("drip", 30, 120),)),
        Step("pack", 4, tuple(Link(n) for n in ("test", "net gate", "release", "second tank", "refill"))),
    )
)


def test_waits_overlap_and_every_limit_is_kept() -> None:
    plan = best_plan(MARINE)
    hands = sum(step.minutes for step in MARINE.steps)
    assert hands <= plan.out_min < hands + 15 + 15 + 10 + 30 + 15
    assert broken(MARINE, plan) == []


def test_the_best_order_is_never_later_than_the_usual_one() -> None:
    order = ["match mix", "siphon", "net in bleach", "refill", "neutralise", "second tank", "float", "test", "net gate"]
    usual = usual_plan(MARINE, [*order, "drip", "release", "pack"])
    assert best_plan(MARINE).out_min < usual.out_min


@pytest.mark.parametrize("seed", range(120))
def test_no_order_at_all_beats_the_plan_up_to_six_steps(seed: int) -> None:
    random = Random(seed)
    visit = random_visit(random.randint(2, 6), random)
    assert _planned(visit) == _exhaustive(visit)


@pytest.mark.parametrize("seed", range(30))
def test_no_order_and_no_sharing_beats_the_plan_for_two_people(seed: int) -> None:
    random = Random(1000 + seed)
    visit = random_visit(random.randint(2, 4), random, hands=2)
    assert _planned(visit) == _exhaustive(visit)


@pytest.mark.parametrize("seed", range(60))
def test_no_limit_is_broken_in_larger_visits(seed: int) -> None:
    visit = random_visit(9, Random(2000 + seed))
    with suppress(Impossible):
        assert broken(visit, best_plan(visit)) == []


def test_bleach_and_acid_never_stand_open_together() -> None:
    steps = (
        Step("bleach", 5), Step("rinse", 5, (Link("bleach", 30, 120),)),
        Step("acid", 5), Step("wipe", 5, (Link("acid", 20, 60),)),
    )  # fmt: skip
    courses = (Course("bleach", "rinse", "bleach"), Course("acid", "wipe", "acid"))
    together = best_plan(Visit(steps))
    apart = Visit(steps, courses, (frozenset(("bleach", "acid")),))
    assert broken(apart, together) != []
    assert broken(apart, best_plan(apart)) == []
    assert best_plan(apart).out_min == 40 + 30


def test_what_was_begun_before_counts_from_now() -> None:
    steps = (Step("glass", 20), Step("drip", 3, (Link(NOW, 5, 12),)))
    plan = best_plan(Visit(steps))
    assert plan.starts_min == {"drip": 5, "glass": 8} and plan.out_min == 28
    with pytest.raises(Impossible):
        best_plan(Visit((Step("a", 10, (Link(NOW, 0, 3),)), Step("b", 10, (Link(NOW, 0, 3),)))))


def test_acid_waits_for_bleach_that_stands_open_already() -> None:
    steps = (Step("rinse", 5, (Link(NOW, 20),)), Step("acid", 5), Step("wipe", 5, (Link("acid", 20),)))
    courses = (Course(NOW, "rinse", "bleach"), Course("acid", "wipe", "acid"))
    plan = best_plan(Visit(steps, courses, (frozenset(("bleach", "acid")),)))
    assert plan.starts_min["acid"] == 25


def test_a_circle_of_steps_is_refused() -> None:
    with pytest.raises(Impossible):
        best_plan(Visit((Step("a", 1, (Link("b"),)), Step("b", 1, (Link("a"),)))))


def broken(visit: Visit, plan: Plan) -> list[str]:
    """The limits that a plan breaks, in words; worked out from the starts alone."""
    start, minutes = plan.starts_min, {s.name: s.minutes for s in visit.steps}
    faults = []
    for step in visit.steps:
        for link in step.after:
            gap = start[step.name] - start[link.step] - minutes[link.step]
            if not link.least_min - 1e-6 <= gap <= link.most_min + 1e-6:
                faults.append(f"{step.name} {gap} min after {link.step}")
    for moment in start.values():
        busy = [n for n in start if start[n] <= moment + 1e-9 < start[n] + minutes[n] - 1e-9]
        faults += [f"{busy} at once"] if len(busy) > visit.hands else []
    spans = [(c.chemical, start[c.first], start[c.last] + minutes[c.last]) for c in visit.courses]
    for one, other in product(spans, spans):
        if {one[0], other[0]} in [set(pair) for pair in visit.apart] and one[1] < other[2] and other[1] < one[2]:
            faults.append(f"{one[0]} meets {other[0]}")
    return faults


def _planned(visit: Visit) -> float | None:
    try:
        return round(best_plan(visit).out_min, 6)
    except Impossible:
        return None


def _exhaustive(visit: Visit) -> float | None:
    """The earliest door over every order and every sharing of the hands, by fixed point, without any bound."""
    names = [s.name for s in visit.steps]
    ends = [
        _door(visit, order, share)
        for order in permutations(names)
        for share in product(range(visit.hands), repeat=len(names))
    ]
    return min((round(e, 6) for e in ends if e is not None), default=None)


def _door(visit: Visit, order: tuple[str, ...], share: tuple[int, ...]) -> float | None:
    minutes, after = {s.name: s.minutes for s in visit.steps}, {s.name: s.after for s in visit.steps}
    place, who = {n: i for i, n in enumerate(order)}, dict(zip(order, share, strict=True))
    if any(place[k.step] > place[n] for n in order for k in after[n]) or not _apart(visit, place):
        return None
    start = dict.fromkeys(order, 0.0)
    for _ in range(40):
        before = dict(start)
        for i, n in enumerate(order):
            earlier = [start[m] + minutes[m] for m in order[:i] if who[m] == who[n]]
            queue = [start[order[i - 1]]] if i else [0.0]
            links = [start[k.step] + minutes[k.step] + k.least_min for k in after[n]]
            start[n] = max([start[n], *queue, *links, *earlier])
            for k in after[n]:
                start[k.step] = max(start[k.step], start[n] - k.most_min - minutes[k.step])
        if _courses_move(visit, start, minutes, place) is False and start == before:
            return max(start[n] + minutes[n] for n in order)
    return None


def _apart(visit: Visit, place: dict[str, int]) -> bool:
    pairs = [(a, b) for a in visit.courses for b in visit.courses if place[a.first] < place[b.first]]
    return all(place[a.last] < place[b.first] for a, b in pairs if frozenset((a.chemical, b.chemical)) in visit.apart)


def _courses_move(visit: Visit, start: dict[str, float], minutes: dict[str, float], place: dict[str, int]) -> bool:
    moved = False
    for a, b in product(visit.courses, visit.courses):
        if frozenset((a.chemical, b.chemical)) in visit.apart and place[a.first] < place[b.first]:
            end = start[a.last] + minutes[a.last]
            if start[b.first] < end - 1e-9:
                start[b.first], moved = end, True
    return moved
