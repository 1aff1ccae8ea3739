"""A row of the waits table as the subjects of waits see it: its kind, its words, its buttons."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from bot.assistant.turn import Turn
from bot.facts.load import table
from bot.items import Wait
from bot.messages import Button
from bot.rules import open_ends
from bot.rules import waits as rules
from bot.rules.waits import Kind
from bot.store.waits import WaitRow
from bot.wording import waits as wording
from bot.wording.waits import Shown


@dataclass(frozen=True)
class Running:
    """A row with its kind and how it is spoken of."""

    row: WaitRow
    kind: Kind
    shown: Shown

    def over_min(self, now: datetime) -> int:
        """Whole minutes that it is over; 0 while it is not."""
        return max(int(rules.minutes_between(self.row.due_at, now)), 0)

    @property
    def ladder(self) -> str:
        """Which ladder it climbs: a person who does not answer has one of their own."""
        return "alone" if self.kind.alone else "ladder"

    @property
    def id(self) -> int:
        """The number of the row."""
        return self.row.id


def of(turn: Turn, row: WaitRow) -> Running:
    """The row with its kind and its words."""
    end = row.data.get("end")
    kind = open_ends.kind(end) if end else kind_of(turn, row.kind, row.step, row.subject, row.data.get("class"))
    place = row.tank or row.vat
    return Running(row, kind, Shown(kind, row.subject, place, turn.local(row.due_at), row.minutes))


def kind_of(turn: Turn, wait: str, step: str | None, subject: str | None, cls: str | None = None) -> Kind:
    """The kind of a wait with what this team sets instead of the defaults, and the class chosen for it."""
    kind = rules.kind_of(wait, step, subject, turn.team.data.get("waits"))
    kind = open_ends.switched_off(kind, subject) if wait == "pump_off" and subject else kind
    return Kind(**(vars(kind) | {"cls": cls})) if cls else kind


def as_item(row: WaitRow, **changed: Any) -> Wait:
    """The row as the Wait that a technician could have said."""
    known = {"tank": row.tank, "vat": row.vat, "subject": row.subject, "step": row.step, "minutes": row.minutes}
    return Wait(row.kind, **(known | changed))


def next_words(turn: Turn, kind: Kind) -> str:
    """What the hands do next, with the minutes of the step that follows."""
    own = turn.team.data.get("waits")
    steps = ("rinse", "neutralise", "drip")
    minutes = {s: f"{rules.minutes_of(s, own):g}" for s in steps if f"{{{s}}}" in kind.next}
    return kind.next.format(**minutes)


def more_min(it: Running) -> float:
    """What one press adds: minutes to a short wait, an hour or a day to a long one."""
    steps = table("pings")["more"]
    fitting = [s["adds"] for s in steps if it.row.minutes >= s["from"]]
    return float(fitting[-1])


def ping_buttons(it: Running) -> tuple[Button, ...]:
    """What stands under the ping: out, a little more, hand over (or the other way out)."""
    more = f"+{wording.lasting(more_min(it))}"
    third = Button(it.kind.other, f"w:{it.id}:other") if it.kind.other else Button("Hand over", f"w:{it.id}:hand")
    return (Button(it.kind.out, f"w:{it.id}:out"), Button(more, f"w:{it.id}:more"), third)


def evidence(row: WaitRow) -> tuple[Button, ...]:
    """[Photo] where some were sent while its gate was open."""
    return (Button("Photo", f"ph:{row.id}"),) if row.data.get("photos") else ()
