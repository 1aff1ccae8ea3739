"""A veterinarian's instruction put on file, by office or owner: what is dangerous or missing in it is asked about."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from bot.assistant.setup_tanks import meant, stored, which
from bot.assistant.turn import Part, Turn
from bot.items import Item, Quantity, Setting
from bot.rules import medicines, treatments
from bot.rules import setup as rules
from bot.store.roster import amend
from bot.team import Tank
from bot.wording import orders as wording

_AS_SAID = ("by", "name", "treatment", "form", "days", "minutes", "animals", "text")


def order(turn: Turn, item: Item) -> list[Part]:
    """Files an instruction for a tank; one without a treatment, or that would kill what lives there, is not filed."""
    assert isinstance(item, Setting)
    tank = meant(turn, item)
    if tank is None:
        return which()
    if not item.values.get("treatment"):
        return [Part(head=wording.no_treatment(tank.name))]
    named = medicines.named(str(item.values["treatment"]))
    if medicines.harms_invertebrates(named) and tank.invertebrates:
        return [Part(head=wording.harms(named or "", tank.name))]
    new = _as_json(turn, item)
    orders = [*(dict(o) for o in tank.orders), new]
    amend(turn.db, turn.message_id, "tank", tank.name, orders=orders)
    doubts = (*_doubts(tank, item, named), *wording.lacking(new))
    said = wording.filed(new)
    return stored(turn, Setting("order", tank.name, item.values), said, tank=tank.name, lines=doubts[:2])


def _as_json(turn: Turn, item: Setting) -> dict[str, Any]:
    """The order as the team's JSON writes it, from the day it is filed."""
    today = turn.local(turn.now).date()
    told: dict[str, Any] = {k: item.values[k] for k in _AS_SAID if item.values.get(k) is not None}
    amounts = {k: rules.as_json(q) for k in ("target", "strength") if isinstance(q := item.values.get(k), Quantity)}
    days = item.values.get("days")
    until = {"until": (today + timedelta(days=float(days))).isoformat()} if days else {}
    return told | amounts | {"filed_by": turn.who.name, "date": today.isoformat()} | until


def _doubts(tank: Tank, item: Setting, named: str | None) -> list[str]:
    """What in the order is so unusual that the veterinarian is asked once more before anything is dosed."""
    target: Quantity | None = item.values.get("target")
    unknown = medicines.harms_invertebrates(named) and tank.invertebrates is None
    return [
        *([wording.above_ceiling(*found)] if (found := treatments.above_ceiling(named, target)) else []),
        *([wording.invertebrates_unknown(tank.name)] if unknown else []),
    ]


def course_over(turn: Turn, item: Item) -> list[Part]:
    """A course is said to be over: noted on its order; what came out for it goes back a day after the last dose."""
    assert isinstance(item, Setting)
    tank = meant(turn, item)
    if tank is None:
        return which()
    today = turn.local(turn.now).date()
    running = [o for o in tank.orders if medicines.in_force(o, today) and _is_meant(o, item)]
    if not running:
        return [Part(lines=(f"{tank.name}: no treatment on file that is running.",))]
    orders = [dict(o) | ({"ended": today.isoformat()} if o in running else {}) for o in tank.orders]
    amend(turn.db, turn.message_id, "tank", tank.name, orders=orders)
    names = ", ".join(str(o.get("treatment", "")) for o in running)
    return stored(turn, Setting("course", tank.name, item.values), f"{names} course ended", tank=tank.name,
                  lines=(wording.after_course(),))  # fmt: skip


def _is_meant(order: Any, item: Setting) -> bool:
    named = item.values.get("treatment")
    return not named or medicines.named(str(order.get("treatment", ""))) == named
