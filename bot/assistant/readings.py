"""A reading: kept, quoted, judged."""

from __future__ import annotations

from bot.assistant.turn import Part, Turn
from bot.items import Item, Reading
from bot.wording import quantities


def take(turn: Turn, item: Item) -> list[Part]:
    """Keeps a reading and quotes it."""
    assert isinstance(item, Reading)
    turn.keep(item)
    return [Part(said=(quantities.reading(item),), tank=item.tank or item.vat, at=item.at, stored=True)]
