"""Whether the numbers of a sum lead where they are to lead: changes of water from `from` past `to` towards `source`.

A topic's `course` (facts/question_slots.toml) names the three; `absent` is where it leads if that is not said. Where
the words put them in an order that cannot be, another order that can be is taken if the words speak nearly as well
for it; otherwise the sum itself says that it cannot be.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import permutations
from typing import Any

from bot.items import Quantity

_NONSENSE = 2.0
"""What an assignment loses whose numbers cannot be so."""

Values = Mapping[str, Quantity]


def sensible(
    chosen: dict[int, str], fits: list[dict[str, tuple[float, Quantity]]], topic: Mapping[str, Any]
) -> tuple[float, dict[int, str]]:
    """What the score gains, and the assignment: as chosen, or with the numbers of the course changed about."""
    course = topic.get("course")
    if not course or _can_be(_values(chosen, fits), course):
        return 0.0, chosen
    others = ((_gain(chosen, other, fits), other) for other in _changed_about(chosen, fits, course))
    able = [(gain, other) for gain, other in others if _can_be(_values(other, fits), course)]
    return max([(-_NONSENSE, chosen), *able], key=lambda each: each[0])


def _values(chosen: dict[int, str], fits: list[dict[str, tuple[float, Quantity]]]) -> dict[str, Quantity]:
    return {slot: fits[i][slot][1] for i, slot in chosen.items()}


def _can_be(values: Values, course: Mapping[str, Any]) -> bool:
    start, end = (_plain(values.get(name)) for name in ("from", "to"))
    towards = _plain(values.get(course["towards"]))
    if start is None or end is None or start[1] != end[1] or (towards and towards[1] != start[1]):
        return True
    limit = towards[0] if towards else course.get("absent")
    return limit is None or start[0] > end[0] > limit or start[0] < end[0] < limit or end[0] == limit


def _plain(said: Quantity | None) -> tuple[float, str] | None:
    """Value and unit, a specific gravity as the salinity that it nearly is, so that it can be compared."""
    if said is None:
        return None
    return ((said.value - 1) * 1320, "ppt") if said.unit == "SG" else (said.value, said.unit)


def _changed_about(
    chosen: dict[int, str], fits: list[dict[str, tuple[float, Quantity]]], course: Mapping[str, Any]
) -> Iterator[dict[int, str]]:
    places = [i for i, slot in chosen.items() if slot in ("from", "to", course["towards"])]
    for slots in permutations([chosen[i] for i in places]):
        if all(slot in fits[i] for i, slot in zip(places, slots, strict=True)):
            yield chosen | dict(zip(places, slots, strict=True))


def _gain(chosen: dict[int, str], other: dict[int, str], fits: list[dict[str, tuple[float, Quantity]]]) -> float:
    return sum(fits[i][other[i]][0] - fits[i][slot][0] for i, slot in chosen.items())
