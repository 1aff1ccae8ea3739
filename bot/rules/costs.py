"""What a tank used up in a month, and what that cost: uses by their price, salt by the water that the tank took."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from bot.rules.batches import NewWater
from bot.rules.stock import Entry
from bot.rules.supplies import Own, Supply, supply, uses_of

Sums = dict[Supply, tuple[float, float | None]]
SHOP = "the shop"


def by_tank(entries: Iterable[Entry], waters: Sequence[NewWater], first: date, last: date, own: Own) -> dict[str, Sums]:
    """Each tank's supplies of the days from first to last: the amount, and its money where a price is known."""
    amounts: dict[str, dict[str, float]] = {}
    for entry in entries:
        if first <= entry.at.date() <= last:
            for use in uses_of(entry.item, own):
                if use.key != "salt" or not use.shop:
                    _add(amounts, use.tank or SHOP, use.key, use.amount)
    for tank, grams in _salt(waters, first, last):
        _add(amounts, tank, "salt", grams)
    return {tank: _priced(keys, own) for tank, keys in amounts.items()}


def money(sums: Sums) -> float:
    """What of it has a price."""
    return sum(value or 0.0 for _, value in sums.values())


def _salt(waters: Sequence[NewWater], first: date, last: date) -> Iterable[tuple[str, float]]:
    """The salt in the water that each tank took."""
    for water in waters:
        for draw in water.draws:
            if draw.tank and draw.litres and first <= draw.at.date() <= last and water.salt_g_L:
                yield draw.tank, draw.litres * water.salt_g_L


def _add(amounts: dict[str, dict[str, float]], tank: str, key: str, amount: float) -> None:
    of_tank = amounts.setdefault(tank, {})
    of_tank[key] = of_tank.get(key, 0.0) + amount


def _priced(keys: dict[str, float], own: Own) -> Sums:
    found = {supply(key, own): amount for key, amount in keys.items()}
    return {of: (amount, None if of.price is None else of.price / of.pack * amount) for of, amount in found.items()}
