"""The visit of somebody who learns: one step at a time, each with why, and somebody to ask."""

from __future__ import annotations

from collections.abc import Sequence

from bot.assistant.turn import Part, Turn
from bot.messages import Button
from bot.store import conversations
from bot.wording import learner as wording
from bot.wording.plan import Timed


def first(turn: Turn, tank: str, steps: Sequence[Timed]) -> list[Part]:
    """The first step of a plan; the others wait behind [Next]."""
    _keep(turn, tank, [s.name for s in steps], 0)
    return [_step(turn, tank, [s.name for s in steps], 0)]


def press(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[Next] and [Why]."""
    kept = conversations.conversation(turn.db, turn.chat).data.get("steps")
    if not kept:
        return []
    names, place = list(kept["names"]), int(kept["place"])
    if args[0] == "why":
        return [Part(head=wording.why(names[place]), buttons=_buttons(turn)[:1])]
    if place + 1 >= len(names):
        return [Part(head=wording.all_done())]
    _keep(turn, kept["tank"], names, place + 1)
    return [_step(turn, kept["tank"], names, place + 1)]


def mentor(turn: Turn) -> str | None:
    """Who is asked: the backup set for the learner, else the first technician."""
    named = turn.team.person(str(turn.who.data.get("backup", "")))
    others = [p for p in turn.team.with_role("technician", "owner") if p.name != turn.who.name]
    return named.name if named else others[0].name if others else None


def in_hand(turn: Turn) -> str | None:
    """The step that the learner is at."""
    kept = conversations.conversation(turn.db, turn.chat).data.get("steps")
    return str(kept["names"][int(kept["place"])]) if kept else None


def _step(turn: Turn, tank: str, names: Sequence[str], place: int) -> Part:
    return Part(head=wording.step(tank, names[place], place + 1, len(names)), buttons=_buttons(turn))


def _buttons(turn: Turn) -> tuple[Button, ...]:
    who = mentor(turn)
    ask = (Button(wording.ask_label(who), "ln:ask"),) if who else ()
    return (Button("Next", "ls:next"), Button("Why", "ls:why"), *ask)


def _keep(turn: Turn, tank: str, names: Sequence[str], place: int) -> None:
    known = conversations.conversation(turn.db, turn.chat)
    steps = {"tank": tank, "names": list(names), "place": place}
    conversations.carry_on(turn.db, turn.message_id, turn.chat, data={**known.data, "steps": steps})
