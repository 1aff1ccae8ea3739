"""U6: what a tank's supplies cost in a month; of all tanks as a table too."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from typing import Any

from bot.assistant import stocked, vats
from bot.assistant.pictures import attached
from bot.assistant.turn import Part, Turn
from bot.items import Stock
from bot.rules import costs as rules
from bot.rules.costs import Sums
from bot.rules.supplies import supply
from bot.wording import supplies as wording

_METERED = ("temperature", "salinity", "ph", "conductivity", "orp", "tds", "oxygen")
"""Read on a meter: no kit is used up, unless the team counts one."""


def answer(turn: Turn, item: Stock) -> list[Part]:
    """The month of a tank, or of all."""
    month = item.due or turn.local(turn.now).date().replace(day=1)
    found = of_month(turn, month)
    if item.tank:
        head, *lines = wording.cost(item.tank, month, found.get(item.tank, {}), stocked.us(turn))
        return [Part(head=head, lines=tuple(lines))]
    sums = {tank: rules.money(keys) for tank, keys in found.items()}
    head, *lines = wording.costs(month, {t: m for t, m in sums.items() if m})
    name = attached(turn, "costs", ending="csv", rows=table_of(found, month))
    return [Part(head=head, lines=tuple(lines), files=(name,))]


def of_month(turn: Turn, month: date) -> dict[str, Sums]:
    """What each tank used in a month."""
    last = (month.replace(day=28) + timedelta(days=4)).replace(day=1) - timedelta(days=1)
    start = datetime.combine(month, time(), turn.zone)
    entries = stocked.entries_between(turn, _tests(turn), start, datetime.combine(last, time.max, turn.zone))
    return rules.by_tank(entries, vats.load(turn, whole=True), month, last, stocked.own(turn))


def table_of(found: Mapping[str, Sums], month: date) -> list[list[Any]]:
    """The month as a table: a row for each tank and supply."""
    rows: list[list[Any]] = [["month", "tank", "supply", "amount", "unit", "cost"]]
    for tank, sums in sorted(found.items()):
        for of, (amount, money) in sums.items():
            cost = None if money is None else round(money, 2)
            rows.append([f"{month:%Y-%m}", tank, wording.name(of), round(amount, 3), of.unit or "pieces", cost])
    return rows


def _tests(turn: Turn) -> list[str]:
    """Every test that a kit is used for."""
    from bot.facts.load import table

    own = stocked.own(turn)
    metered = [p for p in _METERED if supply(f"{p} kit", own).price is None]
    return [name for name in table("parameters") if name not in metered and isinstance(table("parameters")[name], dict)]
