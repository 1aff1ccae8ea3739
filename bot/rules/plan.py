"""The order of a visit that brings the technician out of the door earliest: exact, waits overlapping, limits kept.

Every step takes hands; a link says that one step may start no sooner, and perhaps no later, than so many minutes after
another has ended. That is a wait: nobody's hands are needed for it. Chemicals that must never meet (bleach and acid)
keep their whole courses apart in time.

The search is branch and bound over minimal conflicts (Bartusch, Moehring and Radermacher 1988, Annals of Operations
Research 16, 201-240; De Reyck and Herroelen 1998, European Journal of Operational Research 111, 152-174): all steps
start as early as the links allow; where more of them are in hand at one moment than there are hands, one must wait for
another, and each such choice is a branch. What an order implies is kept as a table of longest paths.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from heapq import heappop, heappush
from itertools import combinations, pairwise

INFINITE = float("inf")
NOW = ""
"""The step that a link or a course names where it counts from the present: what was begun before."""


@dataclass(frozen=True)
class Link:
    """`step` must have ended at least `least_min`, and at most `most_min`, before this one starts."""

    step: str
    least_min: float = 0.0
    most_min: float = INFINITE


@dataclass(frozen=True)
class Step:
    """Something that takes hands for `minutes`, after the steps that it is linked to."""

    name: str
    minutes: float
    after: tuple[Link, ...] = ()


@dataclass(frozen=True)
class Course:
    """The time from the start of `first` (NOW: it stands open already) to the end of `last`, with `chemical` open."""

    first: str
    last: str
    chemical: str


@dataclass(frozen=True)
class Visit:
    """What is to be done. `apart`: pairs of chemicals whose courses must not overlap; `hands`: how many people."""

    steps: tuple[Step, ...]
    courses: tuple[Course, ...] = ()
    apart: tuple[frozenset[str], ...] = ()
    hands: int = 1

    @cached_property
    def by_name(self) -> dict[str, Step]:
        """The steps by their names."""
        return {step.name: step for step in self.steps}


@dataclass(frozen=True)
class Plan:
    """When each step starts, in minutes from now; `out_min` is when the last has ended.

    proved  no order at all has an earlier door; False where the search was cut off
    """

    starts_min: Mapping[str, float]
    out_min: float
    proved: bool = True

    @property
    def order(self) -> list[str]:
        """The steps by their start."""
        return sorted(self.starts_min, key=lambda name: self.starts_min[name])


class Impossible(Exception):
    """No order keeps every limit."""


def best_plan(visit: Visit, most_tries: float = INFINITE) -> Plan:
    """The plan with the earliest door; Impossible where the limits contradict each other.

    Exact for any number of steps; meant for a dozen, and as many people as `visit.hands`. For many more, `most_tries`
    bounds the search: the best plan found by then keeps every limit, but is not proved to be the best of all.
    """
    search = _Search(visit, most_tries)
    search.branch(_links_alone(visit))
    if search.best is None:
        raise Impossible("no order of these steps keeps every longest time")
    return replace(search.best, proved=search.tries <= most_tries)


def usual_plan(visit: Visit, order: Sequence[str]) -> Plan:
    """What comes of the steps in the given order, each as early as its limits allow; Impossible where it cannot."""
    gaps: _Gaps | None = _links_alone(visit)
    places = _places(visit)
    for before, after in pairwise(order):
        gaps = gaps and _with(gaps, places[before], places[after], visit.by_name[before].minutes)
    if gaps is None or next(_clashes(visit, gaps), None) is not None:
        raise Impossible("this order breaks a limit")
    return _plan(visit, gaps)


# gaps[a][b]: step b starts at least so many minutes after step a starts; 0 stands for now, steps count from 1.
_Gaps = list[list[float]]
# One way out of a conflict: the step before, the step after, the minutes between their starts at the least.
_Choice = tuple[int, int, float]


@dataclass
class _Search:
    visit: Visit
    most_tries: float = INFINITE
    tries: int = 0
    best: Plan | None = None
    seen: set[tuple[float, ...]] = field(default_factory=set)

    def branch(self, gaps: _Gaps | None) -> None:
        self.tries += 1
        if self.best and self.tries > self.most_tries:
            return
        gaps = self._implied(gaps)
        if gaps is None or self._seen(gaps) or self._hopeless(gaps):
            return
        clashes = [self._ways(gaps, choices) for choices in _clashes(self.visit, gaps)]
        if not clashes:
            self.best = _plan(self.visit, gaps)
            return
        for _, way in max(clashes, key=_narrowness):
            self.branch(way)

    def _ways(self, gaps: _Gaps, choices: Sequence[_Choice]) -> list[tuple[float, _Gaps]]:
        """The ways out of a conflict with the earliest door that each leaves, the most promising first."""
        ways = [way for choice in choices if (way := _with(gaps, *choice)) is not None]
        return sorted(((_bound(self.visit, way), way) for way in ways), key=lambda pair: pair[0])

    def _seen(self, gaps: _Gaps) -> bool:
        """Whether the same order was met before by other choices."""
        state = tuple(gap for row in gaps for gap in row)
        known = state in self.seen
        self.seen.add(state)
        return known

    def _hopeless(self, gaps: _Gaps) -> bool:
        return self.best is not None and _bound(self.visit, gaps) >= self.best.out_min - 1e-9

    def _implied(self, gaps: _Gaps | None) -> _Gaps | None:
        """The order that follows of itself where there is one pair of hands: of two steps of which one cannot come
        first, or not without a later door than the best one, the other does.
        """
        moved = self.visit.hands == 1
        while gaps is not None and moved:
            choice = next(self._forced(gaps), None)
            moved = choice is not None
            gaps = _with(gaps, *choice) if choice else gaps
        return gaps

    def _forced(self, gaps: _Gaps) -> Iterator[_Choice]:
        minutes, tails = _minutes(self.visit), _tails(self.visit, gaps)
        door = self.best.out_min - 1e-9 if self.best else INFINITE
        for a in range(1, len(gaps)):
            for b in range(1, len(gaps)):
                if a == b or gaps[b][a] >= minutes[b] or gaps[a][b] >= minutes[a]:
                    continue
                too_late = gaps[0][a] + minutes[a] + tails[b] >= door
                if gaps[b][a] + minutes[a] > 1e-9 or too_late:
                    yield b, a, minutes[b]


def _narrowness(ways: list[tuple[float, _Gaps]]) -> tuple[float, float]:
    """How much a conflict decides: none of its ways is early, and there are few."""
    return (ways[0][0], -len(ways)) if ways else (INFINITE, 0)


def _links_alone(visit: Visit) -> _Gaps:
    """The gaps that the links ask for, whatever the order; Impossible where they contradict each other."""
    size = len(visit.steps) + 1
    gaps: _Gaps | None = [[0.0 if a in (0, b) else -INFINITE for b in range(size)] for a in range(size)]
    places, lengths = _places(visit), _minutes(visit)
    for step in visit.steps:
        for link in step.after:
            if link.step not in places:
                raise Impossible(f"{step.name} waits for {link.step}, which is not among the steps")
            before, after = places[link.step], places[step.name]
            minutes = lengths[before]
            gaps = gaps and _with(gaps, before, after, minutes + link.least_min)
            if link.most_min < INFINITE:
                gaps = gaps and _with(gaps, after, before, -(minutes + link.most_min))
    if gaps is None:
        raise Impossible("the limits between the steps contradict each other")
    return gaps


def _with(gaps: _Gaps, before: int, after: int, least_min: float) -> _Gaps | None:
    """The gaps when `after` starts at least so long after `before`; None where that cannot be."""
    if gaps[after][before] + least_min > 1e-9:
        return None
    if gaps[before][after] >= least_min:
        return gaps
    onward = gaps[after]
    return [
        [max(gap, row[before] + least_min + further) for gap, further in zip(row, onward, strict=True)]
        if row[before] > -INFINITE
        else row
        for row in gaps
    ]


def _clashes(visit: Visit, gaps: _Gaps) -> Iterator[list[_Choice]]:
    """What cannot be when all steps start as early as they may: the ways out of each conflict."""
    starts, minutes = gaps[0], _minutes(visit)
    for moment in sorted(set(starts[1:])):
        busy = [s for s in range(1, len(starts)) if starts[s] <= moment + 1e-9 < starts[s] + minutes[s] - 1e-9]
        for crowd in combinations(busy, visit.hands + 1):
            yield [(a, b, minutes[a]) for a in crowd for b in crowd if a != b]
    places = _places(visit)
    spans = [(c.chemical, places[c.first], places[c.last]) for c in visit.courses]
    for (one, first, last), (other, first_2, last_2) in combinations(spans, 2):
        over, over_2 = starts[last] + minutes[last], starts[last_2] + minutes[last_2]
        if frozenset((one, other)) in visit.apart and starts[first] < over_2 - 1e-9 and starts[first_2] < over - 1e-9:
            yield [(last, first_2, minutes[last]), (last_2, first, minutes[last_2])]


def _bound(visit: Visit, gaps: _Gaps) -> float:
    """No door can be earlier than this: the longest chain, and the hands' work begun as steps become possible.

    With one pair of hands the work is Jackson's preemptive schedule, the longest tail first (Carlier 1982, European
    Journal of Operational Research 11, 42-47); with more it is divided evenly.
    """
    minutes, tails, heads = _minutes(visit), _tails(visit, gaps), gaps[0]
    chain = max((heads[s] + tails[s] for s in range(1, len(heads))), default=0.0)
    if visit.hands > 1:
        return max(chain, sum(minutes) / visit.hands)
    return max(chain, _preemptive(sorted((heads[s], minutes[s], tails[s]) for s in range(1, len(heads)))))


def _preemptive(jobs: Sequence[tuple[float, float, float]]) -> float:
    """The latest end of all when the job with the longest tail is always the one in hand: (head, minutes, tail)."""
    now, end, place = 0.0, 0.0, 0
    waiting: list[tuple[float, float]] = []
    while waiting or place < len(jobs):
        now = max(now, jobs[place][0]) if not waiting else now
        while place < len(jobs) and jobs[place][0] <= now + 1e-9:
            heappush(waiting, (jobs[place][1] - jobs[place][2], jobs[place][1]))
            place += 1
        minus_rest, left = heappop(waiting)
        spent = min(left, (jobs[place][0] if place < len(jobs) else INFINITE) - now)
        now += spent
        if spent < left - 1e-9:
            heappush(waiting, (minus_rest, left - spent))
        else:
            end = max(end, now - minus_rest)
    return end


def _places(visit: Visit) -> dict[str, int]:
    """Where each step stands in the table of gaps."""
    return {NOW: 0} | {step.name: i for i, step in enumerate(visit.steps, start=1)}


def _minutes(visit: Visit) -> list[float]:
    return [0.0, *(step.minutes for step in visit.steps)]


def _tails(visit: Visit, gaps: _Gaps) -> list[float]:
    """From the start of each step to the end of all that must follow it, at the least."""
    minutes = _minutes(visit)
    return [max(gap + m for gap, m in zip(row, minutes, strict=True)) for row in gaps]


def _plan(visit: Visit, gaps: _Gaps) -> Plan:
    starts = {step.name: gaps[0][i] for i, step in enumerate(visit.steps, start=1)}
    return Plan(starts, max((starts[s.name] + s.minutes for s in visit.steps), default=0.0))
