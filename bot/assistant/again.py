"""The last sum once more with one number changed: "what about 25%", "and for 50 litres?"."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from bot.assistant import questions
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Quantity, Question
from bot.rules.conversation import in_hand_for
from bot.store import worked
from bot.wording import lookups as wording


def take(turn: Turn, item: Question) -> list[Part]:
    """The sum asked last, with the number in the one place where it can stand; what was put in its place is said."""
    last = worked.last_asked(turn.db, turn.who.name, turn.now - in_hand_for())
    value = item.inputs["value"]
    if last is None or not isinstance(value, Quantity):
        return [Part(head=wording.NO_SUM)]
    places = _places(last, value, str(item.inputs.get("name", "")))
    if len(places) != 1:
        return [Part(head=wording.which_number(value, [last.inputs[n] for n in places if n in last.inputs]))]
    name = places[0]
    old, new = last.inputs.get(name), _as_asked(last, name, value)
    first, *others = questions.take(turn, replace(last, inputs=new, text=None))
    return [replace(first, head=f"{first.head} · {wording.asked_anew(value, old)}"), *others]


def _places(last: Question, value: Quantity, name: str) -> list[str]:
    """The inputs of the sum in whose place the number can stand: of its kind, or of the size of a bare one."""
    given: Mapping[str, Quantity] = {n: q for n, q in last.inputs.items() if isinstance(q, Quantity)}
    if name in given:
        return [name]
    if value.unit:
        alike = [n for n, q in given.items() if _kind(q.unit) == _kind(value.unit)]
        return alike or (["change"] if (last.topic, value.unit) == ("dilution", "%") else [])
    is_sg = 1 < value.value < 1.1
    return [n for n, q in given.items() if (q.unit == "SG") == is_sg]


def _as_asked(last: Question, name: str, value: Quantity) -> dict[str, Quantity | str]:
    """The inputs with the number in its place; a change that is given asks where it ends, no more for its size."""
    unit = value.unit or getattr(last.inputs.get(name), "unit", "")
    inputs = {**last.inputs, name: Quantity(value.value, unit)}
    if name == "change" and "change" not in last.inputs:
        inputs = {n: q for n, q in inputs.items() if n not in ("to", "times")} | {"ask": "end"}
    return inputs


def _kind(unit: str) -> str:
    return str(table("units").get(unit, {}).get("measures", unit))
