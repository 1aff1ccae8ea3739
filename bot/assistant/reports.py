"""The client's report: made when a visit is closed, made anew when a fact of that visit changes afterwards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta

from bot.assistant import people, reports_waiting
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Control, Event, Reading, Understood
from bot.rules import report as rules
from bot.rules.report import Kept, Report
from bot.store import logbook, reports, said, waits
from bot.store.reports import Version
from bot.team import Tank
from bot.wording import report_office as wording


def of_visit(turn: Turn, tank: str | None, minutes: int) -> list[Part]:
    """The report of the visit that is closed now, for the office; nothing where nobody reads one, or nothing was done.

    minutes   how long whoever leaves was there
    """
    tanks = _reported(turn, tank)
    if not tanks:
        return []
    version = _made(turn, tanks, turn.local(turn.said_at - timedelta(minutes=minutes)), turn.local(turn.said_at))
    return [] if version is None else [_said(turn), *reports_waiting.announce(turn, version)]


def gone_on(turn: Turn, understood: Understood, _: Sequence[Part]) -> list[Part]:
    """Whoever arrives elsewhere without a word of leaving has left all the same: that visit gets its report too."""
    before = turn.situation.tank if turn.situation else None
    arrived = [i.tank for i in understood.items if isinstance(i, Control) and i.action == "here" and i.tank]
    if not before or not arrived or arrived[0] in people.site_of(turn, before):
        return []
    tanks = _reported(turn, before)
    midnight = datetime.combine(turn.local(turn.said_at).date(), time(), turn.zone)
    own = [f for f in _between(turn, tanks, midnight, turn.said_at) if f.who == turn.who.name]
    if not own:
        return []
    end = turn.local(own[0].at)
    version = _made(turn, tanks, end, end)
    return [] if version is None else reports_waiting.announce(turn, version)


def follow(turn: Turn) -> list[Part]:
    """What became of a visit's report when an entry of that visit was changed, taken back, confirmed or added later."""
    moved = [f for what in ("void", "restore", "confirm") for f in logbook.moved_by(turn.db, turn.message_id, what)]
    facts = [*logbook.facts_of(turn.db, [turn.message_id]), *moved]
    entries = {(getattr(f.item, "tank", None), f.at) for f in facts if isinstance(f.item, Reading | Event | Control)}
    if not entries:
        return []
    back = turn.now - timedelta(days=table("report")["corrected"]["value"])
    site = sorted({name for tank, _ in entries for name in people.site_of(turn, tank)})
    written = reports.current(turn.db, max(back, min(at for _, at in entries)), site) if site else []
    found = [v for v in written if any(v.covers(*entry) for entry in entries)]
    return [p for version in found if version.message_id != turn.message_id for p in _anew(turn, version)]


def _reported(turn: Turn, tank: str | None) -> list[Tank]:
    """The tanks of the site whose client reads a report."""
    return [t for t in map(turn.tank, people.site_of(turn, tank)) if t and rules.reported(turn.team, t)]


def _made(turn: Turn, tanks: Sequence[Tank], came: datetime, went: datetime) -> Version | None:
    """The report of a visit, or of the one that a colleague has left before; None where it says nothing new."""
    visit = _visit(turn, tanks, came, went)
    earlier = _same_visit(turn, visit)
    return _keep(turn, tanks, visit if earlier is None else _together(earlier.report, visit), earlier)


def _anew(turn: Turn, version: Version) -> list[Part]:
    """The same visit with the facts that are in force now; the office hears of it where the old one had gone out."""
    tanks = [t for t in map(turn.tank, version.report.tanks) if t]
    new = _keep(turn, tanks, version.report, version)
    if new is None or not reports.last_sent(turn.db, version.root, new.id):
        return []
    return [Part(lines=(wording.corrected_with(_others(turn)),)), *reports_waiting.announce(turn, new, always=True)]


def _keep(turn: Turn, tanks: Sequence[Tank], head: Report, earlier: Version | None) -> Version | None:
    """Writes the report of a visit down; None where nothing was done there, or nothing is different."""
    new = rules.made(tanks, _facts(turn, tanks, head), head)
    if earlier is not None and new == earlier.report:
        return None
    if earlier is None and not rules.tells(new):
        return None
    own = earlier.own if earlier else {}
    return reports.keep(turn.db, turn.message_id, turn.now, new, own, earlier)


