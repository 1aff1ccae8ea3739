"""After a visit the next stop; after the last one how the day was."""

from __future__ import annotations

from datetime import datetime, time, timedelta

from bot.assistant import calendar, leaving, route, running
from bot.assistant import today as todays
from bot.assistant.turn import Part, Turn
from bot.items import Control, Item, Stock
from bot.rules.stops import drive_min
from bot.store import logbook, pending, said
from bot.store import waits as store
from bot.wording import day_end as wording


def take(turn: Turn, item: Item) -> list[Part]:
    """ "leaving"; "done for today" closes the day with it, once nothing holds."""
    assert isinstance(item, Control)
    parts = leaving.take(turn, item)
    held = any((p.head or "").startswith("Not safe yet") for p in parts)
    return parts if item.subject != "day" or held else [*_left_elsewhere(turn), *_without_next(parts), _day(turn)]


def _left_elsewhere(turn: Turn) -> list[Part]:
    """What this person left open at other places: the day does not end without a word of it."""
    own = [running.of(turn, w) for w in store.open_waits(turn.db, owner=turn.who.name)]
    found = [it.shown for it in own if it.kind.leave and it.shown.place]
    return [Part(head=wording.left_open([(s.place or "", s.thing) for s in found]))] if found else []


def next_stop(turn: Turn, tank: str | None, minutes: int) -> list[Part]:
    """ "Next: Pellimore court 11:20"."""
    if tank is None:
        return []
    plan = calendar.now(turn)
    left = route.route(plan, turn.who.name, plan.today)
    if not left.halts:
        return []
    here, there = turn.tank(tank), left.halts[0]
    site = next((t for t in turn.team.tanks if calendar.site_of(t) == there.site), None)
    drive = drive_min(*(route.place_of(turn, t) for t in (here, site) if t))
    at = turn.local(turn.now) + timedelta(minutes=drive)
    agreed = there.at if there.back else there.visits[0].visit.at
    shown = max(at.time(), agreed) if agreed else at.time()
    return [Part(lines=(wording.next_stop(todays.name_of(there), shown),))]


def _without_next(parts: list[Part]) -> list[Part]:
    return [p for p in parts if not any(line.startswith("Next: ") for line in p.lines)]


def _day(turn: Turn) -> Part:
    """Hours, stops, what is left and what is pending."""
    plan = calendar.now(turn)
    midnight = datetime.combine(plan.today, time(), turn.zone)
    first = said.first_since(turn.db, turn.who.name, midnight) or turn.now
    seen = plan.seen_on(plan.today, turn.who.name)
    sites = {calendar.site_of(t) for s in seen if (t := turn.tank(s.tank))}
    left = [p.tank.name for p in plan.planned(plan.today) if p.who == turn.who.name]
    head = wording.day((turn.now - first) / timedelta(hours=1), len(sites), len(seen), left)
    questions = len(pending.unanswered(turn.db, turn.chat))
    running = len(store.open_waits(turn.db, owner=turn.who.name))
    lines = (wording.pending(questions, running), wording.took(_taken(turn, midnight)))
    return Part(head=head, lines=tuple(filter(None, lines)))


def _taken(turn: Turn, since: datetime) -> list[str]:
    """What was taken from stock today, in the words in which it was said."""
    facts = logbook.events(turn.db, None, since=since, kind="stock")
    own = [f.item for f in reversed(facts) if f.who == turn.who.name and isinstance(f.item, Stock)]
    return [wording.thing(i.amount, i.subject) for i in own if i.action == "took"]
