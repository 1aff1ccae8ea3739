"""When a tank is visited: by its rule from the last visit, around moves, skips and closed days; and what is promised.

A rule is "every so many days, on a Tuesday". The next visit is due on the right weekday nearest to the last visit plus
those days, so a visit that was moved once does not drag the others along. A promise is kept up to a few days late
(facts/round.toml); days on which nobody may come are gone around within that.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta

from bot.facts.load import table

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
ONE = timedelta(days=1)
Open = Callable[[date], bool]


@dataclass(frozen=True)
class Rule:
    """Every `every_days` days, on `weekday` where one is set ("tue")."""

    every_days: float
    weekday: str | None = None


@dataclass(frozen=True)
class Change:
    """What somebody said about one visit: `due` names it (None: the next one), `to` is where it goes; None: it is left
    out. `said` is the day on which it was said.
    """

    said: date
    due: date | None = None
    to: date | None = None
    at: time | None = None


@dataclass(frozen=True)
class Care:
    """What decides when a tank is visited. `start`: since when it is looked after; `is_open`: may anyone come?"""

    tank: str
    rule: Rule | None
    last: date | None
    start: date
    changes: tuple[Change, ...] = ()
    is_open: Open = lambda day: True


@dataclass(frozen=True)
class Visit:
    """A visit to come: promised for `due`, planned for `day`, and in time up to `latest`. `at`: an hour agreed on."""

    tank: str
    due: date
    day: date
    latest: date
    at: time | None = None

    @property
    def is_late(self) -> bool:
        """Whether the promise is broken already."""
        return self.day > self.latest


def upcoming(care: Care, today: date, until: date) -> list[Visit]:
    """The visits of a tank from today on; what should have been before today stands on the first day that is open."""
    return list(_upcoming(care, today, until))


def grace_days(every_days: float) -> int:
    """How many days late a visit may come before its promise is broken."""
    steps = [s["days"] for s in table("round")["grace"] if s["from_days"] <= every_days]
    return int(steps[-1])


def _upcoming(care: Care, today: date, until: date) -> Iterator[Visit]:
    changes = [c for c in care.changes if care.last is None or c.said >= care.last]
    if care.rule is None:
        yield from _agreed(care, changes, today, until)
        return
    due, is_next = _first(care, care.rule), True
    while due <= until or is_next:
        change = _change_of(care, changes, due, is_next)
        if change and change.to is None:
            changes.remove(change)
            due = after(care.rule, due)
            continue
        visit = _placed(care, due, change, today)
        if visit.day > until:
            return
        yield visit
        due, is_next = after(care.rule, max(visit.day, due)), False


def _agreed(care: Care, changes: Sequence[Change], today: date, until: date) -> Iterator[Visit]:
    """A tank without a rule is visited when somebody says so."""
    for change in changes:
        if change.to and (care.last is None or change.to > care.last):
            day = _open_from(care, max(change.to, today))
            if day <= until:
                yield Visit(care.tank, change.to, day, change.to, change.at)


def _first(care: Care, rule: Rule) -> date:
    if care.last:
        return after(rule, care.last)
    return _on_weekday(rule, care.start, range(7))


def after(rule: Rule, day: date) -> date:
    """The day on which the next visit is due when there was one on `day`."""
    around = (0, -1, 1, -2, 2, -3, 3)
    return max(_on_weekday(rule, day + timedelta(days=round(rule.every_days)), around), day + ONE)


def _on_weekday(rule: Rule, day: date, around: Sequence[int]) -> date:
    if rule.weekday is None or rule.every_days < 7:
        return day
    near = (day + timedelta(days=n) for n in around)
    return next(d for d in near if WEEKDAYS[d.weekday()] == rule.weekday)


def _change_of(care: Care, changes: Sequence[Change], due: date, is_next: bool) -> Change | None:
    """The latest word about the visit that is due then."""
    half = (care.rule.every_days if care.rule else 1) / 2
    about = [c for c in changes if (is_next if c.due is None else abs((c.due - due).days) < max(half, 1))]
    return about[-1] if about else None


def _placed(care: Care, due: date, change: Change | None, today: date) -> Visit:
    assert care.rule
    if change and change.to:
        return Visit(care.tank, change.to, _open_from(care, max(change.to, today)), change.to, change.at)
    latest = due + timedelta(days=grace_days(care.rule.every_days))
    return Visit(care.tank, due, _open_near(care, due, latest, today), latest)


def _open_near(care: Care, due: date, latest: date, today: date) -> date:
    """The open day nearest to the promised one, as far early as it may be late; else the first that is open."""
    first = max(due, today)
    if care.is_open(first) or first > latest:
        return _open_from(care, first)
    span = (latest - due).days
    near = sorted((due + timedelta(days=n) for n in range(-span, span + 1)), key=lambda d: (abs((d - first).days), d))
    return next((d for d in near if d >= today and d != care.last and care.is_open(d)), _open_from(care, first))


def _open_from(care: Care, day: date) -> date:
    """The first day from `day` on that is open; `day` itself where none is within a year."""
    return next((d for n in range(366) if care.is_open(d := day + timedelta(days=n))), day)
