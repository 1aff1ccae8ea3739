"""A team's JSON before it is let in: every fault at once, each with its place and what belongs there."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any
from zoneinfo import ZoneInfo

from bot.team import ROLES

_GROUPS = ("people", "clients", "tanks", "vats")
_LONGEST_NAME = 80


def faults(team: Any) -> list[str]:
    """What cannot stand in the team's JSON (machine-readable face, section 4), in the order of the file."""
    if not isinstance(team, Mapping):
        return ['"team" must be an object.']
    return [*_head(team), *(fault for group in _GROUPS for fault in _group(group, team.get(group, [])))]


def _head(team: Mapping[str, Any]) -> Iterator[str]:
    if not isinstance(team.get("name", ""), str):
        yield "name: must be text."
    if team.get("units", "us") not in ("us", "metric"):
        yield f'units: {team["units"]!r} must be "us" or "metric".'
    if not _is_zone(team.get("zone", "UTC")):
        yield f"zone: {team['zone']!r} is no zone name; write one such as Europe/Lisbon."


def _is_zone(name: Any) -> bool:
    try:
        return isinstance(name, str) and bool(ZoneInfo(name))
    except (KeyError, ValueError, OSError):
        return False


def _group(group: str, members: Any) -> Iterator[str]:
    if not isinstance(members, list):
        yield f"{group}: must be a list."
        return
    seen: set[str] = set()
    for number, member in enumerate(members, start=1):
        name = member.get("name") if isinstance(member, Mapping) else None
        if not isinstance(name, str) or not name.strip() or len(name) > _LONGEST_NAME or "\n" in name:
            yield f"{group} {number}: needs a name, one line of at most {_LONGEST_NAME} letters."
            continue
        if name.casefold() in seen:
            yield f"{group} {number}: {name!r} stands there twice."
        seen.add(name.casefold())
        yield from (f"{group} {number} ({name}), {fault}" for fault in _fields(group, member))


def _fields(group: str, member: Mapping[str, Any]) -> Iterator[str]:
    for key, (fits, wanted) in _WANTED[group].items():
        if member.get(key) is not None and not fits(member[key]):
            yield f"{key}: {wanted}."


def _is_text(value: Any) -> bool:
    return isinstance(value, str)


def _is_flag(value: Any) -> bool:
    return isinstance(value, bool)


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e12


def _is_quantity(value: Any) -> bool:
    return isinstance(value, Mapping) and _is_number(value.get("value")) and _is_text(value.get("unit"))


def _is_amount(value: Any) -> bool:
    return _is_quantity(value) and value["value"] > 0


def _is_list_of(fits: Callable[[Any], bool]) -> Callable[[Any], bool]:
    return lambda value: isinstance(value, list) and all(map(fits, value))


def _is_object(value: Any) -> bool:
    return isinstance(value, Mapping)


def _is_water(value: Any) -> bool:
    return _is_quantity(value) and _is_text(value.get("parameter"))


def _is_ranges(value: Any) -> bool:
    return isinstance(value, Mapping) and all(map(_is_range, value.values()))


def _is_range(value: Any) -> bool:
    if not isinstance(value, Mapping) or not _is_text(value.get("unit")):
        return False
    return all(value.get(key) is None or _is_number(value[key]) for key in ("low", "high", "most_per_day"))


_TEXT = (_is_text, "must be text")
_FLAG = (_is_flag, "must be true or false")
_AMOUNT = (_is_amount, 'must be {"value": a number above 0, "unit": "..."}')
_WANTED: dict[str, dict[str, tuple[Callable[[Any], bool], str]]] = {
    "people": {
        "role": (lambda v: v in ROLES, f"must be one of {', '.join(ROLES)}"),
        "units": (lambda v: v in ("us", "metric"), 'must be "us" or "metric"'),
    },
    "clients": {
        "address": _TEXT,
        "contact": _TEXT,
        "chloramine": _FLAG,
        "water": (_is_list_of(_is_water), 'must be a list of {"parameter", "value", "unit"}'),
    },
    "tanks": {
        "client": _TEXT,
        "kind": _TEXT,
        "volume": _AMOUNT,
        "nicknames": (_is_list_of(_is_text), "must be a list of words"),
        "animals": (_is_list_of(_is_object), "must be a list of objects"),
        "invertebrates": _FLAG,
        "ranges": (_is_ranges, 'must be {parameter: {"low", "high", "unit", "most_per_day"}}'),
        "orders": (_is_list_of(_is_object), "must be a list of objects"),
        "panel": (_is_list_of(_is_text), "must be a list of words"),
        "every_days": (lambda v: _is_number(v) and v > 0, "must be a number of days above 0"),
        "weekday": _TEXT,
        "notes": _TEXT,
    },
    "vats": {"volume": _AMOUNT, "fills_at": _AMOUNT, "holds": _TEXT, "notes": _TEXT},
}
