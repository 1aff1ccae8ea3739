"""What is judged and what comes of it: the reading with its tank and record on one side, verdicts on the other.

Everything is compared on the parameter's own scale (scales.py).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from bot.items import Reading
from bot.rules.scales import middle, worse_ends
from bot.rules.usual import Done, Seen, visits
from bot.team import Tank

RANKS = (
    "poison", "free_ammonia", "off_chart", "alarm", "chloride", "unlike", "fast", "unknown_share", "unmixed", "outside",
    "leaving", "run", "flat",
)  # fmt: skip

# The other tests that a test is judged with.
BESIDE: Mapping[str, tuple[str, ...]] = {"ammonia": ("ph", "temperature", "salinity"), "nitrite": ("chloride",)}


@dataclass(frozen=True)
class Verdict:
    """One thing to say about a reading. The lower its rank, the sooner hands must move; `data` is for the wording, its
    numbers on the parameter's scale; `unit` and `basis` are those in which this tank is usually read.

    poison          chlorine, or copper where invertebrates live                   value
    free_ammonia    un-ionised ammonia at or above the level of care               free, limit, harm, harmful
    off_chart       more than the kit can show
    unknown_share   ammonia there, but no pH or temperature to judge it by         missing
    alarm           beyond the limits at which something must be done              value, limit, side
    chloride        nitrite in fresh water with too little chloride, or unknown    value, chloride, wanted
    unlike          possible, but not this tank: keep it unconfirmed and ask       value, low, high, meant
    fast            moved faster than the tank's pace                              was, value, days, most, own
    unmixed         read too soon after a dose or a change                         done, minutes, wait
    outside         outside the wanted range                                       value, limit, side, own
    leaving         a steady drift that will leave the range                       limit, side, likely, soonest, latest
    run             the same way at three visits in a row, away from the middle    values, side
    flat            nought at every visit, where a living tank shows something     visits
    """

    kind: str
    rank: int
    parameter: str
    unit: str
    basis: str | None = None
    data: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Record:
    """What is known beside the reading: `seen` by parameter, newest first, confirmed ones only and without the reading
    itself, but with the others of the same message; `done` are the tank's events of the last weeks, in any order.
    """

    seen: Mapping[str, Sequence[Seen]] = field(default_factory=dict)
    done: Sequence[Done] = ()

    def of(self, parameter: str) -> Sequence[Seen]:
        """The readings of a parameter, newest first."""
        return self.seen.get(parameter, ())

    def before(self, parameter: str, at: datetime) -> list[Seen]:
        """Those from before that moment."""
        return [seen for seen in self.of(parameter) if seen.at < at]

    def near(self, parameter: str, at: datetime, hours: float) -> Seen | None:
        """The one nearest to that moment, if near enough."""
        span = timedelta(hours=hours)
        close = [seen for seen in self.of(parameter) if abs(seen.at - at) <= span]
        return min(close, key=lambda seen: abs(seen.at - at), default=None)


@dataclass(frozen=True)
class Case:
    """A reading on its way through the checks: what it says, when, in which tank, and what is known beside it."""

    reading: Reading
    at: datetime
    tank: Tank
    record: Record

    @property
    def parameter(self) -> str:
        return self.reading.parameter

    @property
    def value(self) -> float:
        found = middle(self.reading)
        assert found is not None
        return found

    @property
    def ends(self) -> tuple[float, float]:
        found = worse_ends(self.reading)
        assert found is not None
        return found

    @property
    def past(self) -> list[Seen]:
        return self.record.before(self.parameter, self.at)

    @property
    def earlier_visits(self) -> list[Seen]:
        """One reading a visit, this one first."""
        return visits([Seen(self.at, self.reading), *self.past])

    def verdict(self, kind: str, **data: Any) -> Verdict:
        like = next((seen.reading for seen in self.past), self.reading)
        return Verdict(kind, RANKS.index(kind), self.parameter, like.unit, like.basis, data)
