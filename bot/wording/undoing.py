"""An entry in a few words, of whatever kind: what was taken back, moved, put back."""

from __future__ import annotations

from bot.items import Correction, Event, Item, Reading, Setting, Task, Wait
from bot.wording import entries, quantities, setup


def piece(item: Item) -> str:
    """An entry in a few words."""
    match item:
        case Reading():
            return quantities.reading(item)
        case Event():
            return entries.event(item)
        case Task():
            return f"task: {item.text}"
        case Correction():
            return f"moved to {item.to_tank}" if item.to_tank else "correction"
        case Setting():
            return setup.brief(item)
        case Wait():
            return " ".join(filter(None, (item.subject, item.wait.replace("_", " "))))
    return item.kind
