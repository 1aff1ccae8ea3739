"""The planner against an independent exact solver (OR-Tools CP-SAT) on random visits of 8 to 12 steps, and against the
usual order: same optimum, milliseconds, minutes gained.

    python -m tests.bench.bench_plan [VISITS]          needs the extra `bench`
"""

from __future__ import annotations

import sys
import time
from random import Random
from statistics import median

from bot.rules.plan import INFINITE, Impossible, Visit, best_plan, usual_plan
from tests.rules.visits import random_visit


def main(visits: int) -> int:
    """Plans every visit both ways; 1 where the two disagree on any."""
    random, ours_s, theirs_s, gained, plans, differ = Random(1), [], [], [], [], 0
    for _ in range(visits):
        visit = random_visit(random.randint(8, 12), random)
        ours, spent = _timed(_ours, visit)
        ours_s.append(spent)
        plans.append(ours)
        theirs, spent = _timed(_theirs, visit)
        theirs_s.append(spent)
        differ += ours != theirs
        usual = _usual(visit)
        gained += [usual - ours] if ours is not None and usual is not None else []
    solved = sum(plan is not None for plan in plans)
    print(f"{visits} visits of 8 to 12 steps, {solved} of them possible: {differ} differ")
    for name, times in (("ours", ours_s), ("CP-SAT", theirs_s)):
        shown = [f"{what} {value * 1e3:.1f} ms" for what, value in _spread(times)]
        print(f"  {name:<7} {'   '.join(shown)}")
    print(f"  ratio of medians, ours to CP-SAT: {median(ours_s) / median(theirs_s):.2f}")
    print(f"  usual order possible {len(gained)} times: median {median(gained):.0f} min gained, most {max(gained):.0f}")
    return int(differ > 0)


def _ours(visit: Visit) -> float | None:
    try:
        return round(best_plan(visit).out_min, 3)
    except Impossible:
        return None


def _usual(visit: Visit) -> float | None:
    """The steps in the order in which they stand, hands idle through every wait that comes between."""
    try:
        return usual_plan(visit, [s.name for s in visit.steps]).out_min
    except Impossible:
        return None


def _theirs(visit: Visit) -> float | None:
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    horizon = int(sum(s.minutes for s in visit.steps) + sum(k.least_min for s in visit.steps for k in s.after)) + 60
    start = {s.name: model.new_int_var(0, horizon, s.name) for s in visit.steps}
    minutes = {s.name: int(s.minutes) for s in visit.steps}
    spans = [model.new_interval_var(start[n], minutes[n], start[n] + minutes[n], f"i{n}") for n in start]
    model.add_no_overlap(spans)
    for step in visit.steps:
        for link in step.after:
            gap = start[step.name] - start[link.step] - minutes[link.step]
            model.add(gap >= int(link.least_min))
            if link.most_min < INFINITE:
                model.add(gap <= int(link.most_min))
    for i, a in enumerate(visit.courses):
        for b in visit.courses[i + 1 :]:
            if frozenset((a.chemical, b.chemical)) in visit.apart:
                first = model.new_bool_var("")
                model.add(start[a.last] + minutes[a.last] <= start[b.first]).only_enforce_if(first)
                model.add(start[b.last] + minutes[b.last] <= start[a.first]).only_enforce_if(first.negated())
    door = model.new_int_var(0, horizon, "door")
    model.add_max_equality(door, [start[n] + minutes[n] for n in start])
    model.minimize(door)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    return round(solver.objective_value, 3) if solver.solve(model) == cp_model.OPTIMAL else None


def _timed(work, visit: Visit):  # type: ignore[no-untyped-def]
    began = time.perf_counter()
    return work(visit), time.perf_counter() - began


def _spread(times: list[float]) -> list[tuple[str, float]]:
    last = len(times) - 1
    return [("median", median(times)), ("p99", sorted(times)[int(0.99 * last)]), ("max", max(times))]


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if sys.argv[1:] else 1000))
