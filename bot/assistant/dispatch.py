"""From understood items to parts: someone hurt first; then each item past the guards to its subject."""

from __future__ import annotations

from dataclasses import replace

from bot.assistant.turn import Part, Turn
from bot.items import Clarify, Item, Understood


def parts_of(turn: Turn, understood: Understood) -> list[Part]:
    """What all items of a message contribute, then what is to be said of the whole, then what must be asked."""
    turn = replace(turn, items=understood.items)
    parts: list[Part] = []
    for item in sorted(understood.items, key=lambda i: getattr(i, "action", "") != "person_hurt"):
        parts += _one(turn, item)
    for look in turn.subjects.after:
        parts += look(turn, understood, parts)
    return parts


def _one(turn: Turn, item: Item) -> list[Part]:
    if isinstance(item, Clarify):
        return []
    for guard in turn.subjects.guards:
        held = guard(turn, item)
        if held is not None:
            return held
    name = next((n for k in ("event", "action", "subject", "topic") if (n := getattr(item, k, None))), "")
    handler = turn.subjects.handlers.get(f"{item.kind}.{name}") or turn.subjects.handlers.get(item.kind)
    return handler(turn, item) if handler else []
