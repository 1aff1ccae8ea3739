"""Who works where, what went wrong, what was lost and done: asked in everyday words of the whole team."""

from __future__ import annotations

from datetime import timedelta

from bot.assistant import calendar, exceptions, history, jobs, owner, route, today, watch
from bot.assistant.history_parts import entries_of
from bot.assistant.lookups_asked import Lookup
from bot.assistant.turn import Part
from bot.items import Control, Reading
from bot.rules import jobs as job_rules
from bot.rules.ranges import range_for
from bot.rules.round import grace_days
from bot.rules.scales import on_scale
from bot.store import logbook
from bot.team import Tank
from bot.wording import lookups as wording
from bot.wording import owner as owner_words

MOST = 6


def team(asked: Lookup) -> list[Part]:
    """Who works on a day, with how many stops, and who is away."""
    there = [p.name for p in asked.turn.team.people if not asked.plan.is_away(p.name, asked.day)]
    away = [p.name for p in asked.turn.team.people if p.name not in there]
    stops = {name: len(route.route(asked.plan, name, asked.day).halts) for name in there}
    return [Part(head=wording.team(asked.day, stops, away, asked.plan.works(asked.day), asked.today))]


def person(asked: Lookup) -> list[Part]:
    """Where somebody is planned to be on a day, or that the person is away: the plan, no tracking."""
    assert asked.who
    if asked.plan.is_away(asked.who.name, asked.day):
        return [Part(head=wording.is_away(asked.who.name, asked.day, asked.today))]
    found = route.route(asked.plan, asked.who.name, asked.day)
    where = today.lines_of(found) if found.halts else None
    return [Part(head=wording.is_there(asked.who.name, asked.day, where, asked.today))]


def doings(asked: Lookup) -> list[Part]:
    """What somebody put on record in a span of time: today, unless another is named."""
    assert asked.who
    if asked.is_last_time and asked.named:
        return history.take(asked.turn, Control("history", tank=asked.named[0].name, subject="who_last"))
    start = asked.start if asked.is_dated else asked.turn.local(asked.turn.now).replace(hour=0, minute=0, second=0)
    found = [
        fact
        for kind in ("reading", "event", "wait")
        for fact in logbook.events(asked.turn.db, None, since=start, until=asked.end, limit=500, kind=kind)
        if fact.who == asked.who.name
    ]
    entries = entries_of(asked.turn, sorted(found, key=lambda f: f.at))
    return [Part(head=wording.doings(asked.who.name, start.date(), entries, asked.today))]


def overdue(asked: Lookup) -> list[Part]:
    """Visits that are later than was promised, and jobs past their day."""
    late = [(tank.name, days) for tank in asked.turn.team.tanks if (days := _days_late(asked, tank)) > 0]
    open_jobs = [j.text for j in jobs.still_open(asked.turn) if job_rules.is_due(j, asked.today - timedelta(days=1))]
    return [Part(head=wording.overdue(sorted(late, key=lambda each: -each[1])[:MOST], open_jobs[:MOST]))]


def _days_late(asked: Lookup, tank: Tank) -> int:
    rule, last = calendar.rule_of(tank), asked.plan.last_day(tank.name)
    if rule is None or last is None:
        return 0
    return (asked.today - last).days - int(rule.every_days + grace_days(rule.every_days))


def trouble(asked: Lookup) -> list[Part]:
    """What was out of the ordinary in the span named, then the tanks by trouble."""
    lines = exceptions.since(asked.turn, asked.plan, asked.start).lines if asked.is_dated else []
    tanks = asked.named or list(asked.turn.team.tanks)
    worst = [found[0] for tank in tanks if (found := watch.points(asked.turn, tank.name))]
    ranked = [(p.tank, p.text) for p in sorted(worst, key=lambda p: p.rank)[: MOST - len(lines)]]
    return [Part(head="\n".join([*lines, *wording.trouble(ranked, bool(lines))]))]


def losses(asked: Lookup) -> list[Part]:
    """Animals lost in a span of time, by tank."""
    names = [tank.name for tank in asked.named]
    found = [(t, n) for t, n in owner.lost(asked.turn, asked.start, asked.end) if not names or t in names]
    return [Part(head=wording.losses(found, asked.since, asked.today))]


def overrides(asked: Lookup) -> list[Part]:
    """Who went past a gate in a span of time, and why."""
    found = exceptions.overrides(asked.turn, asked.start, asked.end)
    said = [
        (asked.turn.local(f.at).date(), owner_words.control(f.who, f.item))
        for f in found
        if isinstance(f.item, Control)
    ]
    return [Part(head=wording.overrides(said[:MOST], asked.since, asked.today))]


def compare(asked: Lookup) -> list[Part]:
    """A test at all tanks, the furthest out of its range first."""
    if not asked.parameter:
        return [Part(head=wording.WHICH_TEST)]
    found = [
        _compared(asked, tank, fact) for tank in asked.turn.team.tanks for fact in watch.latest(asked.turn, tank.name)
    ]
    rows = sorted((row for row in found if row), key=lambda row: -row[0])
    return [Part(head=wording.compare(asked.parameter, [(t, r, out > 0) for out, t, r in rows[:MOST]], len(rows)))]


def _compared(asked: Lookup, tank: Tank, fact: logbook.Fact) -> tuple[float, str, Reading] | None:
    """How far a reading is out of the tank's range (in widths of it), the tank, the reading."""
    item = fact.item
    if not isinstance(item, Reading) or item.parameter != asked.parameter:
        return None
    value, found = on_scale(item.parameter, item.value, item.unit), range_for(tank, item.parameter)
    if value is None or found is None:
        return 0.0, tank.name, item
    low, high = found.low, found.high
    width = (high if high is not None else 0.0) - (low if low is not None else 0.0) or 1.0
    over = max(value - high if high is not None else 0.0, low - value if low is not None else 0.0)
    return max(over, 0.0) / abs(width), tank.name, item
