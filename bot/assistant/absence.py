"""Somebody is away: what becomes of the stops is proposed, and nothing moves or is told before the press."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from bot.assistant import asking, calendar, group, people
from bot.assistant import route as routes
from bot.assistant.calendar import Calendar, Planned, day_of
from bot.assistant.turn import Ask, Part, Turn
from bot.facts.load import table
from bot.items import Schedule
from bot.items_json import as_json, from_json
from bot.messages import Outgoing
from bot.rules.absence import Need, Place, Proposal, Room, propose
from bot.store.pending import Pending
from bot.wording import round as wording
from bot.wording.entries import day

HANDLER = "absence"
OPTIONS = (("Do it", "do_it"), ("Change", "change"), ("Show all", "show_all"))
AHEAD = timedelta(days=14)


@dataclass(frozen=True)
class Away:
    """An absence with the stops that it leaves, and what is proposed for them."""

    item: Schedule
    who: str
    first: date
    last: date
    visits: tuple[Planned, ...]
    proposal: Proposal

    @property
    def called(self) -> Mapping[str, str]:
        """How each site is spoken of."""
        sites = dict.fromkeys(p.site for p in self.visits)
        tanks = {site: sorted({p.tank.name for p in self.visits if p.site == site}) for site in sites}
        return {site: calendar.called(site, tanks[site]) for site in sites}


def take(turn: Turn, item: Schedule) -> list[Part]:
    """ "tomasz sick today": a proposal where he has stops then, else noted at once."""
    who = turn.team.person(item.who) if item.who else turn.who
    if who is None:
        return [Part(head=f'"{item.who}" is not on the team\'s list. Nothing changed.')]
    away = _looked_at(turn, replace(item, who=who.name))
    if not away.visits:
        turn.keep(away.item)
        return [Part(said=(f"{_said(turn, away)}, no stops then",), stored=True)]
    return _shown(turn, away)


def answer(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """[Do it], [Change], [Show all]; what has changed since it was shown is shown again first."""
    if value is None:
        return None
    item = from_json(dict(question.data["absence"]))
    assert isinstance(item, Schedule)
    away = _looked_at(turn, item)
    if value == "show_all":
        return [Part(lines=tuple(_all(turn, away))), asking.put_again(turn, question)]
    if value == "change":
        return [Part(head=wording.how_to_change(_colleague(turn, away))), asking.put_again(turn, question)]
    if _drawn(away) != question.data["shown"]:
        return [*asking.settled(turn, question, "dropped"), *take(turn, item)]
    return [*_done(turn, away), *asking.settled(turn, question)]


def _looked_at(turn: Turn, item: Schedule) -> Away:
    today = turn.local(turn.now).date()
    first = day_of(item.due) if item.due else today
    last = max(first, day_of(item.to)) if item.to else first
    plan = calendar.now(turn)
    who = str(item.who)
    visits = tuple(p for p in plan.planned(first, last) if p.who == who)
    proposal = propose(_needs(plan, visits, last), _rooms(plan, who, first, last), who)
    return Away(item, who, first, last, visits, proposal)


def _needs(plan: Calendar, visits: Sequence[Planned], last: date) -> list[Need]:
    stops: dict[tuple[str, date], list[Planned]] = {}
    for planned in visits:
        stops.setdefault((planned.site, planned.day), []).append(planned)
    return [
        Need(
            site,
            tuple(p.tank.name for p in there),
            sum(p.minutes for p in there) + routes.drive_min(),
            day,
            _later(plan, there),
        )
        for (site, day), there in stops.items()
    ]


def _later(plan: Calendar, there: Sequence[Planned]) -> tuple[date, ...]:
    """The days on which all tanks of the stop would still be in time, and open."""
    until = min(p.visit.latest for p in there)
    days = (there[0].day + timedelta(days=n) for n in range(1, (until - there[0].day).days + 1))
    return tuple(day for day in days if all(plan.is_open(p.tank, day) for p in there))


def _rooms(plan: Calendar, away: str, first: date, last: date) -> list[Room]:
    """What time everybody has left, on each day that may matter."""
    length = float(plan.turn.team.data.get("day_minutes") or table("round")["day_length"]["value"])
    days = [first + timedelta(days=n) for n in range(((last - first) + AHEAD).days)]
    visits = plan.planned(first, days[-1])
    crew = [p.name for p in calendar.on_the_road(plan.turn)]
    owners = [p.name for p in plan.turn.team.with_role("owner") if p.name not in crew]
    return [
        Room(who, day, length - routes.load_min(plan, who, [v for v in visits if v.day == day]), who in owners)
        for who in (*crew, *owners)
        for day in days
        if not plan.is_away(who, day) and not (who == away and first <= day <= last)
    ]


def _shown(turn: Turn, away: Away) -> list[Part]:
    today = turn.local(turn.now).date()
    stops = len({(p.site, p.day) for p in away.visits})
    lines = wording.proposal(stops, away.proposal, _spare(turn), away.called, today)
    data = {"absence": as_json(away.item), "shown": _drawn(away)}
    ask = Ask(wording.not_yet_told(), OPTIONS, HANDLER, "absence", away.item, data)
    return [Part(head="\n".join(lines), ask=ask)]


def _drawn(away: Away) -> list[list[str]]:
    """The proposal as it is kept beside the question: what is pressed must be what was shown."""
    placed = [[p.need.site, str(p.need.day), p.who, str(p.day)] for p in away.proposal.places]
    return [*placed, *([n.site, str(n.day), "", ""] for n in away.proposal.left)]


def _all(turn: Turn, away: Away) -> list[str]:
    today = turn.local(turn.now).date()
    left = [wording.nobody([away.called[n.site] for n in away.proposal.left])] if away.proposal.left else []
    return [*(wording.each_place(p, away.called, today) for p in away.proposal.places), *left]


def _done(turn: Turn, away: Away) -> list[Part]:
    """Everything that was proposed is said as facts of the plan, and whoever it concerns is told."""
    turn.keep(away.item)
    for place in away.proposal.places:
        for planned in (p for p in away.visits if p.site == place.need.site and p.day == place.need.day):
            turn.keep(_fact(turn, place, planned))
    told = _told(turn, away)
    left = wording.nobody([away.called[n.site] for n in away.proposal.left]) if away.proposal.left else None
    lines = tuple(filter(None, (left, wording.told([m.to for m in told]))))
    today = turn.local(turn.now).date()
    in_group = group.announce(turn, wording.changes(away.proposal.places, away.called, today))
    return [Part(said=(_said(turn, away),), stored=True, lines=lines, others=(*told, *in_group))]


def _fact(turn: Turn, place: Place, planned: Planned) -> Schedule:
    following = calendar.now(turn).next_visit(planned.tank)
    is_next = following is not None and following.visit == planned.visit
    if not place.is_moved:
        return Schedule("visit", planned.tank.name, who=place.who, due=place.day)
    return Schedule("visit", planned.tank.name, place.who, None if is_next else planned.visit.due, place.day)


def _told(turn: Turn, away: Away) -> tuple[Outgoing, ...]:
    """Whoever takes something hears what; the one who is away is left in peace."""
    today = turn.local(turn.now).date()
    yours: dict[str, list[str]] = {}
    for place in away.proposal.places:
        if place.who not in (turn.who.name, away.who):
            words = f"{away.called[place.need.site]} {day(place.day, today)}"
            yours.setdefault(place.who, []).append(words)
    return tuple(
        people.told(turn, who, wording.told_taker(turn.who.name, what), sound=away.first == today)
        for who, what in yours.items()
    )


def _said(turn: Turn, away: Away) -> str:
    return wording.away(away.who, away.item.subject, away.first, away.last, turn.local(turn.now).date())


def _spare(turn: Turn) -> list[str]:
    crew = [p.name for p in calendar.on_the_road(turn)]
    return [p.name for p in turn.team.with_role("owner") if p.name not in crew]


def _colleague(turn: Turn, away: Away) -> str:
    return next((p.name for p in calendar.on_the_road(turn) if p.name != away.who), turn.who.name)
