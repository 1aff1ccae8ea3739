"""A calculation asked for: what the tank knows goes in with what was said; the figure first, the rest on [Steps]."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from typing import Any

from bot.assistant import doses, vats
from bot.assistant.turn import Part, Turn
from bot.items import Item, Quantity, Question, Reading
from bot.messages import Button
from bot.rules import medicines, treatments
from bot.science.working import Figure, Known, Working
from bot.store import logbook, worked
from bot.wording import treatments as treatment_words

MOST_STEPS = 2
"""So many steps of a sum stand under the figure for those who learn; all of them behind [Steps]."""


@dataclass(frozen=True)
class Last:
    """The last confirmed reading of a parameter: its fact, when it held, its value."""

    fact_id: int
    at: datetime
    value: Quantity


class Watched(dict[str, Quantity]):
    """A tank's last readings, and which of them a sum has looked at."""

    def __init__(self, found: Mapping[str, Quantity]) -> None:
        super().__init__(found)
        self.used: list[str] = []

    def get(self, key: str, default: Any = None) -> Any:
        if key in self:
            self.used.append(key)
        return super().get(key, default)


def take(turn: Turn, item: Item) -> list[Part]:
    """Answers a question; the answer is noted with the readings that it came from."""
    # pint is slow to load: only the first question waits for it
    from bot.science.topics import calculate
    from bot.wording import questions as wording

    assert isinstance(item, Question)
    order = _order_asked_about(turn, item)
    item = _as_ordered(turn, item, order) if order else item
    last = {} if item.vat else last_readings(turn, item.tank)
    readings = Watched({name: each.value for name, each in last.items()})
    answer = calculate(item, of_vat(turn, item.vat) if item.vat else known(turn, item.tank, readings))
    head, *lines = wording.reply_lines(answer, item.vat or item.tank)
    if not isinstance(answer, Working):
        return [Part(head=head, lines=tuple(lines))]
    sources = [last[name].fact_id for name in dict.fromkeys(readings.used)]
    number = worked.keep(turn.db, turn.message_id, item.tank, turn.said_at, item, asdict(answer), sources)
    by = (treatment_words.by_order(order),) if order else ()
    held = doses.hold(turn, item, {name: last[name].at for name in readings.used})
    steps = tuple(answer.steps[:MOST_STEPS]) if turn.who.role == "learner" else ()
    return [Part(head=head, lines=(*by, *steps, *lines), remark=held, buttons=(Button("Steps", f"s:{number}"),))]


def _order_asked_about(turn: Turn, item: Question) -> Mapping[str, Any] | None:
    """The order on file, with its level, for a treatment that is asked about by its name alone."""
    tank = turn.tank(item.tank)
    named = medicines.named(item.text or turn.text) if item.topic == "treatment" and "to" not in item.inputs else None
    order = treatments.running(tank.orders, turn.local(turn.now).date(), named) if tank and named else None
    return order if order and order.get("target") else None


def _as_ordered(turn: Turn, item: Question, order: Mapping[str, Any]) -> Question:
    """The question with the level and the strength of the order."""
    told: dict[str, Quantity | str] = {"chemical": str(order["treatment"]), "to": quantity_of(order["target"])}
    told |= {"strength": quantity_of(order["strength"])} if order.get("strength") else {}
    test = treatments.test_of(medicines.named(str(order["treatment"])))
    now = last_readings(turn, item.tank).get(test or "")
    told |= {"from": now.value} if now else {}
    kept = {k: v for k, v in item.inputs.items() if k not in ("ask", "ordered")}
    return replace(item, inputs=told | kept)


def quantity_of(data: Mapping[str, Any]) -> Quantity:
    """A quantity of an order; a strength in mg/mL is g/L."""
    unit = "g/L" if data["unit"] == "mg/mL" else str(data["unit"])
    return Quantity(float(data["value"]), unit)


def press_steps(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[Steps] under an answer: how it was worked out, all that was assumed, each caution in full, the sources."""
    from bot.wording import questions as wording

    found = worked.find(turn.db, int(args[0]))
    return [Part(head="\n".join(wording.full_lines(_working(found.data))))] if found else []


def known(turn: Turn, tank_name: str | None, readings: Mapping[str, Quantity]) -> Known:
    """What is on record about a tank: its volume, last confirmed readings, wanted values, orders."""
    from bot.science.inputs import in_unit

    tank = turn.tank(tank_name)
    habit = turn.who.units or turn.team.units
    if tank is None:
        return Known(habit=habit, salt_g_per_L_at_35=turn.team.data.get("salt_g_per_L_at_35"))
    volume = in_unit(tank.volume, "L", "volume") if tank.volume else None
    return Known(
        tank=tank.name,
        tank_kind=tank.kind,
        volume_L=volume,
        readings=readings,
        targets={n: Quantity((r.low + r.high) / 2, r.unit) for n, r in tank.ranges.items() if r.low and r.high},
        most_per_day={n: Quantity(r.most_per_day, r.unit) for n, r in tank.ranges.items() if r.most_per_day},
        invertebrates=tank.invertebrates,
        salt_g_per_L_at_35=turn.team.data.get("salt_g_per_L_at_35"),
        hydrometer=tank.data.get("hydrometer") or turn.team.data.get("hydrometer"),
        orders=tuple(f"{o.get('treatment', '')} {o.get('form', '')}".strip() for o in tank.orders),
        habit=habit,
    )


def of_vat(turn: Turn, name: str) -> Known:
    """What is on record about a vat: how much it holds; what stands in it just now is another matter."""
    room = vats.room_L(turn.team.vat(name))
    salt = turn.team.data.get("salt_g_per_L_at_35")
    return Known(
        tank=name, volume_L=room, new_water=True, salt_g_per_L_at_35=salt, habit=turn.who.units or turn.team.units
    )


def last_readings(turn: Turn, tank: str | None) -> dict[str, Last]:
    """The last confirmed reading of each parameter at a tank."""
    found: dict[str, Last] = {}
    for fact in logbook.events(turn.db, tank, kind="reading", limit=60) if tank else ():
        item = fact.item
        if isinstance(item, Reading) and not item.unconfirmed and item.of == "tank":
            found.setdefault(item.parameter, Last(fact.id, fact.at, Quantity(item.value, item.unit)))
    return found


def _working(data: Mapping[str, Any]) -> Working:
    lists = {k: tuple(data[k]) for k in ("steps", "assumed", "cautions", "sources")}
    return Working(data["topic"], tuple(Figure(**f) for f in data["figures"]), **lists)
