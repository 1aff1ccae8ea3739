"""Random visits as they occur: hands-on steps of 2 to 14 minutes, waits with a shortest and often a longest time."""

from __future__ import annotations

from random import Random

from bot.rules.plan import INFINITE, Course, Link, Step, Visit

WAITS_MIN = (0, 5, 10, 15, 20, 30, 40, 60)
SLACK_MIN = (10, 20, 30, 60, 90)


def random_visit(steps: int, random: Random, hands: int = 1) -> Visit:
    """A visit of `steps` steps; each follows at most two earlier ones, four waits in ten have a longest time."""
    made = [_step(i, random) for i in range(steps)]
    courses: tuple[Course, ...] = ()
    if steps >= 6 and random.random() < 0.3:
        made, courses = _with_chemicals(made)
    return Visit(tuple(made), courses, (frozenset(("bleach", "acid")),), hands)


def _step(i: int, random: Random) -> Step:
    earlier = [j for j in range(i) if random.random() < 0.25][:2]
    return Step(f"s{i}", random.randint(2, 14), tuple(_link(j, random) for j in earlier))


def _link(j: int, random: Random) -> Link:
    least = random.choice(WAITS_MIN)
    most = INFINITE if random.random() < 0.6 else least + random.choice(SLACK_MIN)
    return Link(f"s{j}", least, most)


def _with_chemicals(made: list[Step]) -> tuple[list[Step], tuple[Course, ...]]:
    """The first two steps become a bleach course, the next two an acid one."""
    one, two, three, four = made[:4]
    changed = [
        Step(one.name, one.minutes),
        Step(two.name, two.minutes, (Link(one.name, 10, 120),)),
        Step(three.name, three.minutes),
        Step(four.name, four.minutes, (Link(three.name, 20),)),
    ]
    courses = (Course(one.name, two.name, "bleach"), Course(three.name, four.name, "acid"))
    return [*changed, *made[4:]], courses
