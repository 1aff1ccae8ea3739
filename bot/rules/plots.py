"""What a plot shows of a test: every reading in the tank's usual unit, what is usual there, and its limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from bot.facts.load import table
from bot.items import Reading
from bot.rules.ranges import range_for
from bot.rules.scales import as_read, middle
from bot.rules.usual import Seen
from bot.team import Tank


@dataclass(frozen=True)
class Point:
    """A reading on the plot; `edge` -1 and 1 where it said "below" and "above" that value."""

    at: datetime
    value: float
    confirmed: bool = True
    edge: int = 0


@dataclass(frozen=True)
class Row:
    """A test over time, oldest first. `usual` is the middle eight tenths of its readings, `limits` what the tank should
    keep; both None where not known. Never two units in one row.
    """

    parameter: str
    unit: str
    points: tuple[Point, ...]
    usual: tuple[float, float] | None = None
    limits: tuple[float | None, float | None] = (None, None)

    @property
    def last(self) -> Point:
        """The newest reading that somebody stands by, else the newest."""
        sure = [p for p in self.points if p.confirmed]
        return (sure or self.points)[-1]


@dataclass(frozen=True)
class Strip:
    """The rows of a tank over one span, with the moments of water changes and doses."""

    tank: str
    since: datetime
    until: datetime
    rows: tuple[Row, ...]
    changes: tuple[datetime, ...] = ()
    doses: tuple[datetime, ...] = ()


def row(tank: Tank, parameter: str, seen: Sequence[Seen]) -> Row | None:
    """The row of a test in the unit in which it was last confirmed; None without a reading that can be compared."""
    known = sorted((s for s in seen if middle(s.reading) is not None), key=lambda s: s.at)
    if not known:
        return None
    sure = [s for s in known if not s.reading.unconfirmed]
    like = (sure or known)[-1].reading
    points = tuple(_point(s, like) for s in known)
    limits = range_for(tank, parameter)
    ends = (limits.low, limits.high) if limits else (None, None)
    shown = tuple(None if end is None else _as(like, end) for end in ends)
    return Row(parameter, like.unit, points, usual([p.value for p in points if p.confirmed]), (shown[0], shown[1]))


def usual(values: Sequence[float]) -> tuple[float, float] | None:
    """Between which two values eight of ten readings lie; None for fewer than are needed to say so."""
    rule = table("plots")["usual"]
    if len(values) < rule["least"]["value"]:
        return None
    aside = (1 - rule["share"]["value"] / 100) / 2
    return _quantile(sorted(values), aside), _quantile(sorted(values), 1 - aside)


def span(row: Row) -> tuple[float, float]:
    """The lowest and highest value that its picture must hold: every reading and what is usual, with a little room."""
    values = [p.value for p in row.points] + list(row.usual or ())
    low, high = min(values), max(values)
    near = [end for end in row.limits if end is not None and low - (high - low) <= end <= high + (high - low)]
    low, high = min([low, *near]), max([high, *near])
    room = (high - low) * 0.08 or abs(high) * 0.02 or 1.0
    return low - room, high + room


def _point(seen: Seen, like: Reading) -> Point:
    reading = seen.reading
    edge = reading.above - reading.below
    value = _as(like, middle(reading) or 0.0)
    return Point(seen.at, value, not reading.unconfirmed, edge)


def _as(like: Reading, value: float) -> float:
    return as_read(like.parameter, value, like.unit, like.basis)


def _quantile(ordered: Sequence[float], share: float) -> float:
    """The value at a share of the way, between two readings in proportion."""
    place = share * (len(ordered) - 1)
    low = int(place)
    high = min(low + 1, len(ordered) - 1)
    return ordered[low] + (ordered[high] - ordered[low]) * (place - low)
