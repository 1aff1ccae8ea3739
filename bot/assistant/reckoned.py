"""Warnings that need a sum: cold water, alkalinity in one go, chloramine freed, a second dose in the same water."""

from __future__ import annotations

from datetime import timedelta

from bot.assistant.turn import Turn
from bot.facts.load import table
from bot.items import Event, Item, Quantity, Question, Reading, Understood
from bot.rules import medicines
from bot.rules.warnings import Warning
from bot.rules.words import says
from bot.science.inputs import in_unit
from bot.science.topics import calculate
from bot.science.working import Known, Working
from bot.store import logbook
from bot.team import Tank
from bot.wording import reckoned as wording


def found(turn: Turn, understood: Understood, tank: Tank | None) -> list[Warning]:
    """Everything that the numbers of the message and of the tank call for."""
    if tank is None:
        return []
    known = [_cold_change(turn, understood, tank), _chloramine(turn, understood, tank)]
    known += [w for item in understood.items for w in (_in_one_go(turn, item, tank), _stacked(turn, item, tank))]
    return [w for w in known if w]


def _cold_change(turn: Turn, understood: Understood, tank: Tank) -> Warning | None:
    """New water so much colder or warmer that the tank moves by more than a degree."""
    share = _share(understood, tank)
    new = _new_water(turn, understood)
    now = _value(turn, understood, tank, "temperature", "degC")
    if share is None or new is None or now is None:
        return None
    after = now + share * (new - now)
    limit = table("reckoned")["blend"]["most"]
    if abs(after - now) <= limit:
        return None
    unit = "degF" if (turn.who.units or turn.team.units) == "us" else "degC"
    return Warning("cold_change", 3, "STOP", wording.blend(after, now, unit))


def _in_one_go(turn: Turn, item: Item, tank: Tank) -> Warning | None:
    """A dose that moves alkalinity, calcium or magnesium by more than a day's worth."""
    if not isinstance(item, Event) or item.event != "dose" or item.amount is None or not item.unit or not tank.volume:
        return None
    for parameter, most in table("reckoned")["a_day"].items():
        inputs: dict[str, Quantity | str] = {
            "ask": "change", "added": Quantity(item.amount, item.unit), "chemical": item.subject or "",
            "volume": tank.volume, "parameter": parameter,
        }  # fmt: skip
        worked = calculate(Question("dose", inputs), Known(volume_L=in_unit(tank.volume, "L", "volume")))
        if isinstance(worked, Working) and worked.figures[0].unit == most["unit"]:
            rise = worked.figures[0].value
            own = tank.ranges.get(parameter)
            limit = own.most_per_day if own and own.most_per_day and own.unit == most["unit"] else most["value"]
            if rise > limit * _TOLERANCE:
                return Warning("in_one_go", 4, "STOP", wording.in_one_go(parameter, rise, limit, most["unit"]))
    return None


def _chloramine(turn: Turn, understood: Understood, tank: Tank) -> Warning | None:
    """A large change with chloraminated water: what it frees as ammonia in the tank."""
    client = turn.team.client_of(tank)
    share = _share(understood, tank)
    facts = table("reckoned")["chloramine"]
    if client is None or not client.chloramine or share is None or share < facts["share"]:
        return None
    chlorine = client.water.get("chlorine")
    if chlorine is None:
        return None
    freed = chlorine.value * table("neutralisers")["chloramine"]["nitrogen"] * share
    ph = client.water.get("ph")
    return Warning("chloramine", 5, "Watch", wording.chloramine(freed, ph.value if ph else None))


def _stacked(turn: Turn, item: Item, tank: Tank) -> Warning | None:
    """A second dose of a medication without a water change since the first."""
    name = medicines.named(getattr(item, "subject", None) or "") if isinstance(item, Event) else None
    if not isinstance(item, Event) or item.event != "dose" or name is None:
        return None
    since = turn.said_at - timedelta(days=table("reckoned")["stacked"]["within"])
    doses = [f for f in logbook.events(turn.db, tank.name, ["dose"], since) if f.message_id != turn.message_id]
    same = [f for f in doses if medicines.named(getattr(f.item, "subject", None) or "") == name]
    if not same:
        return None
    changes = logbook.events(turn.db, tank.name, ["water_change"], same[0].at)
    days = (turn.said_at - same[0].at).total_seconds() / 86400
    return None if changes else Warning("stacked", 3, "STOP", wording.stacked(name, days))


def _share(understood: Understood, tank: Tank) -> float | None:
    """The share of the tank's water that is changed in this message, asked about or done."""
    for item in understood.items:
        if isinstance(item, Event) and item.event == "water_change" and item.amount:
            return _as_share(Quantity(item.amount, item.unit or ""), tank)
        change = item.inputs.get("change") if isinstance(item, Question) else None
        if isinstance(change, Quantity):
            return _as_share(change, tank)
    return None


def _as_share(amount: Quantity, tank: Tank) -> float | None:
    if amount.unit == "%":
        return amount.value / 100
    if not tank.volume or amount.unit not in ("gal", "L"):
        return None
    return min(in_unit(amount, "L", "volume") / in_unit(tank.volume, "L", "volume"), 1.0)


def _new_water(turn: Turn, understood: Understood) -> float | None:
    """The temperature of the new water, degC, where the message says it, or speaks of new water and one temperature."""
    said = [i for i in understood.items if isinstance(i, Reading) and i.parameter == "temperature"]
    new = [i for i in said if i.of in ("source", "batch")] or (said if len(said) == 1 and _speaks_of_it(turn) else [])
    return in_unit(Quantity(new[0].value, new[0].unit), "degC", "temperature") if new else None


def _speaks_of_it(turn: Turn) -> bool:
    return says(turn.text, table("words_warnings")["groups"]["new_water"])


def _value(turn: Turn, understood: Understood, tank: Tank, parameter: str, unit: str) -> float | None:
    """The tank's own value: of this message, else the last confirmed one."""
    here = (i for i in understood.items if isinstance(i, Reading) and i.parameter == parameter and i.of == "tank")
    item = None if _speaks_of_it(turn) else next(here, None)
    fact = logbook.last_confirmed(turn.db, tank.name, parameter) if item is None else None
    last = item or (fact.item if fact and isinstance(fact.item, Reading) else None)
    return in_unit(Quantity(last.value, last.unit), unit, parameter) if last else None


_TOLERANCE = 1.05
"""A dose worked out for exactly a day's worth, and weighed with a spoon, is not warned about."""
