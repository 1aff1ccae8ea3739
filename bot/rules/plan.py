"""The order of a visit that brings the technician out of the door earliest: exact, waits overlapping, limits kept.

Every step takes hands; a link says that one step may start no sooner, and perhaps no later, than so many minutes after
another has ended. That is a wait: nobody's hands are needed for it. Chemicals that must never meet (bleach and acid)
keep their whole courses apart in time.

The search appends one step at a time in order of start. For the steps placed so far the earliest starts that keep every
limit are the longest paths of a system of differences; a branch is left when even the sum of the hands still needed, or
the longest chain still to come, cannot beat the best order found.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from heapq import heappop, heappush

INFINITE = float("inf")


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
    """The time from the start of `first` to the end of `last`, in which `chemical` stands open."""

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

    @cached_property
    def ordered(self) -> list[Step]:
        """The steps so that each comes after those that it is linked to."""
        return _in_order(self.steps)

    @cached_property
    def tail_min(self) -> dict[str, float]:
        """The shortest time from the start of a step to the end of all that must follow it."""
        tails: dict[str, float] = {}
        for step in reversed(self.ordered):
            later = [
                link.least_min + tails[other.name]
                for other in self.steps
                for link in other.after
                if link.step == step.name
            ]
            tails[step.name] = step.minutes + max(later, default=0.0)
        return tails


@dataclass(frozen=True)
class Plan:
    """When each step starts, in minutes from now; `out_min` is when the last has ended."""

    starts_min: Mapping[str, float]
    out_min: float

    @property
    def order(self) -> list[str]:
        """The steps by their start."""
        return sorted(self.starts_min, key=lambda name: self.starts_min[name])


class Impossible(Exception):
    """No order keeps every limit."""


def best_plan(visit: Visit) -> Plan:
    """The plan with the earliest door; Impossible where the limits contradict each other.

    Exact for any number of steps; meant for a dozen, and as many people as `visit.hands`.
    """
    search = _Search(visit)
    search.extend(_Placed())
    if search.best is None:
        raise Impossible("no order of these steps keeps every longest time")
    return search.best


def usual_plan(visit: Visit, order: Sequence[str]) -> Plan:
    """What comes of doing the steps in the given order, each as early as its limits allow; Impossible where it cannot."""
    placed = _Placed(tuple((name, 0) for name in order))
    starts = _earliest(visit, placed)
    if starts is None:
        raise Impossible("this order breaks a longest time")
    return _plan(visit, starts)


@dataclass(frozen=True)
class _Placed:
    """Steps in the order of their start, each with whose hands do it."""

    sequence: tuple[tuple[str, int], ...] = ()

    @cached_property
    def names(self) -> frozenset[str]:
        return frozenset(name for name, _ in self.sequence)


@dataclass(frozen=True)
class _State:
    """What the placed steps leave to the rest: when hands are free, what is ready when, and until when."""

    free: tuple[float, ...]
    ready: tuple[float, ...]
    latest: tuple[float, ...]

    def is_no_worse_than(self, other: _State) -> bool:
        """Whether this beginning, perhaps shifted later as a whole, leaves all the room that `other` leaves."""
        early = zip(self.free + self.ready, other.free + other.ready, strict=True)
        upper = min((theirs - mine for mine, theirs in early), default=0.0)
        late = ((mine, theirs) for mine, theirs in zip(self.latest, other.latest, strict=True) if theirs < INFINITE)
        lower = max((theirs - mine for mine, theirs in late), default=0.0)
        return max(lower, 0.0) <= upper + 1e-9


@dataclass
class _Search:
    visit: Visit
    best: Plan | None = None
    seen: dict[frozenset[str], list[_State]] = field(default_factory=dict)

    def extend(self, placed: _Placed) -> None:
        starts = _earliest(self.visit, placed)
        if starts is None or self._hopeless(placed, starts) or self._known(placed, starts):
            return
        if len(placed.sequence) == len(self.visit.steps):
            plan = _plan(self.visit, starts)
            if self.best is None or plan.out_min < self.best.out_min - 1e-9:
                self.best = plan
            return
        for following in self._next(placed, starts):
            self.extend(following)

    def _next(self, placed: _Placed, starts: Mapping[str, float]) -> Iterator[_Placed]:
        """Each step whose links are met, by whoever is free; the most pressing first."""
        ready = [
            s for s in self.visit.steps if s.name not in placed.names and all(k.step in placed.names for k in s.after)
        ]
        used = len({hand for _, hand in placed.sequence})
        heads = _heads(self.visit, placed, starts)
        for step in sorted(ready, key=lambda s: (heads[s.name] - self.visit.tail_min[s.name], s.name)):
            for hand in range(min(self.visit.hands, used + 1)):
                yield _Placed((*placed.sequence, (step.name, hand)))

    def _hopeless(self, placed: _Placed, starts: Mapping[str, float]) -> bool:
        """Whether nothing that begins like this can beat the best plan found."""
        if self.best is None:
            return False
        heads = _heads(self.visit, placed, starts)
        ends = [start + self.visit.by_name[name].minutes for name, start in starts.items()]
        bound = max([_shortest_rest(self.visit, heads), *ends])
        return bound >= self.best.out_min - 1e-9

    def _known(self, placed: _Placed, starts: Mapping[str, float]) -> bool:
        """Whether the same steps were placed before with as much room left: then this way cannot end earlier."""
        state = _state(self.visit, placed, starts)
        others = self.seen.setdefault(placed.names, [])
        if any(other.is_no_worse_than(state) for other in others):
            return True
        others[:] = [other for other in others if not state.is_no_worse_than(other)]
        others.append(state)
        return False


def _state(visit: Visit, placed: _Placed, starts: Mapping[str, float]) -> _State:
    free = _free(visit, placed, starts)
    ready, latest = [], []
    for step in (s for s in visit.steps if s.name not in starts):
        for link in (k for k in step.after if k.step in starts):
            end = starts[link.step] + visit.by_name[link.step].minutes
            ready.append(max(end + link.least_min, free[0]))
            latest.append(end + link.most_min)
    over = [starts[c.last] + visit.by_name[c.last].minutes for c in visit.courses if c.last in starts]
    return _State(
        (*free, max(starts.values(), default=0.0)), (*ready, *(max(end, free[0]) for end in over)), tuple(latest)
    )


def _free(visit: Visit, placed: _Placed, starts: Mapping[str, float]) -> list[float]:
    """When each pair of hands is free, the first one first."""
    ends = sorted(starts[n] + visit.by_name[n].minutes for n in _last_of_each(placed))
    return [0.0] * (visit.hands - len(ends)) + ends


def _heads(visit: Visit, placed: _Placed, starts: Mapping[str, float]) -> dict[str, float]:
    """The earliest that each step still to come could start, were hands never short."""
    free = _free(visit, placed, starts)[0]
    heads: dict[str, float] = {}
    for step in (s for s in visit.ordered if s.name not in starts):
        links = [
            (starts.get(k.step, heads.get(k.step, 0.0)) + visit.by_name[k.step].minutes + k.least_min)
            for k in step.after
        ]
        heads[step.name] = max([free, *links])
    return heads


def _shortest_rest(visit: Visit, heads: Mapping[str, float]) -> float:
    """No end can be earlier: the hands' work shared out, begun as steps become possible, and broken off at will.

    With one pair of hands this is Jackson's preemptive schedule, the longest tail first (Carlier 1982, European Journal
    of Operational Research 11, 42-47); with more, the work is divided evenly.
    """
    if not heads:
        return 0.0
    if visit.hands > 1:
        work = sum(visit.by_name[n].minutes for n in heads) / visit.hands
        return max([min(heads.values()) + work, *(h + visit.tail_min[n] for n, h in heads.items())])
    return _preemptive(sorted((h, visit.by_name[n].minutes, visit.tail_min[n]) for n, h in heads.items()))


def _preemptive(jobs: Sequence[tuple[float, float, float]]) -> float:
    """The latest of end plus tail when the job with the longest tail is always the one in hand."""
    now, end, place = 0.0, 0.0, 0
    waiting: list[tuple[float, float]] = []
    while waiting or place < len(jobs):
        now = max(now, jobs[place][0]) if not waiting else now
        while place < len(jobs) and jobs[place][0] <= now + 1e-9:
            heappush(waiting, (jobs[place][1] - jobs[place][2], jobs[place][1]))
            place += 1
        minus_tail, left = heappop(waiting)
        spent = min(left, (jobs[place][0] if place < len(jobs) else INFINITE) - now)
        now += spent
        if spent < left - 1e-9:
            heappush(waiting, (minus_tail, left - spent))
        else:
            end = max(end, now - minus_tail)
    return end


def _last_of_each(placed: _Placed) -> list[str]:
    last: dict[int, str] = {hand: name for name, hand in placed.sequence}
    return list(last.values())


def _earliest(visit: Visit, placed: _Placed) -> dict[str, float] | None:
    """The earliest start of every placed step that keeps all limits between them; None where none can."""
    starts = {name: 0.0 for name, _ in placed.sequence}
    arcs = list(_arcs(visit, placed))
    for _ in range(len(starts) + 1):
        moved = False
        for before, after, gap in arcs:
            if starts[before] + gap > starts[after] + 1e-9:
                starts[after] = starts[before] + gap
                moved = True
        if not moved:
            return starts
    return None


def _arcs(visit: Visit, placed: _Placed) -> Iterator[tuple[str, str, float]]:
    """(a, b, gap): b starts at least `gap` minutes after a starts."""
    last: dict[int, str] = {}
    previous = ""
    for name, hand in placed.sequence:
        if previous:
            yield previous, name, 0.0
        if hand in last:
            yield last[hand], name, visit.by_name[last[hand]].minutes
        last[hand], previous = name, name
    for name in placed.names:
        for link in visit.by_name[name].after:
            if link.step in placed.names:
                minutes = visit.by_name[link.step].minutes
                yield link.step, name, minutes + link.least_min
                if link.most_min < INFINITE:
                    yield name, link.step, -(minutes + link.most_min)
    yield from _kept_apart(visit, placed)


def _kept_apart(visit: Visit, placed: _Placed) -> Iterator[tuple[str, str, float]]:
    """Of two courses whose chemicals must not meet, the one begun first is over before the other begins."""
    place = {name: i for i, (name, _) in enumerate(placed.sequence)}
    for one in visit.courses:
        for other in visit.courses:
            begun = one.first in place and other.first in place and place[one.first] < place[other.first]
            if begun and frozenset((one.chemical, other.chemical)) in visit.apart:
                if one.last in place and place[one.last] < place[other.first]:
                    yield one.last, other.first, visit.by_name[one.last].minutes
                else:  # it would still stand open: a contradiction on purpose
                    yield other.first, other.first, 1.0


def _plan(visit: Visit, starts: Mapping[str, float]) -> Plan:
    out = max((start + visit.by_name[name].minutes for name, start in starts.items()), default=0.0)
    return Plan(dict(starts), out)


def _in_order(steps: Sequence[Step]) -> list[Step]:
    """The steps so that each comes after those that it is linked to; Impossible for a circle or an unknown name."""
    names, done, ordered = {s.name for s in steps}, set[str](), list[Step]()
    left = list(steps)
    while left:
        ready = [s for s in left if all(k.step in done for k in s.after)]
        if not ready or any(k.step not in names for s in left for k in s.after):
            raise Impossible("the steps wait for each other in a circle, or for a step that is not there")
        ordered += ready
        done |= {s.name for s in ready}
        left = [s for s in left if s.name not in done]
    return ordered
