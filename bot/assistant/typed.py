"""A button's label typed instead of pressed: words queue without signal, presses do not."""

from __future__ import annotations

from bot.assistant import running
from bot.assistant.turn import Part, Turn
from bot.store import outbox, waits

_OWN_WAY = {"q", "u", "p", "g", "pl", "ph"}
"""Questions, undo, gates, plots and photos take words themselves."""
_MANY = {"out", "more"}
"""Labels that several pings share: which one is meant is found by the words."""


def press(turn: Turn) -> list[Part] | None:
    """What the press would do; None where the message is no label of a button, or the press would do nothing."""
    return _of_a_list(turn) or _of_a_button(turn)


def _of_a_list(turn: Turn) -> list[Part] | None:
    """A label that stood under no button because several waits were pinged together: the one wait that has it."""
    label = turn.text.strip().rstrip(".!").casefold()
    asked = [running.of(turn, w) for w in waits.open_waits(turn.db, owner=turn.who.name) if w.state == "asked"]
    having = [it for it in asked if it.kind.other and it.kind.other.casefold() == label]
    return turn.subjects.presses["w"](turn, (str(having[0].id), "other")) if len(having) == 1 else None


def _of_a_button(turn: Turn) -> list[Part] | None:
    button = outbox.labelled(turn.db, turn.chat, turn.text.strip().rstrip(".!"))
    if button is None:
        return None
    verb, *args = button.data.split(":")
    handler = turn.subjects.presses.get(verb)
    if handler is None or verb in _OWN_WAY or (verb == "w" and args[-1] in _MANY):
        return None
    return handler(turn, args) or None
