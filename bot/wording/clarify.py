"""Asking back: what was seen, why it cannot stand, what to send instead; with answers for the thumb."""

from __future__ import annotations

from collections.abc import Sequence

from bot.facts.load import table
from bot.items import Clarify
from bot.team import Team
from bot.wording.quantities import full_name, number, unit_word

MOST = 3
Options = tuple[tuple[str, str], ...]


def question(item: Clarify, parts: Sequence[str], team: Team) -> str:
    """The sentence that asks."""
    words = '", "'.join(parts)
    place = f"{item.tank}: " if item.tank and item.why in _ASKS else ""
    return place + _ASKS.get(item.why, _not_understood)(item, words)


def options(item: Clarify, team: Team) -> Options:
    """Up to three answers as (label, value)."""
    if item.why == "which_tank":
        names = item.options or tuple(t.name for t in team.tanks)
        return tuple((name, name) for name in names[:MOST]) if len(names) <= MOST else ()
    offered = tuple((_label(o, item), o) for o in item.options[: MOST - 1])
    return (*offered, ("Skip", "skip"))


def _label(option: str, item: Clarify) -> str:
    return full_name(option) if item.why == "which_parameter" else unit_word(option) or option


def _which_tank(item: Clarify, words: str) -> str:
    if item.options:
        return f'"{words}": {" or ".join(item.options[:MOST])}? Not stored yet.'
    return f'"{words}" is for which tank? Not stored yet: name it.'


def _which_parameter(item: Clarify, words: str) -> str:
    return f'"{words}" is what? Not stored yet: name it, such as "ph {number(item.value) if item.value else "8.2"}".'


def _which_unit(item: Clarify, words: str) -> str:
    choices = " or ".join(unit_word(o) or o for o in item.options) or "which unit"
    return f'"{words}": {choices}? Not stored yet.'


def _which_time(item: Clarify, words: str) -> str:
    return f'"{words}": when was that? Not stored yet: send the time, such as 10:40.'


def _unlikely(item: Clarify, words: str) -> str:
    name = full_name(item.parameter) if item.parameter else "it"
    possible = table("parameters").get(item.parameter or "", {}).get("possible")
    span = f" (possible: {possible})" if isinstance(possible, str) else ""
    return f'"{words}" cannot be{span}. Not stored. {name[:1].upper() + name[1:] if name != "pH" else name}?'


def _missing(item: Clarify, words: str) -> str:
    return f'"{words}": how much, or how long? Not stored yet.'


def _not_understood(item: Clarify, words: str) -> str:
    return f'Not understood: "{words}". Nothing of it is stored: say it in other words, such as "ph 8.2" or "20% wc".'


_ASKS = {
    "which_tank": _which_tank,
    "which_parameter": _which_parameter,
    "which_unit": _which_unit,
    "which_time": _which_time,
    "unlikely_value": _unlikely,
    "missing_amount": _missing,
}
