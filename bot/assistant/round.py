"""Changes of the plan said in words: visits moved, left out or given to somebody; closed days; who is back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

from bot.assistant import absence, calendar, group, people
from bot.assistant.calendar import Calendar, day_of, rule_of
from bot.assistant.conversation import tank_in_hand
from bot.assistant.turn import Part, Turn
from bot.items import Item, Schedule
from bot.messages import Outgoing
from bot.rules.round import grace_days
from bot.store.roster import amend, load_team
from bot.team import Tank
from bot.understanding.text import Text
from bot.wording import round as wording
from bot.wording import setup as setup_wording

AHEAD = timedelta(days=60)


def take(turn: Turn, item: Item) -> list[Part]:
    """A change of the plan, quoted with what it does."""
    assert isinstance(item, Schedule)
    return _SUBJECTS[item.subject](turn, item)


def _visit(turn: Turn, item: Schedule) -> list[Part]:
    tank = turn.tank(item.tank) or turn.tank(tank_in_hand(turn))
    if tank is None:
        return [Part(head="Which tank's visit? Nothing changed. Send it with the tank's name.")]
    item = replace(item, tank=tank.name)
    if item.every_days:
        return _rule(turn, item, tank)
    return _moved(turn, item, tank) if item.to else assigned(turn, item, tank)


def _rule(turn: Turn, item: Schedule, tank: Tank) -> list[Part]:
    amend(turn.db, turn.message_id, "tank", tank.name, every_days=item.every_days, weekday=item.weekday)
    turn.keep(item)
    amended = calendar.now(replace(turn, team=load_team(turn.db)))
    known = amended.turn.tank(tank.name)
    first = amended.next_visit(known) if known else None
    rhythm = setup_wording.rhythm(item.every_days, item.weekday)
    said = wording.rule(rhythm, first.day if first else None, amended.today)
    return [Part(said=(said,), tank=tank.name, stored=True)]


def _moved(turn: Turn, item: Schedule, tank: Tank) -> list[Part]:
    """To another day: what was promised, and whether anyone may come then, is said beside it."""
    assert item.to
    plan = calendar.now(turn)
    to, before = day_of(item.to), plan.next_visit(tank)
    if to < plan.today:
        return [Part(head=wording.past(to, plan.today))]
    if (stays := _later_than_site(turn, plan, item)) is not None:
        return [Part(lines=(wording.stays(tank.name, stays, plan.today),))]
    turn.keep(item)
    who = item.who or plan.who_goes(tank, to)
    remark = _doubt(plan, tank, to)
    old = before.day if before and before.day != to else None
    said = wording.moved(old, item.to, who, plan.today)
    near = min(to, old or to) <= plan.today + timedelta(days=1)
    in_group = group.announce(turn, f"{tank.name}: {said}") if near else ()
    others = (*_tell(turn, who, tank, said, near), *in_group)
    return [Part(said=(said,), tank=tank.name, stored=True, remark=remark, others=others)]


def _later_than_site(turn: Turn, plan: Calendar, item: Schedule) -> date | None:
    """When a tank is due that was meant only by the name of its site, and not by the visit there that is spoken of."""
    mentions = Text(turn.text, turn.situation).mentions if turn.situation else ()
    beside = [i for i in turn.items if isinstance(i, Schedule) and i.subject == item.subject]
    if len(beside) < 2 or any(m.options == (item.tank,) for m in mentions):
        return None
    then = replace(plan, said=tuple(s for s in plan.said if s.at < turn.said_at))
    days = {i.tank: v.day for i in beside if (t := turn.tank(i.tank)) and (v := then.next_visit(t))}
    own = days.get(item.tank)
    return own if own and own > min(days.values()) else None


def _doubt(plan: Calendar, tank: Tank, to: date) -> tuple[int, str] | None:
    if not plan.is_open(tank, to):
        return 50, wording.shut(to, plan.today)
    rule, last = rule_of(tank), plan.last_day(tank.name)
    late = rule and last and (to - last).days > rule.every_days + grace_days(rule.every_days)
    return (51, wording.beyond((to - last).days, rule.every_days)) if late and rule and last else None


def assigned(turn: Turn, item: Schedule, tank: Tank) -> list[Part]:
    """Somebody goes to that tank, at its next visit or on the day named."""
    plan = calendar.now(turn)
    who, following = turn.team.person(item.who), plan.next_visit(tank)
    day = day_of(item.due) if item.due else following.day if following else None
    if who is None or day is None:
        return [Part(head=wording.no_visit(tank.name))]
    if (stays := _later_than_site(turn, plan, item)) is not None:
        return [Part(lines=(wording.stays(tank.name, stays, plan.today),))]
    turn.keep(replace(item, who=who.name, due=day))
    remark = (50, wording.away_then(who.name)) if plan.is_away(who.name, day) else None
    said = wording.goes(who.name, day, plan.today)
    told = _tell(turn, who.name, tank, said, day <= plan.today + timedelta(days=1))
    return [Part(said=(said,), tank=tank.name, stored=True, remark=remark, others=told)]


def _tell(turn: Turn, who: str | None, tank: Tank, said: str, near: bool) -> tuple[Outgoing, ...]:
    """Whoever goes hears of a change of today or tomorrow at once; what is later stands on that day's card."""
    if not who or who == turn.who.name or not near:
        return ()
    return (people.told(turn, who, f"{tank.name}: {said}"),)


