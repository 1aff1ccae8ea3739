"""A container fills: when it is full is worked out, and somebody is told before it runs over."""

from __future__ import annotations

from bot.assistant import open_ends
from bot.assistant.conversation import situation, tank_in_hand
from bot.assistant.turn import Part, Turn
from bot.items import Clarify, Event, Understood, Wait
from bot.rules import filling as rules
from bot.rules.filling import Filling
from bot.rules.waits import after
from bot.team import Vat
from bot.wording import filling as wording
from bot.wording.quantities import quantity

_CLOSED_BY_WORD = "other"


def take(turn: Turn, item: Wait) -> list[Part] | None:
    """A filling whose size and flow are known, instead of a timer; None where it is none."""
    if item.wait != _CLOSED_BY_WORD:
        return None
    plan = _planned(turn)
    return _start(turn, plan, item.tank) if plan else None


def look(turn: Turn, understood: Understood, _: list[Part]) -> list[Part]:
    """A filling in words that are no entry by themselves."""
    if any(not isinstance(i, Clarify) or i.why != "not_understood" for i in understood.items):
        return []
    plan = _planned(turn)
    return _start(turn, plan, tank_in_hand(turn)) if plan else []


def _planned(turn: Turn) -> Filling | None:
    return rules.planned(turn.text, turn.situation or situation(turn), _vat(turn))


def _vat(turn: Turn) -> Vat | None:
    text = turn.text.casefold()
    return next((v for v in turn.team.vats if v.name.casefold() in text), None)


def _start(turn: Turn, plan: Filling, tank: str | None) -> list[Part]:
    vat = _vat(turn)
    place = {"vat": vat.name} if vat else {"tank": tank}
    event = Event(
        "equipment", subject="filling", state="on", amount=plan.volume.value, unit=plan.volume.unit, open=True, **place
    )
    fact_id = turn.keep(event)
    part = open_ends.open_end(
        turn, "filling", event, fact_id, plan.ping_after, quantity(plan.volume.value, plan.volume.unit, 0)
    )
    today = turn.local(turn.now).date()
    full, ping = (turn.local(after(turn.said_at, m)) for m in (plan.minutes, plan.ping_after))
    said = wording.started(plan, full, ping, today)
    return [Part(said=(said,), tank=event.vat or event.tank, stored=True, lines=part.lines, warns=True)]
