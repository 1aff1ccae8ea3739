"""An entry in a few words, of whatever kind: what was taken back, moved, put back."""

from __future__ import annotations

from collections.abc import Sequence

from bot.items import Batch, Control, Correction, Event, Item, Reading, Schedule, Setting, Stock, Task, Wait
from bot.rules.waits import kind_of
from bot.wording import batches, entries, quantities, setup, supplies, waits


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
        case Control(action="done" | "stop" | "answer" as action, wait=str(kind)):
            return f"{waits.thing(kind_of(kind, None, item.subject), item.subject)}: {_ENDED[action]}"
        case Control(action="leaving"):
            return "visit closed"
        case Correction():
            return f"move to {item.to_tank}" if item.to_tank else "correction"
        case Batch():
            return batches.brief(item)
        case Stock():
            return supplies.brief(item)
        case Setting():
            return setup.brief(item)
        case Wait():
            return waits.thing(kind_of(item.wait, item.step, item.subject), item.subject)
    return item.kind


def doubted(item: Item) -> str:
    """A reading is confirmed no longer."""
    return (
        f"Taken back, {getattr(item, 'tank', None) or 'no tank'}: {piece(item)} is unconfirmed again, used for nothing"
    )


def stands_again(items: Sequence[Item], gone: Sequence[Item]) -> str:
    """What a correction had put out of force and holds again; a move says it already."""
    other = [p for p in map(piece, items) if p not in map(piece, gone)]
    return f" → {' · '.join(other)} again" if 0 < len(other) <= _MOST_AGAIN else ""


def which(value: float, items: Sequence[Item]) -> str:
    """A new value that could stand for several numbers just said."""
    could = " or ".join(piece(item) for item in items)
    return f"{quantities.number(value)} in place of {could}? Nothing changed: send it with its name."


_MOST_AGAIN = 4
_ENDED = {"done": "out", "stop": "stopped", "answer": "answered"}


def words(text: str | None) -> str:
    """What was said, where it left no entry."""
    said = " ".join((text or "").split())
    return f'"{said[:_WORDS]}{"..." * (len(said) > _WORDS)}"' if said else "the last entry"


_WORDS = 60


def schedule(item: Schedule) -> str:
    """A change of the plan in a few words: "tomasz sick", "visit moved", "ines goes"."""
    if item.subject != "visit":
        return f"{item.who or ''} {item.subject}".strip()
    if item.every_days:
        return f"visits every {item.every_days:g} days"
    return "visit moved" if item.to else f"{item.who} goes"