def _visit(turn: Turn, tanks: Sequence[Tank], came: datetime, end: datetime) -> Report:
    """When the visit was, and all of its head: back from its end through what was said there, without long gaps."""
    found = _between(turn, tanks, datetime.combine(end.date(), time(), turn.zone), end)
    start, gap = _arrived(turn, tanks, came, end), timedelta(minutes=table("report")["one_visit"]["value"])
    for fact in found:
        if start - turn.local(fact.at) > gap:
            break
        start = min(start, turn.local(fact.at))
    there = [f for f in found if f.at >= start and _was_there(turn, f.who)]
    who = tuple(dict.fromkeys([*(f.who for f in reversed(there)), turn.who.name]))
    client = turn.team.client_of(tanks[0])
    assert client
    left = rules.left_on([(w.kind, str(w.data.get("end") or "")) for t in tanks for w in _open(turn, t)])
    here = tuple(t.name for t in tanks if _open(turn, t))
    return Report(client.name, here, start, end, who, left=left, please=_asked(turn, tanks), next=_next(turn, tanks))


def _arrived(turn: Turn, tanks: Sequence[Tank], came: datetime, end: datetime) -> datetime:
    """When this person came: their first word after the last that was about another site."""
    site = {t.name for t in tanks}
    kinds = ("reading", "event", "wait")
    told = [
        f for kind in kinds for f in logbook.events(turn.db, None, (), came, end, kind=kind) if f.who == turn.who.name
    ]
    elsewhere = [f.at for f in told if getattr(f.item, "tank", None) not in (None, *site)]
    if not elsewhere:
        return came
    since = [at for at, _ in said.arrivals(turn.db, turn.who.name, turn.message_id) if at > max(elsewhere)]
    return turn.local(min(since, default=end))


def _together(earlier: Report, now: Report) -> Report:
    """Two who left one after the other: one visit, both names."""
    who = tuple(dict.fromkeys((*earlier.who, *now.who)))
    start, end = min(earlier.start, now.start), max(earlier.end, now.end)
    return replace(earlier, start=start, end=end, who=who, left=now.left, please=now.please, next=now.next)


def _same_visit(turn: Turn, visit: Report) -> Version | None:
    """The report of the same visit, where a colleague has left before."""
    midnight = datetime.combine(visit.end.date(), time(), turn.zone)
    gap = timedelta(minutes=table("report")["one_visit"]["value"])
    site = [t.name for t in turn.team.tanks if t.client == visit.client]
    found = [v for v in reports.current(turn.db, midnight, site) if v.report.client == visit.client]
    near = [v for v in found if v.report.start >= midnight and visit.start - v.report.end < gap]
    return near[-1] if near else None


def _facts(turn: Turn, tanks: Sequence[Tank], head: Report) -> list[Kept]:
    found = _between(turn, tanks, head.start, head.end)
    return [Kept(f.id, f.at, f.who, f.item) for f in sorted(found, key=lambda f: (f.at, f.id))]


def _between(turn: Turn, tanks: Sequence[Tank], since: datetime, until: datetime) -> list[logbook.Fact]:
    """Readings, events and waits done at the tanks in force, newest first."""
    kinds: tuple[tuple[str, tuple[str, ...]], ...] = (("reading", ()), ("event", ()), ("control", ("done",)))
    found = [
        f for t in tanks for k, names in kinds for f in logbook.events(turn.db, t.name, names, since, until, kind=k)
    ]
    return sorted(found, key=lambda f: (f.at, f.id), reverse=True)


def _was_there(turn: Turn, who: str) -> bool:
    """What the office notes at its desk is no visit."""
    person = turn.team.person(who)
    return person is not None and person.role != "office"


def _open(turn: Turn, tank: Tank) -> list[waits.WaitRow]:
    return waits.open_waits(turn.db, tank=tank.name)


def _asked(turn: Turn, tanks: Sequence[Tank]) -> tuple[str, ...]:
    """What the client is always asked to do, as the office has set it."""
    client = turn.team.client_of(tanks[0])
    told = [each.data.get("please") for each in (client, *tanks) if each]
    return tuple(dict.fromkeys(str(t) for t in told if t))


def _next(turn: Turn, tanks: Sequence[Tank]) -> str | None:
    from bot.assistant import calendar

    plan = calendar.now(turn)
    days: list[date] = [v.day for t in tanks if (v := plan.next_visit(t)) and v.day > plan.today]
    return min(days).isoformat() if days else None


def _said(turn: Turn) -> Part:
    return Part(lines=(wording.ready(_others(turn)),))


def _others(turn: Turn) -> list[str]:
    return [p.name for p in people.office(turn) if p.name != turn.who.name]
