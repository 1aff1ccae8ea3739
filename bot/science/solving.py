"""Finds the input that gives a wanted result, for formulas that cannot be turned round."""

from __future__ import annotations

from collections.abc import Callable

_HALVINGS = 50


def solved(result: Callable[[float], float], wanted: float, low: float, high: float) -> float | None:
    """The x between low and high with result(x) = wanted, by halving; None where there is none.

    `result` must rise or fall all the way from low to high.
    """
    rising = result(high) >= result(low)
    if not min(result(low), result(high)) <= wanted <= max(result(low), result(high)):
        return None
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if (result(middle) < wanted) == rising else (low, middle)
    return (low + high) / 2
