"""On arrival: the tank is in hand, its card in one screen, and colleagues at the same tank hear of each other."""

from __future__ import annotations

from datetime import date, timedelta

from bot.assistant.conversation import tank_in_hand
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Control, Item, Reading, Task
from bot.messages import Outgoing
from bot.store import logbook
from bot.store.database import epoch, rows
from bot.wording import arriving as wording

MOST_READINGS = 5


def take(turn: Turn, item: Item) -> list[Part]:
    """The card of the tank that the technician stands at."""
    assert isinstance(item, Control)
    name = item.tank or (turn.situation.tank if turn.situation else None) or tank_in_hand(turn)
    tank = turn.tank(name)
    if tank is None:
        return [Part(head="Which tank are you at? Send its name: here oak lobby.")]
    colleagues = _colleagues(turn, tank.name)
    lines = (
        wording.last(_last_readings(turn, tank.name)),
        wording.hazard(tank.notes),
        wording.jobs(_jobs(turn, tank.name)),
        wording.also_here(colleagues),
    )
    today = turn.local(turn.now).date()
    head = wording.head(tank.name, _last_visit(turn, tank.name), today)
    told = tuple(Outgoing(c, f"{tank.name}: {wording.also_here([turn.who.name])}", unasked=True) for c in colleagues)
    return [Part(head=head, lines=tuple(filter(None, lines)), tank=tank.name, others=told)]


def _last_visit(turn: Turn, tank: str) -> date | None:
    found = [f for k in ("reading", "event") for f in logbook.events(turn.db, tank, until=turn.now, limit=1, kind=k)]
    return max((turn.local(f.at).date() for f in found), default=None)


def _last_readings(turn: Turn, tank: str) -> list[Reading]:
    """The newest of the tank's panel (or of whatever is measured there), in the panel's order."""
    found: dict[str, Reading] = {}
    for fact in logbook.events(turn.db, tank, kind="reading", limit=60):
        if isinstance(fact.item, Reading) and fact.item.of == "tank" and not fact.item.unconfirmed:
            found.setdefault(fact.item.parameter, fact.item)
    known = turn.tank(tank)
    wanted = (known.panel if known else ()) or tuple(found)
    return [found[p] for p in wanted if p in found][:MOST_READINGS]


def _jobs(turn: Turn, tank: str) -> list[str]:
    return [f.item.text for f in logbook.events(turn.db, tank, kind="task", limit=5) if isinstance(f.item, Task)]


def _colleagues(turn: Turn, tank: str) -> list[str]:
    """Who else has this tank in hand just now."""
    idle = timedelta(minutes=table("conversation")["tank_in_hand"]["idle"])
    sql = "select distinct who from conversation where tank = ? and tank_at > ? and who <> ?"
    return [r["who"] for r in rows(turn.db, sql, [tank, epoch(turn.now - idle), turn.who.name])]
