"""Balances of mass for water changes, all of well-mixed water.

Concentrations are plain floats on any scale that mixes in proportion (mg/L, dKH, ppt, degrees); shares run from 0 to 1.
Source: balance of mass (facts/sources.toml mass_balance). Checked: fixtures/calc/dilution.jsonl.
"""

from __future__ import annotations

from math import ceil, exp, log, pow


def value_after_changes(start: float, source: float, share: float, times: float, rise: float = 0.0) -> float:
    """Concentration after so many changes, each of them following a rise: C = C* + (C0 - C*) (1-f)^n."""
    settled = settled_after_change(source, share, rise)
    return settled + (start - settled) * pow(1 - share, times)


def value_before_changes(end: float, source: float, share: float, times: float) -> float:
    """Concentration from which so many changes lead to `end`; share below 1."""
    return source + (end - source) / pow(1 - share, times)


def value_after_exchange(start: float, source: float, volumes: float) -> float:
    """Concentration after a slow, steady exchange of so many tank volumes: C = Cs + (C0 - Cs) e^(-q/V)."""
    return source + (start - source) * exp(-volumes)


def share_to_reach(start: float, end: float, source: float, times: float = 1.0) -> float:
    """Share of each of so many equal changes that leads from start to end: f = 1 - ((C1-Cs)/(C0-Cs))^(1/n)."""
    return 1 - pow((end - source) / (start - source), 1 / times)


def changes_to_reach(start: float, end: float, source: float, share: float) -> int:
    """Whole number of changes until the concentration is at `end` or past it."""
    if share >= 1:
        return 1
    return max(1, ceil(log((end - source) / (start - source)) / log(1 - share) - 1e-9))


def exchange_to_reach(start: float, end: float, source: float) -> float:
    """Tank volumes to exchange slowly: q/V = ln((C0-Cs)/(C1-Cs))."""
    return log((start - source) / (end - source))


def settled_before_change(source: float, share: float, rise: float) -> float:
    """Where it settles just before a change, with a rise between changes: Cs + p/f."""
    return source + rise / share


def settled_after_change(source: float, share: float, rise: float) -> float:
    """Where it settles just after a change, with a rise between changes: Cs + p (1-f)/f."""
    return source + rise * (1 - share) / share


def share_to_settle_at(peak: float, source: float, rise: float) -> float:
    """Share of each change that keeps the peak at a value: f = p/(C - Cs)."""
    return rise / (peak - source)
