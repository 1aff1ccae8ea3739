"""Calls about waits, gathered by person: what is over goes in one message, several of them numbered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bot.assistant import people
from bot.assistant.running import Running
from bot.assistant.turn import Part, Turn
from bot.messages import Button, Outgoing
from bot.store import conversations
from bot.wording import waits as wording

FEW = 3


@dataclass(frozen=True)
class Call:
    """One wait that one person must hear of. `text` when it goes alone, `line` when it goes with others.

    helps  whether the person is called in to help; otherwise it is theirs
    """

    to: str
    it: Running
    text: str
    line: str
    buttons: tuple[Button, ...] = ()
    sound: bool = True
    helps: bool = False


def gathered(turn: Turn, calls: Sequence[Call]) -> list[Part]:
    """The calls as messages: for each person what is theirs in one, what they are called in for in another."""
    groups: dict[tuple[str, bool], list[Call]] = {}
    for call in calls:
        groups.setdefault((call.to, call.helps), []).append(call)
    return [Part(others=(_message(turn, group),), urgent=any(c.sound for c in group)) for group in groups.values()]


def _message(turn: Turn, group: Sequence[Call]) -> Outgoing:
    first, sound = group[0], any(c.sound for c in group)
    if len(group) == 1:
        return people.told(turn, first.to, first.text, first.buttons, sound)
    _remember_list(turn, first.to, group)
    return people.told(turn, first.to, wording.pings([c.line for c in group]), _buttons(group), sound)


def _buttons(group: Sequence[Call]) -> tuple[Button, ...]:
    ids = ",".join(str(c.it.id) for c in group)
    if group[0].helps:
        return (Button("I'm on it", f"l:{ids}:on"), Button("Can't", f"l:{ids}:cant")) if len(ids) < _ROOM else ()
    if len(group) <= FEW:
        return tuple(Button(f"{c.it.kind.out} {i}", f"w:{c.it.id}:out") for i, c in enumerate(group, start=1))
    return (Button("All out", f"wa:{group[0].it.id}:{group[-1].it.id}"), Button("List", "ws:0"))


_ROOM = 50
"""Characters that the numbers of waits may take in the data of a button."""


def _remember_list(turn: Turn, name: str, group: Sequence[Call]) -> None:
    """So that "out 2" means the second line."""
    known = conversations.conversation(turn.db, name)
    data = {**known.data, "listed": [c.it.id for c in group]}
    conversations.carry_on(turn.db, turn.message_id, name, data=data)
