"""An entry in the units of whoever reads it: the record keeps what was said, each person sees one system."""

from __future__ import annotations

from dataclasses import replace

from bot.items import Event, Item, Reading
from bot.science.inputs import converted
from bot.wording.quantities import as_instrument

_OTHER = {"degF": "degC", "degC": "degF", "gal": "L", "L": "gal"}
_US = ("degF", "gal")
_WATER = ("water_change", "top_off")


def in_habit(item: Item, us: bool) -> Item:
    """Temperatures in °F or °C, water in gallons or litres; what was said in the reader's own system stays as typed."""
    if isinstance(item, Reading) and item.parameter == "temperature" and _is_other(item.unit, us):
        low, high = (None if end is None else _shown(end, item.unit) for end in (item.low, item.high))
        return replace(item, value=_shown(item.value, item.unit), unit=_OTHER[item.unit], low=low, high=high)
    if isinstance(item, Event) and item.event in _WATER and item.amount and _is_other(item.unit or "", us):
        assert item.unit
        return replace(item, amount=_shown(item.amount, item.unit), unit=_OTHER[item.unit])
    return item


def _is_other(unit: str, us: bool) -> bool:
    return unit in _OTHER and (unit in _US) != us


def _shown(value: float, unit: str) -> float:
    return float(as_instrument(converted(value, unit, _OTHER[unit]), _OTHER[unit]))
