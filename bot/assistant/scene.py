"""The scene of a message, for what is to be warned of: its tank, what is open at the site, what went in lately."""

from __future__ import annotations

from datetime import timedelta

from bot.assistant import people, running
from bot.assistant.conversation import tank_in_hand
from bot.assistant.turn import Turn
from bot.items import Event, Reading, Understood, Wait
from bot.rules import medicines
from bot.rules.warnings import Scene
from bot.store import logbook
from bot.store import waits as store
from bot.team import Tank

RECENT = timedelta(minutes=30)
TREATED = timedelta(days=90)
_WITH_CORALS = ("reef",)


def tank_of(turn: Turn, understood: Understood) -> Tank | None:
    """The tank that the message is about: the first that it names, else the one in hand."""
    named = (getattr(i, "tank", None) or getattr(i, "to_tank", None) for i in understood.items)
    return turn.tank(next(filter(None, named), None) or tank_in_hand(turn))


def of(turn: Turn, understood: Understood) -> Scene:
    """All that a warning may look at."""
    tank = tank_of(turn, understood)
    return Scene(
        text=turn.text,
        items=understood.items,
        tank_kind=tank.kind if tank else None,
        invertebrates=has_invertebrates(tank),
        open=open_at(turn, tank.name if tank else None),
        recent=_recent_doses(turn, tank),
        medicine=any(_gives_medicine(i) for i in understood.items),
        treated=was_treated(turn, tank),
    )


def has_invertebrates(tank: Tank | None) -> bool:
    """Whether animals live there that copper kills: as the team says, else by the kind of tank."""
    if tank is None:
        return False
    return tank.kind in _WITH_CORALS if tank.invertebrates is None else tank.invertebrates


def open_at(turn: Turn, tank: str | None) -> frozenset[str]:
    """The kinds of wait and the open ends at a site, the person's own without a tank among them."""
    site = people.site_of(turn, tank)
    here = store.open_at(turn.db, site, turn.who.name)
    return frozenset(k for w in here for k in (w.kind, running.of(turn, w).kind.key, str(w.data.get("end") or "")) if k)


def was_treated(turn: Turn, tank: Tank | None) -> bool:
    """Whether something that harms invertebrates was given here lately and has not been tested 0 twice since."""
    if tank is None:
        return False
    since = turn.said_at - TREATED
    doses = logbook.events(turn.db, tank.name, ["dose"], since)
    given = [f for f in doses if isinstance(f.item, Event) and f.message_id != turn.message_id]
    harmful = [f for f in given if medicines.harms_invertebrates(medicines.named(getattr(f.item, "subject", "") or ""))]
    if not harmful:
        return False
    readings = [f for f in logbook.series(turn.db, tank.name, "copper") if f.at > harmful[0].at]
    clear = [f for f in readings if isinstance(f.item, Reading) and (f.item.value == 0 or f.item.below)]
    return len(clear) < 2


def _recent_doses(turn: Turn, tank: Tank | None) -> tuple[str, ...]:
    if tank is None:
        return ()
    found = logbook.events(turn.db, tank.name, ["dose"], turn.said_at - RECENT)
    others = [f.item for f in found if f.message_id != turn.message_id]
    return tuple(i.subject or "" for i in others if isinstance(i, Event))


def _gives_medicine(item: object) -> bool:
    given = isinstance(item, Event) and item.event == "dose"
    bathed = isinstance(item, Wait) and item.wait in ("dip", "other")
    return (given or bathed) and medicines.named(getattr(item, "subject", None) or "") is not None
