"""What [Out] does: too early it holds; else the next step of the course starts, the gate asks, or it is done."""

from __future__ import annotations

from datetime import datetime

from bot.assistant import closing, courses, gates
from bot.assistant.running import Running
from bot.assistant.turn import Part, Turn


def out(turn: Turn, it: Running, at: datetime | None = None) -> list[Part]:
    """Takes the end of a wait, now or at the time said."""
    at = closing.when(turn, it, at)
    if it.row.state == "gate":
        return gates.ask_again(turn, it)
    if not closing.ready(turn, it, at):
        return [closing.too_early(turn, it, at)]
    if it.kind.follows:
        return [*closing.finish(turn, it, at), courses.follow(turn, it, it.kind.follows, at)]
    return gates.open_gate(turn, it, at) if it.kind.gate else closing.finish(turn, it, at)
