"""The items of a message as the contract writes them, and back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from datetime import date, datetime
from typing import Any

from bot.items import KINDS, Item, Quantity, Reading

_NO_TANK = frozenset({"stock"})


def as_json(item: Item) -> dict[str, Any]:
    """The item as the contract writes it: `kind` first, defaults left out, times in ISO form."""
    unsaid = ("value",) if isinstance(item, Reading) and item.beyond else ()
    shown = {f.name: getattr(item, f.name) for f in fields(item) if f.name not in unsaid}
    return {"kind": item.kind} | {k: _plain(v) for k, v in shown.items() if _is_said(item.kind, k, v)}


def from_json(data: Mapping[str, Any]) -> Item:
    """The item that `as_json` wrote; raises KeyError or TypeError on anything else."""
    shape = KINDS[data["kind"]]
    known = {f.name for f in fields(shape)}
    unsaid = {"value": 0.0} if shape is Reading and data.get("above") else {}
    return shape(**unsaid | {k: _revived(k, v) for k, v in data.items() if k in known})  # type: ignore[no-any-return]


def _is_said(kind: str, key: str, value: Any) -> bool:
    if key == "of":
        return bool(value != "tank")
    if key == "tank" and value is None:
        return kind not in _NO_TANK
    if key == "minutes" and value is None:
        return kind == "wait"
    if kind in ("question", "setting") and key in ("inputs", "values"):
        return True
    return value is not None and value is not False and value not in ((), {})


def _plain(value: Any) -> Any:
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, Quantity):
        return {"value": value.value, "unit": value.unit}
    if isinstance(value, Mapping):
        return {k: _plain(v) for k, v in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(v) for v in value]
    return as_json(value) if type(value) in KINDS.values() else value


def _revived(key: str, value: Any) -> Any:
    if key in ("at", "started", "due", "to", "date", "expiry") and isinstance(value, str):
        return datetime.fromisoformat(value) if "T" in value else date.fromisoformat(value)
    if key in ("inputs", "values"):
        return {k: _quantity_or_word(v) for k, v in value.items()}
    if isinstance(value, list):
        return tuple(value)
    return from_json(value) if isinstance(value, Mapping) and "kind" in value else value


def _quantity_or_word(value: Any) -> Any:
    if isinstance(value, Mapping) and set(value) == {"value", "unit"}:
        return Quantity(**value)
    return value
