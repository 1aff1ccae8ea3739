"""A client's year in words: the same on its page and in the chat."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from bot.rules.year import TankYear
from bot.science.inputs import converted
from bot.wording.quantities import quantity


def title(client: str, since: date, until: date) -> str:
    """ "Merriwick Clinic · 10 March 2025 to 10 March 2026"."""
    return f"{client} · {since.day} {since:%B %Y} to {until.day} {until:%B %Y}"


def summary(client: str, visits: int, minutes: float, years: Sequence[TankYear], us: bool) -> str:
    """The year in one line."""
    litres = [y.changed_L for y in years if y.changed_L is not None]
    hours = f" ({round(minutes / 60)} h)" if minutes >= 60 else ""
    parts = [
        f"{visits} visit{'s' * (visits != 1)}{hours}", f"{water(sum(litres), us)} changed" if litres else "",
        f"{_sum(y.added for y in years)} animals added", f"{_sum(y.lost for y in years)} lost",
    ]  # fmt: skip
    return f"{client}, 12 months: {' · '.join(filter(None, parts))}"


def water(litres: float, us: bool) -> str:
    """A year's water, in the team's unit, to the whole."""
    return quantity(converted(litres, "L", "gal"), "gal", 0) if us else quantity(litres, "L", 0)


def facts(year: TankYear, us: bool) -> list[tuple[str, str]]:
    """A tank's year as (name, what) rows."""
    changed = f", {water(year.changed_L, us)} in all" if year.changed_L else ""
    rows = [
        ("Water", f"{year.changes} water changes{changed}"),
        ("Animals added", listed(year.added)),
        ("Animals lost", listed(year.lost)),
        ("Renewed", "; ".join(f"{said}, {at.day} {at:%B}" for at, said in year.works)),
    ]
    return [(name, said) for name, said in rows if said]


def listed(counts: Iterable[tuple[str, int]]) -> str:
    """ "2 clownfish, 1 royal gramma"; "none"."""
    return ", ".join(f"{count} {what}" for what, count in counts) or "none"


def overrides(count: int, last: str) -> str:
    """For the owner: what was done against a gate."""
    return f"Overrides: {count}, last {last}" if count else "Overrides: none"


def _sum(groups: Iterable[Iterable[tuple[str, int]]]) -> int:
    return sum(count for group in groups for _, count in group)
