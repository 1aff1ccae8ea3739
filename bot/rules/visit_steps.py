"""The steps of one visit as they stand now: what is still to be done, what of it follows from what was begun, what may
be left out. The order of them is plan.py's."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from bot.facts.load import table
from bot.rules.plan import INFINITE, NOW, Course, Impossible, Link, Plan, Step, Visit, best_plan, usual_plan
from bot.rules.waits import kind_of


@dataclass(frozen=True)
class Scene:
    """What decides which steps a visit has.

    kind      the kind of tank           jobs     the jobs that land on it, in words
    done      minutes since each thing that shows a step done: {"reading": 12, "wait.float": 5, ...}
    others    further tanks of the site that are due, with their minutes of hands
    animals, tools, acid   whether animals arrive, tools go into bleach, acid is used
    factor    how the minutes of hands of this tank stand to ours
    left_out  parts that are left out    hands    how many people are there
    waits     the team's own lengths of waits
    """

    kind: str | None
    jobs: tuple[str, ...] = ()
    done: Mapping[str, float] = field(default_factory=dict)
    others: Mapping[str, float] = field(default_factory=dict)
    animals: bool = False
    tools: bool = False
    acid: bool = False
    factor: float = 1.0
    left_out: frozenset[str] = frozenset()
    hands: int = 1
    waits: Mapping[str, Any] | None = None


@dataclass(frozen=True)
class Order:
    """A visit with its best plan, and what the usual order would take (None: it would break a limit)."""

    visit: Visit
    plan: Plan
    usual_min: float | None
    left_out: tuple[str, ...] = ()

    @property
    def gain_min(self) -> float:
        """What the order gains over the usual one."""
        return max((self.usual_min or self.plan.out_min) - self.plan.out_min, 0.0)


def scene_of(kind: str | None, jobs: Sequence[str], **more: Any) -> Scene:
    """The scene whose jobs say that animals arrive, tools are soaked or acid is used."""
    words = table("visit_steps")["words"]
    said = {word for job in jobs for word in job.casefold().replace(",", " ").split()}
    told: dict[str, Any] = {key: bool(said & set(words[key])) for key in ("animals", "tools", "acid")}
    return Scene(kind, tuple(jobs), **(told | more))


def order(scene: Scene) -> Order:
    """The best order of what is still to be done; Impossible where no order keeps every longest time."""
    visit = visit_of(scene)
    return Order(visit, planned(visit), _usual_min(visit), tuple(sorted(scene.left_out)))


def planned(visit: Visit) -> Plan:
    """The best plan; where there are very many steps, the best that is found in the time of an answer."""
    told = table("visit_steps")["search"]
    return best_plan(visit, INFINITE if len(visit.steps) <= told["steps"] else float(told["tries"]))


def within(scene: Scene, minutes: float) -> Order:
    """The best order that fits into the minutes: parts are left out in the table's order until it does.

    Gates and what stands open are never left out; where even then it does not fit, the shortest order is given.
    """
    found = order(scene)
    for part in table("visit_steps")["leave_out"]["order"]:
        if found.plan.out_min <= minutes:
            return found
        if part in parts_of(scene):
            scene = replace(scene, left_out=scene.left_out | {part})
            found = order(scene)
    return found


def parts_of(scene: Scene) -> list[str]:
    """What may be left out of the visit as it stands, in the table's order."""
    order_of_parts: list[str] = table("visit_steps")["leave_out"]["order"]
    steps = _table_steps(scene)
    there = {step.get("part") for step in steps} | ({"tank 2"} if scene.others else set())
    there |= {"jobs"} if scene.jobs else set()
    return [p for p in order_of_parts if p in there and p not in _begun(scene) | scene.left_out]


def factor(scene: Scene, true_min: float) -> float:
    """How the minutes of hands of a tank stand to ours, when a whole visit there takes `true_min`.

    Never so large that a longest time could not be kept: who takes that long has not worked all the time.
    """
    limits = table("visit_steps")["factor"]
    plain = replace(scene, factor=1.0, done={}, others={})
    visit = visit_of(plain)
    hands = sum(step.minutes for step in visit.steps)
    idle = planned(visit).out_min - hands
    found = min(max((true_min - idle) / hands, limits["least"]), limits["most"])
    while found > 1 and not _fits(replace(plain, factor=found)):
        found -= limits["step"]
    return float(found)


def _fits(scene: Scene) -> bool:
    try:
        return bool(planned(visit_of(scene)).starts_min)
    except Impossible:
        return False


def visit_of(scene: Scene) -> Visit:
    """The steps that are left, linked to one another and to what was begun before."""
    rows = _table_steps(scene)
    names = {row["name"] for row in rows} | set(_jobs(scene))
    done = {row["name"]: ago for row in _occurring(scene) if (ago := _ago(scene, row)) is not None}
    jobs = [_job(scene, job, names, done) for job in _jobs(scene)]
    steps = [_step(scene, row, names, done) for row in rows]
    place = next((i for i, s in enumerate(steps) if s.name in table("visit_steps")["job"]["before"]), len(steps))
    steps = [*steps[:place], *jobs, *steps[place:]]
    if "tank 2" not in scene.left_out:
        steps += [Step(tank, minutes) for tank, minutes in scene.others.items()]
    steps = [*steps, *_last(scene, steps)]
    apart = tuple(frozenset(each["pair"]) for each in table("visit_steps")["apart"])
    return Visit(tuple(steps), _courses({s.name for s in steps}, done), apart, scene.hands)


