"""The words of a plot, and the line of text that says the same."""

from __future__ import annotations

from bot.rules.plots import Row, Strip
from bot.wording.quantities import as_instrument, full_name, short_name, unit_word


def name(row: Row) -> str:
    """The test before its values: "NO3", "temperature"."""
    return "salinity" if row.parameter == "salinity" and row.unit != "SG" else full_name(row.parameter)


def number(row: Row, value: float) -> str:
    """A value of the row, bare."""
    return as_instrument(value, row.unit)


def last(row: Row) -> str:
    """The last value in words: "12 mg/L, 10 Mar; usual 6 to 11"."""
    point = row.last
    side = {-1: "below ", 1: "above "}[point.edge] if point.edge else ""
    unit = f" {unit_word(row.unit)}".rstrip()
    sure = "" if point.confirmed else " (not confirmed)"
    return f"{side}{number(row, point.value)}{unit}, {point.at.day} {point.at:%b}{sure}{_usual(row)}"


def span(strip: Strip) -> str:
    """ "9 Sep 2025 to 10 Mar 2026"."""
    return f"{strip.since.day} {strip.since:%b %Y} to {strip.until.day} {strip.until:%b %Y}"


def lines(strip: Strip) -> list[str]:
    """The plot in words: the tank and the span, then each test."""
    months = round((strip.until - strip.since).days / 30.4)
    if not strip.rows:
        return [f"{strip.tank}: nothing measured in {months} months."]
    head = f"{strip.tank}, {months} months, {sum(len(r.points) for r in strip.rows)} readings:"
    return [f"{head} {' · '.join(_said(row) for row in strip.rows)}"]


def _said(row: Row) -> str:
    point = row.last
    short = "salinity" if row.parameter == "salinity" and row.unit != "SG" else short_name(row.parameter)
    side = {-1: "below ", 1: "above "}[point.edge] if point.edge else ""
    value = f"{short} {side}{number(row, point.value)} {unit_word(row.unit)}".strip()
    low, high = (number(row, end) for end in row.usual) if row.usual else ("", "")
    return value + (f" (usual {low} to {high})" if low != high else f" (usual {low})" if low else "")


def _usual(row: Row) -> str:
    if row.usual is None:
        return ""
    low, high = (number(row, end) for end in row.usual)
    return f"; usual {low} to {high}" if low != high else f"; usual {low}"
