"""A robust line through the visits of a tank: how fast a value drifts, how sure that is, when it leaves its range."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import median


@dataclass(frozen=True)
class Trend:
    """A line through readings: `slope` a day with its confidence limits, and the `level` at the last of them."""

    slope: float
    least: float
    most: float
    level: float

    @property
    def is_sure(self) -> bool:
        """Whether both limits point the same way."""
        return self.least * self.most > 0


def trend(days: Sequence[float], values: Sequence[float], sure: float = 1.96) -> Trend | None:
    """The median of all slopes between two readings (Theil and Sen), with the limits that Kendall's tau gives it.

    days    when, in days, rising; at least two different ones, else None
    sure    standard deviations of the confidence limits (1.96: 95 %)
    Source  Sen_1968: of the N slopes those at the ranks (N ± sure · sqrt(n (n - 1) (2 n + 5) / 18)) / 2
    Checked tests/rules/test_trend.py, against the paper's own example and by simulation
    """
    pairs = [(i, j) for i in range(len(days)) for j in range(i + 1, len(days)) if days[j] > days[i]]
    if not pairs:
        return None
    slopes = sorted((values[j] - values[i]) / (days[j] - days[i]) for i, j in pairs)
    slope = median(slopes)
    level = median(value - slope * (day - days[-1]) for day, value in zip(days, values, strict=True))
    return Trend(slope, *_limits(slopes, len(days), sure), level)


def days_until(found: Trend, low: float | None, high: float | None) -> tuple[float, float, float] | None:
    """Days until the line leaves the range if nothing changes: likely, soonest, latest; None where it stays within.

    Where the line has left already the answer is None too: that is for the range to say.
    """
    limit = high if found.slope > 0 else low
    if limit is None or not found.is_sure or (limit - found.level) * found.slope <= 0:
        return None
    gap = limit - found.level
    steepest, flattest = sorted((found.least, found.most), key=abs, reverse=True)
    return gap / found.slope, gap / steepest, gap / flattest


def _limits(slopes: Sequence[float], n: int, sure: float) -> tuple[float, float]:
    """Too few readings for the ranks to lie within: no limit, so nothing is sure."""
    spread = sure * sqrt(n * (n - 1) * (2 * n + 5) / 18)
    lower, upper = round((len(slopes) - spread) / 2) - 1, round((len(slopes) + spread) / 2)
    if lower < 0 or upper >= len(slopes):
        return float("-inf"), float("inf")
    return slopes[lower], slopes[upper]
