"""Short answers from the record: a series, a last value, who was there, what changed, what was touched."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from bot.items import Item, Reading, Wait
from bot.wording import entries, quantities


@dataclass(frozen=True)
class Entry:
    """A fact on the team's clock."""

    at: datetime
    who: str
    item: Item


def series(tank: str, parameter: str, found: Sequence[Entry], today: date) -> list[str]:
    """The latest values, newest first: "NO3 Oak lobby: 12 today, 9 on Tue 3 Mar, 6 on ...  mg/L"."""
    if not found:
        return [f"{tank}: no {quantities.full_name(parameter)} on record."]
    values = ", ".join(f"{_value(e)} {_on(e.at.date(), today)}" for e in found)
    unit = next((quantities.unit_word(e.item.unit) for e in found if isinstance(e.item, Reading)), "")
    return [f"{tank}, {quantities.full_name(parameter)}: {values} {unit}".strip()]


def last_readings(tank: str, found: Sequence[Entry], today: date) -> list[str]:
    """The last value of each parameter, with its day where they differ."""
    if not found:
        return [f"{tank}: nothing measured yet."]
    newest = found[0].at.date()
    pieces = [_piece(e.item) + ("" if e.at.date() == newest else f" ({_on(e.at.date(), today)})") for e in found]
    return [f"{tank}, {_on(newest, today)}: {' · '.join(pieces)}"]


def last_event(tank: str, name: str, found: Entry | None, today: date) -> list[str]:
    """When something was last done: "Oak lobby: water change 20 %, Tue 3 Mar, Ana (7 days)"."""
    if found is None:
        return [f"{tank}: no {name} on record."]
    days = (today - found.at.date()).days
    return [
        f"{tank}: {_piece(found.item)}, {entries.day(found.at.date(), today)}, {entries.name(found.who)} ({days} days)"
    ]


def listed(head: str, found: Sequence[Entry], today: date, most: int = 5) -> list[str]:
    """A dated list, newest first."""
    if not found:
        return [f"{head}: nothing on record."]
    lines = [f"{entries.clock(e.at, today)} {entries.name(e.who)}: {_piece(e.item)}" for e in found[:most]]
    more = [f"and {len(found) - most} more"] if len(found) > most else []
    return [head, *lines, *more]


def visit(tank: str, found: Sequence[Entry], today: date) -> list[str]:
    """Who was there last and what was done, in at most three lines."""
    if not found:
        return [f"{tank}: no visit on record."]
    first, last = found[-1], found[0]
    days = (today - last.at.date()).days
    names = ", ".join(dict.fromkeys(entries.name(e.who) for e in found))
    ago = "today" if not days else f"{days} days ago"
    head = f"{tank}: {names}, {entries.day(last.at.date(), today)} {first.at:%H:%M} to {last.at:%H:%M} ({ago})"
    done = [_piece(e.item) for e in reversed(found) if not isinstance(e.item, Reading)]
    measured = [_piece(e.item) for e in reversed(found) if isinstance(e.item, Reading)]
    return [
        head,
        *([f"Done: {', '.join(done)}"] if done else []),
        *([f"Measured: {' · '.join(measured)}"] * bool(measured)),
    ]


def _piece(item: Item) -> str:
    if isinstance(item, Reading):
        return quantities.reading(item) + (" (unconfirmed)" if item.unconfirmed else "")
    if isinstance(item, Wait):
        return " ".join(filter(None, (item.subject, item.wait.replace("_", " "))))
    return entries.event(item) if item.kind == "event" else str(getattr(item, "text", item.kind))  # type: ignore[arg-type]


def _value(entry: Entry) -> str:
    item = entry.item
    assert isinstance(item, Reading)
    sign = "<" * item.below + ">" * item.above
    return f"{sign}{quantities.in_unit(item.value, item.unit)}" + ("?" if item.unconfirmed else "")


def _on(when: date, today: date) -> str:
    words = entries.day(when, today)
    return words if words in ("today", "yesterday") else f"on {words}"
