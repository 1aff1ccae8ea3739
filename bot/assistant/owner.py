"""The owner's sight: exceptions morning and evening, the week on Friday, the month after it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta

from bot.assistant import (
    billing,
    calendar,
    exceptions,
    forecast,
    history,
    jobs,
    people,
    renewals,
    supplies_cost,
    today,
    vats,
    watch,
)
from bot.assistant.calendar import Calendar
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Control, Event, Item
from bot.messages import Button, Outgoing
from bot.rules import batches as batch_rules
from bot.rules import costs
from bot.rules import jobs as job_rules
from bot.rules.round import grace_days
from bot.store import logbook, pulse
from bot.wording import owner as wording
from bot.wording.owner import Closed
from bot.wording.reply import short_labels
from bot.wording.round import nobody

FRIDAY = 4


def morning(turn: Turn, plan: Calendar) -> list[Outgoing]:
    """What happened since yesterday evening, and who is missing today; on its first working day, the last month."""
    found = exceptions.since(turn, plan, _moment(turn, plan.today - timedelta(days=1), "evening"))
    left = today.nobody_goes(plan)
    ends = None if turn.team.with_role("office") else _ends(turn, plan)
    said = [*found.lines, *([nobody(left)] if left else []), *([ends] if ends else [])]
    month = _month(turn, plan, _last_month(plan.today)) if _opens_month(plan) and _has_round(turn) else None
    cards = [wording.fitted([wording.opening(plan.today), *said])] if said else []
    return _to_owners(turn, [*cards, *([month] if month else [])], found.worst)


def evening(turn: Turn, plan: Calendar) -> list[Outgoing]:
    """How the day closed, where anything was not as planned; on Fridays the week."""
    found = exceptions.since(turn, plan, _moment(turn, plan.today, "morning"))
    closed = _closed(turn, plan)
    odd = bool(closed.moved or closed.undone or found.lines)
    cards = [wording.fitted([wording.closed(plan.today, closed), *found.lines])] if odd else []
    week = [_week(turn, plan)] if plan.today.weekday() == FRIDAY and _has_round(turn) else []
    return _to_owners(turn, [*cards, *week], found.worst)


def week(turn: Turn, item: Item) -> list[Part]:
    """ "this week": the same when asked."""
    return _shown(_week(turn, calendar.now(turn)))


def month(turn: Turn, item: Item) -> list[Part]:
    """ "this month": what there is of it; or the month named."""
    plan = calendar.now(turn)
    first = getattr(item, "date", None) or plan.today
    return _shown(_month(turn, plan, first.replace(day=1)))


def press(turn: Turn, args: Sequence[str]) -> list[Part]:
    """The tank's button: what changed there."""
    return history.take(turn, Control("history", tank=args[0], subject="changed"))


def _shown(text: str) -> list[Part]:
    return [Part(head=text)]


def _to_owners(turn: Turn, cards: Sequence[str], worst: str | None) -> list[Outgoing]:
    button = (Button(short_labels([worst])[0], f"ow:{worst}"),) if worst and len(worst.encode()) <= _ROOM else ()
    owners = [p.name for p in turn.team.with_role("owner")]
    return [people.told(turn, to, c, button if c is cards[0] else ()) for to in owners for c in cards]


def _ends(turn: Turn, plan: Calendar) -> str | None:
    """What ends soon at clients' sites: the office's to know, where there is one."""
    return renewals.line(turn, plan, turn.team.with_role("owner")[0].name) if turn.team.with_role("owner") else None


_ROOM = 60
"""Bytes that the name of a tank may take in the data of a button."""


def _moment(turn: Turn, day: date, name: str) -> datetime:
    return datetime.combine(day, time.fromisoformat(table("cards")["moments"][name]), turn.zone)


def _closed(turn: Turn, plan: Calendar) -> Closed:
    """What stood in the plan this morning against what was done: nothing promised is hidden."""
    then = calendar.as_of(turn, _moment(turn, plan.today, "morning"))
    promised = {p.tank.name: p.tank for p in then.planned(plan.today)}
    done = {s.tank for s in plan.seen_on(plan.today)} & set(promised)
    ahead = {name: plan.next_visit(tank) for name, tank in promised.items() if name not in done}
    moved = [(n, p.day) for n, p in ahead.items() if p and p.day != plan.today]
    undone = [n for n, p in ahead.items() if p is None or p.day == plan.today]
    return Closed(len(promised), len(done), tuple(moved), tuple(undone))