def _skip(turn: Turn, item: Schedule) -> list[Part]:
    tank = turn.tank(item.tank)
    before = calendar.now(turn).next_visit(tank) if tank else None
    if tank is None or before is None:
        return [Part(head=wording.no_visit(item.tank or "That tank"))]
    if item.to and before.day > day_of(item.to):
        return [Part(lines=(wording.none_until(tank.name, day_of(item.to), before.day, turn.local(turn.now).date()),))]
    if (stays := _later_than_site(turn, calendar.now(turn), item)) is not None:
        return [Part(lines=(wording.stays(tank.name, stays, turn.local(turn.now).date()),))]
    turn.keep(replace(item, tank=tank.name))
    plan = calendar.now(turn)
    after = plan.next_visit(tank)
    said = wording.left_out(before.day, after.day if after else None, plan.today)
    return [Part(said=(said,), tank=tank.name, stored=True)]


def _closed(turn: Turn, item: Schedule) -> list[Part]:
    """Nobody may come: visits go around it, and which ones is said."""
    if item.due is None:
        item = replace(item, due=turn.local(turn.now).date())
    assert item.due
    before = _days(calendar.now(turn))
    turn.keep(item)
    plan = calendar.now(turn)
    shifted = [(t[0], old, new) for t, new in _days(plan).items() if (old := before.get(t)) and old != new]
    said = wording.closed(item.due, item.to, plan.today)
    line = wording.shifted(shifted, plan.today)
    return [Part(said=(said,), tank=item.tank, stored=True, lines=(line,) if line else ())]


def _days(plan: Calendar) -> dict[tuple[str, date], date]:
    """On which day each visit of the next weeks stands, by its tank and the day that was promised."""
    return {(p.tank.name, p.visit.due): p.day for p in plan.planned(plan.today, plan.today + AHEAD)}


def _back(turn: Turn, item: Schedule) -> list[Part]:
    today = turn.local(turn.now).date()
    who = turn.team.person(item.who)
    if who is None:
        return [Part(head="Who is back? Nothing changed. Send the name as it is on the team's list.")]
    turn.keep(replace(item, who=who.name))
    return [Part(said=(wording.back(who.name, day_of(item.due) if item.due else today, today),), stored=True)]


_SUBJECTS: dict[str, Callable[[Turn, Schedule], list[Part]]] = {
    "visit": _visit,
    "skip": _skip,
    "closed": _closed,
    "back": _back,
    "sick": absence.take,
    "off": absence.take,
    "holiday": absence.take,
}
