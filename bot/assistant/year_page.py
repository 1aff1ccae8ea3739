"""W5, a client's year on paper, for the office to send; for the owner also what was overridden there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from bot.assistant import conversation, pictures, plots
from bot.assistant.pictures import Source
from bot.assistant.report_page import paper
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Control, Event
from bot.rules import year as rules
from bot.rules.report import reported
from bot.rules.setup import best_named
from bot.rules.usual import Done
from bot.store import logbook, photos, visits
from bot.team import Client, Tank
from bot.wording import year as wording
from bot.wording.photos import taken

MAY = ("office", "owner")
_MANY = 5000


def take(turn: Turn, item: Control) -> list[Part]:
    """ "year page merriwick": of the client named, else of the tank in hand."""
    if turn.who.role not in MAY:
        return [Part(head="Year pages are for office or owner.")]
    client = _client(turn, item)
    if client is None:
        names = ", ".join(c.name for c in turn.team.clients[:6])
        return [Part(head=f"The year page of which client? Send its name with it: {names} ...")]
    source = pictures.source_of(turn)
    file = pictures.attached(turn, "year", ending="pdf", client=client.name, size=paper(turn.team, turn.text))
    owner = (_overrides(turn, client),) if turn.who.role == "owner" else ()
    return [Part(head=_summary(source, client), lines=owner, files=(file,))]


def draw(source: Source, spec: Mapping[str, Any]) -> bytes:
    """The pages as a PDF."""
    from bot.wording.papers import year as page

    client = next(c for c in source.team.clients if c.name == spec["client"])
    since = source.local(_since(source.at)).date()
    title = wording.title(client.name, since, source.local(source.at).date())
    pages = [_page(source, tank) for tank in _tanks(source, client)]
    return page.pdf(title, _summary(source, client), pages, source.team.name, spec["size"], source.at)


def _page(source: Source, tank: Tank) -> Any:
    from bot.wording.papers.year import TankPage

    shown = [p for p in tank.panel if p in table("report")["tests"]][: table("plots")["most"]["year_rows"]]
    strip = plots.strip_of(source, tank.name, shown, table("plots")["year"]["back"]["value"])
    sure = [replace(r, points=tuple(p for p in r.points if p.confirmed)) for r in strip.rows]
    strip = replace(strip, rows=tuple(r for r in sure if r.points), doses=())
    found = [s for s in photos.of_tank(source.db, tank.name, _since(source.at), source.at) if not s.proves]
    paths = [(source.path_of(s.path), taken(source.local(s.at))) for s in found]
    there = [p for p in paths if Path(p[0]).is_file()]
    two = there[:1] + there[-1:] if len(there) > 1 else there
    return TankPage(tank.name, strip, wording.facts(_year(source, tank), source.team.units == "us"), two)


def _year(source: Source, tank: Tank) -> rules.TankYear:
    facts = logbook.events(source.db, tank.name, (), _since(source.at), source.at, _MANY)
    return rules.of_tank(tank, [Done(source.local(f.at), f.item) for f in facts if isinstance(f.item, Event)])


def _summary(source: Source, client: Client) -> str:
    tanks = _tanks(source, client)
    office = [p.name for p in source.team.with_role("office")]
    seen = visits.seen(source.db, source.zone, _since(source.at), source.at, office)
    days: dict[Any, list[float]] = {}
    for tank in tanks:
        for each in seen.get(tank.name, ()):
            days.setdefault(each.day, []).append(each.minutes)
    years = [_year(source, tank) for tank in tanks]
    minutes = sum(sum(each) for each in days.values())
    return wording.summary(client.name, len(days), minutes, years, source.team.units == "us")


def _tanks(source: Source, client: Client) -> list[Tank]:
    return [t for t in source.team.tanks if t.client == client.name and reported(source.team, t)]


def _since(at: datetime) -> datetime:
    return at - timedelta(days=table("plots")["year"]["back"]["value"])


def _client(turn: Turn, item: Control) -> Client | None:
    """The client whose name fits best; else the one whose tank is named or in hand."""
    named = best_named(item.reason or "", tuple(c.name for c in turn.team.clients)) if item.reason else ()
    if len(named) == 1:
        return next(c for c in turn.team.clients if c.name == named[0])
    tank = turn.tank(item.tank or conversation.tank_in_hand(turn))
    return turn.team.client_of(tank) if tank and not item.reason else None


def _overrides(turn: Turn, client: Client) -> str:
    names: Sequence[str] = [t.name for t in turn.team.tanks if t.client == client.name]
    since = _since(turn.said_at)
    found = [f for n in names for f in logbook.events(turn.db, n, ["override"], since, kind="control")]
    last = max(found, key=lambda f: f.at, default=None)
    said = ""
    if last and isinstance(last.item, Control):
        at = turn.local(last.at)
        said = f"{at.day} {at:%b}, {last.who}: {last.item.subject or last.item.reason}"
    return wording.overrides(len(found), said)
