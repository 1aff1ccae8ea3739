"""What can be texted."""

from __future__ import annotations

from bot.assistant.turn import Part, Turn
from bot.items import Item
from bot.wording.help import HELP


def take(turn: Turn, item: Item) -> list[Part]:
    """The help in one screen."""
    head, *lines = HELP.splitlines()
    return [Part(head=head, lines=tuple(lines))]
