"""Before a dose is poured (G5): not given today already, worked out from a test of today that somebody stands by."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, time

from bot.assistant.conversation import tank_in_hand
from bot.assistant.turn import Part, Turn
from bot.items import Event, Item, Question, Reading
from bot.rules import consequences
from bot.rules.words import alike
from bot.store import logbook
from bot.store.logbook import Fact
from bot.wording import doses as wording

_RANK = 10


def hold(turn: Turn, item: Question, tested_at: Mapping[str, datetime]) -> tuple[int, str] | None:
    """What holds a dose up that was just worked out; None where nothing does.

    tested_at   when each of the readings that it came from held
    """
    tank, parameter = turn.tank(item.tank), item.inputs.get("parameter")
    if item.topic != "dose" or tank is None or not isinstance(parameter, str):
        return None
    given = _given_today(turn, tank.name, parameter)
    if given is not None and isinstance(given.item, Event):
        return _RANK, wording.given(given.who, given.item, turn.local(given.at))
    doubted = _doubted(turn, tank.name, parameter)
    if doubted is not None:
        return _RANK, wording.doubted(doubted, parameter)
    at = tested_at.get(parameter)
    today = turn.local(turn.now).date()
    if at is not None and turn.local(at).date() != today:
        return _RANK, wording.not_of_today(parameter, turn.local(at).date(), today)
    return None


def intended(turn: Turn, item: Item) -> list[Part]:
    """ "about to dose alk, ok?": what was given today already is said before it is poured; nothing is stored."""
    tank = turn.tank(getattr(item, "tank", None) or tank_in_hand(turn))
    subject = getattr(item, "subject", None) or turn.text
    start = datetime.combine(turn.local(turn.now).date(), time(), turn.zone)
    given = logbook.events(turn.db, tank.name, ["dose"], start, turn.now) if tank else []
    doses = [(f, f.item) for f in given if isinstance(f.item, Event) and alike(subject, f.item.subject or "")]
    if tank is None or not doses:
        return [Part(lines=(wording.not_yet(),))]
    fact, dose = doses[0]
    return [Part(head=wording.already(tank.name, fact.who, dose, turn.local(fact.at)), urgent=True)]


def _given_today(turn: Turn, tank: str, parameter: str) -> Fact | None:
    """The last dose of today that moves the same thing."""
    start = datetime.combine(turn.local(turn.now).date(), time(), turn.zone)
    found = logbook.events(turn.db, tank, ["dose"], start, turn.now)
    return next((f for f in found if consequences.stands_for(getattr(f.item, "subject", "") or "", parameter)), None)


def _doubted(turn: Turn, tank: str, parameter: str) -> Reading | None:
    """A newer test of the same thing that nobody has confirmed."""
    newest = next(iter(logbook.series(turn.db, tank, parameter, 1)), None)
    return newest.item if newest and isinstance(newest.item, Reading) and newest.item.unconfirmed else None