def _occurring(scene: Scene) -> list[dict[str, Any]]:
    """The rows of the table that occur in this visit, done or not."""
    told = table("visit_steps")
    group = next((g for g, kinds in told["groups"].items() if scene.kind in kinds), "fresh")
    on = {key for key in ("animals", "tools", "acid") if getattr(scene, key)}
    on |= {key for key, mark in (("animals", "wait.float"), ("tools", "wait.bleach_soak")) if mark in scene.done}
    rows = (row for row in told["steps"] if group in row.get("kinds", told["groups"]))
    return [row for row in rows if row.get("when", "always") in ("always", *on) and not row.get("last")]


def _table_steps(scene: Scene) -> list[dict[str, Any]]:
    """Those that are still to be done; of a part that was begun nothing is left out any more."""
    gone = scene.left_out - _begun(scene)
    return [row for row in _occurring(scene) if _ago(scene, row) is None and row.get("part") not in gone]


def _begun(scene: Scene) -> frozenset[str]:
    """The parts of which something was done: power that is off must come on again."""
    return frozenset(r["part"] for r in _occurring(scene) if r.get("part") and _ago(scene, r) is not None)


def _ago(scene: Scene, row: Mapping[str, Any]) -> float | None:
    """Minutes since the step was done; None where nothing shows that it was."""
    found = [scene.done[mark] for mark in row["done"] if mark in scene.done]
    return min(found) if found else None


def _step(scene: Scene, row: Mapping[str, Any], names: Collection[str], done: Mapping[str, float]) -> Step:
    before = [{"step": job} for job in _jobs(scene) if row["name"] in table("visit_steps")["job"]["before"]]
    told_after = [*row.get("after", ()), *before]
    links = [link for told in told_after if (link := _link(scene, told, names, done))]
    return Step(row["name"], round(row["minutes"] * scene.factor, 1), tuple(links))


def _link(scene: Scene, told: Mapping[str, Any], names: Collection[str], done: Mapping[str, float]) -> Link | None:
    """To a step that is left; from now, where it was done before; None where it does not occur."""
    least, most = _span(scene, told)
    if told["step"] in names:
        return Link(told["step"], least, most)
    if told["step"] in done:
        ago = done[told["step"]]
        return Link(NOW, max(least - ago, 0.0), max(most - ago, 0.0))
    return None


def _span(scene: Scene, told: Mapping[str, Any]) -> tuple[float, float]:
    """The wait between two steps: as the table says, or as its kind has it; a switched-off pump has no shortest."""
    if "wait" not in told:
        return float(told.get("least", 0.0)), float(told.get("most", INFINITE))
    wait = told["wait"]
    kind = kind_of("rinse_soak" if wait in ("rinse", "neutralise", "acid") else wait, wait, None, scene.waits)
    least = 0.0 if wait == "pump_off" else kind.default or kind.shortest
    return least, kind.longest if kind.longest is not None else INFINITE


def _jobs(scene: Scene) -> Sequence[str]:
    """Jobs that are a step of their own: those that more than one step stands for are in the table."""
    words = table("visit_steps")["words"]
    several = {word for key in ("animals", "tools", "acid") for word in words[key]}
    own = [job for job in scene.jobs if not several & set(job.casefold().split())]
    return () if "jobs" in scene.left_out else own


def _job(scene: Scene, job: str, names: Collection[str], done: Mapping[str, float]) -> Step:
    told = table("visit_steps")["job"]
    links = [link for step in told["after"] if (link := _link(scene, {"step": step}, names, done))]
    return Step(job, round(told["minutes"] * scene.factor, 1), tuple(links))


def _last(scene: Scene, steps: Sequence[Step]) -> list[Step]:
    """What comes after all others."""
    rows = [row for row in table("visit_steps")["steps"] if row.get("last")]
    return [
        Step(row["name"], round(row["minutes"] * scene.factor, 1), tuple(Link(s.name) for s in steps)) for row in rows
    ]


def _courses(names: Collection[str], done: Mapping[str, float]) -> tuple[Course, ...]:
    """The chemicals that stand open, from now on where they were poured before."""
    found = (c for c in table("visit_steps")["courses"] if c["last"] in names)
    return tuple(
        Course(c["first"] if c["first"] in names else NOW, c["last"], c["chemical"])
        for c in found
        if c["first"] in names or c["first"] in done
    )


def _usual_min(visit: Visit) -> float | None:
    """The steps as they stand in the table, hands idle through every wait that comes between."""
    try:
        return usual_plan(visit, [step.name for step in visit.steps]).out_min
    except Impossible:
        return None
