"""A calculation asked for: what the tank knows goes in with what was said, the figure comes first."""

from __future__ import annotations

from bot.assistant.turn import Part, Turn
from bot.items import Item, Quantity, Question, Reading
from bot.science.working import Known
from bot.store import logbook


def take(turn: Turn, item: Item) -> list[Part]:
    """Answers a question; stores nothing."""
    # pint is slow to load: only the first question waits for it
    from bot.science.topics import calculate
    from bot.wording import questions as wording

    assert isinstance(item, Question)
    worked = calculate(item, known(turn, item.tank))
    head, *lines = wording.reply_lines(worked)
    return [Part(head=head, lines=tuple(lines))]


def known(turn: Turn, tank_name: str | None) -> Known:
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
        readings=_readings(turn, tank.name),
        targets={n: Quantity((r.low + r.high) / 2, r.unit) for n, r in tank.ranges.items() if r.low and r.high},
        most_per_day={n: Quantity(r.most_per_day, r.unit) for n, r in tank.ranges.items() if r.most_per_day},
        invertebrates=tank.invertebrates,
        salt_g_per_L_at_35=turn.team.data.get("salt_g_per_L_at_35"),
        hydrometer=tank.data.get("hydrometer") or turn.team.data.get("hydrometer"),
        orders=tuple(f"{o.get('treatment', '')} {o.get('form', '')}".strip() for o in tank.orders),
        habit=habit,
    )


def _readings(turn: Turn, tank: str) -> dict[str, Quantity]:
    found: dict[str, Quantity] = {}
    for fact in logbook.events(turn.db, tank, kind="reading", limit=60):
        item = fact.item
        if isinstance(item, Reading) and not item.unconfirmed and item.of == "tank":
            found.setdefault(item.parameter, Quantity(item.value, item.unit))
    return found
