"""V4: a quarantine's day, who looked and fed, the vet's order; at noon whoever must hears of a look not taken."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from sqlite_utils import Database

from bot.assistant import calendar, moments, people
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.rules import treatments
from bot.store import logbook, waits
from bot.store.logbook import Fact
from bot.store.waits import WaitRow
from bot.team import Tank
from bot.wording import quarantine as wording
from bot.wording.quarantine import By, Kept

_KINDS = ("reading", "event", "wait", "control")


def card(turn: Turn, tank: Tank) -> str | None:
    """How the quarantine of a tank stands, in a line; None where none runs."""
    kept = [w for w in _running(turn.db) if w.tank == tank.name]
    if not kept:
        return None
    return wording.card(_kept(turn, kept[-1]), turn.local(turn.now).date(), _noon())


def next_moment(db: Database) -> datetime | None:
    """The next noon, while any quarantine runs."""
    return moments.noon_after_last_word(db) if _running(db) else None


def missed(turn: Turn) -> list[Part]:
    """The quarantines that nobody looked at today: told to the owner, and to whoever runs each, where at work."""
    tanks = {w.tank: w for w in _running(turn.db)}
    found = [(w, kept) for w in tanks.values() if not (kept := _kept(turn, w)).looked]
    plan = calendar.now(turn) if found else None
    owners = [p.name for p in turn.team.with_role("owner")]
    told = [people.told(turn, name, wording.missed([k for _, k in found])) for name in owners] if found else []
    for who in dict.fromkeys(w.owner for w, _ in found):
        if plan and who not in owners and not plan.is_away(who, plan.today):
            told.append(people.told(turn, who, wording.ask_for_look([k for w, k in found if w.owner == who])))
    return [Part(others=(message,)) for message in told]


def _running(db: Database) -> list[WaitRow]:
    return [w for w in waits.open_of_kind(db, "quarantine") if w.tank]


def _noon() -> str:
    return str(table("cards")["looks"]["noon"])


def _kept(turn: Turn, row: WaitRow) -> Kept:
    """The quarantine as it stands now."""
    name, today = str(row.tank), turn.local(turn.now).date()
    tank = turn.tank(name)
    order = treatments.running(tank.orders, today) if tank else None
    looks = _facts(turn, name, row.started_at)
    unlooked = (today - (turn.local(looks[0].at).date() if looks else turn.local(row.started_at).date())).days
    return Kept(
        name,
        row.subject or "animals",
        (turn.now - row.started_at).days + 1,
        round((row.due_at - row.started_at) / timedelta(days=1)),
        looked=_last(turn, looks, today),
        fed=_last(turn, [f for f in looks if getattr(f.item, "event", None) == "feeding"], today),
        order=order,
        dosed=_last(turn, [f for f in looks if getattr(f.item, "event", None) == "dose"]) if order else None,
        unlooked=unlooked,
    )


def _facts(turn: Turn, tank: str, since: datetime) -> list[Fact]:
    """What was said of the tank since the quarantine began, newest first: whoever says something has looked."""
    found = [f for kind in _KINDS for f in logbook.events(turn.db, tank, (), since, turn.now, kind=kind)]
    return sorted(found, key=lambda f: (f.at, f.id), reverse=True)


def _last(turn: Turn, facts: Sequence[Fact], day: date | None = None) -> By | None:
    """Who did it last, and when; of that day, where one is named."""
    found = next(iter(facts), None)
    at = turn.local(found.at) if found else None
    return (found.who, at) if found and at and (day is None or at.date() == day) else None
