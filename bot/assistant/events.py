"""Something done or seen: kept and quoted; a change in per cent with its litres where the volume is known."""

from __future__ import annotations

from bot.assistant import doubles, drawing, guards, open_ends
from bot.assistant.turn import Part, Turn
from bot.items import Event, Item
from bot.wording import entries, quantities


def take(turn: Turn, item: Item) -> list[Part]:
    """Keeps an event and quotes it."""
    assert isinstance(item, Event)
    held = doubles.guard(turn, item)
    if held is not None:
        return held
    remark = doubles.own_again(turn, item)
    item = open_ends.marked(turn, drawing.drawn(turn, item))
    fact_id = turn.keep(item)
    drawing.emptied(turn, item)
    said = (entries.event(item, _litres(turn, item)), *drawing.told(turn, item))
    remark = remark or drawing.remark(turn, item)
    quote = Part(said=said, tank=item.tank or item.vat, at=item.at, stored=True, remark=remark)
    arrived = guards.newcomers(turn, item) if item.event == "livestock_added" else []
    return [quote, *open_ends.follow_up(turn, item, fact_id), *arrived, *drawing.ask_source(turn, item, fact_id)]


def _litres(turn: Turn, item: Event) -> str:
    tank = turn.tank(item.tank)
    if item.event != "water_change" or item.unit != "%" or item.amount is None or not tank or not tank.volume:
        return ""
    amount = quantities.quantity(tank.volume.value * item.amount / 100, tank.volume.unit, 0)
    return f"({amount} of {quantities.quantity(tank.volume.value, tank.volume.unit, 0)})"
