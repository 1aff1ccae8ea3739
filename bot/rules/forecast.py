"""What new water the days ahead need, what is ready for it, and what must be mixed by when so that it has rested."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from statistics import median


@dataclass(frozen=True)
class Draw:
    """What a tank is expected to take on a day, litres of salt or fresh water. `assumed`: it has no past."""

    day: date
    tank: str
    kind: str
    litres: float
    assumed: bool = False


@dataclass(frozen=True)
class Ready:
    """Water that stands in a vat: ready from `since` on, and until `until`; `number` tells it from others."""

    kind: str
    litres: float
    since: datetime
    until: datetime
    number: int = 0


@dataclass(frozen=True)
class Rest:
    """How long new water of a kind rests, hours: as the team does it, and at the shortest; more is mixed by `reserve`
    of the need, in steps of `step_L`.
    """

    usual_h: float
    shortest_h: float
    reserve: float
    step_L: float


@dataclass(frozen=True)
class Day:
    """A day's water of one kind: what it needs and what is ready, what to mix, by when, and how long that rests.

    `by` None: it is too late even for the shortest rest.
    """

    day: date
    kind: str
    need_L: float
    ready_L: float
    mix_L: float = 0.0
    by: datetime | None = None
    rests_h: float = 0.0
    tanks: int = 0
    assumed: int = 0

    @property
    def is_short(self) -> bool:
        """Whether something must be mixed for it."""
        return self.mix_L > 0


def usual_L(past: Sequence[float]) -> float | None:
    """What a tank usually takes: the middle of its last changes; None without any."""
    return float(median(past)) if past else None


def days(
    draws: Sequence[Draw], ready: Sequence[Ready], starts: Mapping[date, datetime], rests: Mapping[str, Rest],
    now: datetime,
) -> list[Day]:  # fmt: skip
    """Each day with a need, in order: earlier days take first, what is mixed for one is gone with it.

    starts   when the vans are loaded on each day
    rests    by kind of water
    """
    found: list[Day] = []
    for kind in sorted({d.kind for d in draws}, reverse=True):
        found += _of_kind(kind, [d for d in draws if d.kind == kind], ready, starts, rests[kind], now)
    return sorted(found, key=lambda d: d.day)


def _of_kind(
    kind: str, draws: Sequence[Draw], ready: Sequence[Ready], starts: Mapping[date, datetime], rest: Rest,
    now: datetime,
) -> list[Day]:  # fmt: skip
    left = {r: r.litres for r in ready if r.kind == kind}
    found = []
    for day in sorted({d.day for d in draws}):
        today = [d for d in draws if d.day == day]
        need, start = sum(d.litres for d in today), starts[day]
        fitting = sorted((r for r in left if r.since <= start < r.until), key=lambda r: r.since)
        have = sum(left[r] for r in fitting)
        known = Day(day, kind, need, have, tanks=len(today), assumed=sum(d.assumed for d in today))
        found.append(_short(known, start, rest, now) if have < need * _ENOUGH else known)
        _take(left, fitting, need)
    return found


def _short(known: Day, start: datetime, rest: Rest, now: datetime) -> Day:
    missing = known.need_L - known.ready_L + known.need_L * rest.reserve
    mix = -(-missing // rest.step_L) * rest.step_L
    for hours in (rest.usual_h, rest.shortest_h):
        by = start - timedelta(hours=hours)
        if by >= now:
            return Day(known.day, known.kind, known.need_L, known.ready_L, mix, by, hours, known.tanks, known.assumed)
    return Day(known.day, known.kind, known.need_L, known.ready_L, mix, None, 0.0, known.tanks, known.assumed)


def _take(left: dict[Ready, float], fitting: Sequence[Ready], need: float) -> None:
    """The oldest water is drawn first."""
    for each in fitting:
        taken = min(left[each], need)
        left[each], need = left[each] - taken, need - taken


_ENOUGH = 0.995