def _has_round(turn: Turn) -> bool:
    """Whether any tank is visited by rule: without a round there is no week and no month to speak of."""
    return any(map(calendar.rule_of, turn.team.tanks))


def _week(turn: Turn, plan: Calendar) -> str:
    troubles = [found[0] for t in turn.team.tanks if (found := watch.points(turn, t.name))]
    worst = sorted(troubles, key=lambda p: p.rank)[: int(table("cards")["shown"]["exceptions"])]
    days = [s for each in plan.seen.values() for s in each if plan.today - calendar.WEEK < s.day <= plan.today]
    planned = sum(plan.minutes(t) for s in days if (t := turn.tank(s.tank)))
    overdue = [j.text for j in jobs.still_open(turn) if job_rules.is_due(j, plan.today - calendar.WEEK)]
    ahead = forecast.draws(turn, plan.today + timedelta(days=1), plan.today + calendar.WEEK)
    kinds = dict.fromkeys((d.kind for d in ahead), 0.0)
    for draw in ahead:
        kinds[draw.kind] += draw.litres
    return wording.fitted([
        wording.week(plan.today, [(p.tank, p.text) for p in worst]),
        wording.overdue(overdue),
        wording.times(planned, sum(s.minutes for s in days)),
        wording.water_ahead(list(kinds.items()), vats.us(turn)),
    ])  # fmt: skip


def _opens_month(plan: Calendar) -> bool:
    """Whether it is the first working day of a month."""
    return plan.works(plan.today) and not any(plan.works(plan.today.replace(day=n)) for n in range(1, plan.today.day))


def _last_month(day: date) -> date:
    return (day.replace(day=1) - timedelta(days=1)).replace(day=1)


def _month(turn: Turn, plan: Calendar, first: date) -> str:
    """Visits, losses by tank, water, supplies and their cost, time against price, whether a copy can be put back."""
    start = datetime.combine(first, time(), turn.zone)
    end = min(datetime.combine((first + timedelta(days=32)).replace(day=1), time(), turn.zone), turn.now)
    cost = {t: m for t, keys in supplies_cost.of_month(turn, first).items() if (m := costs.money(keys))}
    dearest = sorted(cost.items(), key=lambda c: -c[1])
    return wording.fitted([
        wording.month(first, *_visits(plan, first)),
        wording.lost(lost(turn, start, end)),
        wording.changed(litres(turn, start, end), vats.us(turn)),
        wording.supplies(sum(cost.values()), dearest),
        wording.against_price(billing.against_price(turn, first)),
        _restored(turn, plan),
    ])  # fmt: skip


def _restored(turn: Turn, plan: Calendar) -> str:
    """What became of the last test of a copy (doors/housekeeping.py makes it)."""
    last = pulse.beats(turn.db).get("restore_test")
    if last is None:
        return wording.restore_test(None, plan.today)
    return wording.restore_test(turn.local(last[0]).date(), plan.today, int(last[1]["rows"]), str(last[1]["why"]))


def _visits(plan: Calendar, first: date) -> tuple[int, int]:
    """How many there were in the month, and how many of them came later than promised."""
    count = late = 0
    for tank in plan.turn.team.tanks:
        days = sorted(s.day for s in plan.seen.get(tank.name, []))
        rule = calendar.rule_of(tank)
        for i, day in enumerate(days):
            if (day.year, day.month) == (first.year, first.month):
                count += 1
                longest = rule.every_days + grace_days(rule.every_days) if rule else None
                late += bool(i and longest and (day - days[i - 1]).days > longest + 3)
    return count, late


def lost(turn: Turn, start: datetime, end: datetime) -> list[tuple[str, int]]:
    """Animals lost between two moments, by tank, most first."""
    found = logbook.events(turn.db, None, ["livestock_lost"], since=start, until=end, limit=2000)
    by_tank = Counter[str]()
    for fact in found:
        assert isinstance(fact.item, Event)
        by_tank[fact.item.tank or "no tank"] += fact.item.count or 1
    return by_tank.most_common()


def litres(turn: Turn, start: datetime, end: datetime) -> float:
    """Water changed in all tanks, litres."""
    found = logbook.events(turn.db, None, ["water_change"], since=start, until=end, limit=5000)
    items = [f.item for f in found if isinstance(f.item, Event)]
    return sum(batch_rules.litres(i.amount, i.unit, vats.volume_L(turn, i.tank)) or 0.0 for i in items)
