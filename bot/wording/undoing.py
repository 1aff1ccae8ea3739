"""An entry in a few words, of whatever kind: what was taken back, moved, put back."""

from __future__ import annotations

from bot.items import Batch, Control, Correction, Event, Item, Reading, Schedule, Setting, Stock, Task, Wait
from bot.wording import batches, entries, quantities, setup, supplies


def piece(item: Item) -> str:
    """An entry in a few words."""
    match item:
        case Reading():
            return quantities.reading(item)
        case Event():
            return entries.event(item)
        case Task():
            return f"task: {item.text}"
        case Schedule():
            return schedule(item)
        case Control(action="done", reason=str(what)):
            return f"done: {what}"
        case Control(action="report"):
            return "report sent"
        case Control(action="override"):
            return "override"
        case Correction():
            return f"moved to {item.to_tank}" if item.to_tank else "correction"
        case Batch():
            return batches.brief(item)
        case Stock():
            return supplies.brief(item)
        case Setting():
            return setup.brief(item)
        case Wait():
            return " ".join(filter(None, (item.subject, item.wait.replace("_", " "))))
    return item.kind


def schedule(item: Schedule) -> str:
    """A change of the plan in a few words: "tomasz sick", "visit moved", "ines goes"."""
    if item.subject != "visit":
        return f"{item.who or ''} {item.subject}".strip()
    if item.every_days:
        return f"visits every {item.every_days:g} days"
    return "visit moved" if item.to else f"{item.who} goes"
