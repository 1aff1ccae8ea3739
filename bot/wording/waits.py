"""What is said of a wait: when it starts, when it is over, in the list of what runs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from bot.rules.waits import Kind, Length
from bot.wording.entries import clock
from bot.wording.quantities import number

_DAY, _HOUR = 1440.0, 60.0
_SAYS_ITSELF = ("ing", " off", " out", " open")
"""Subjects that say their state themselves: "draining", "carbon out"."""


@dataclass(frozen=True)
class Shown:
    """A wait as it is spoken of: times are on the team's clock."""

    kind: Kind
    subject: str | None
    place: str | None
    due: datetime
    minutes: float

    @property
    def thing(self) -> str:
        """ "net + arch in bleach", or "bleach soak" where nobody said what."""
        return thing(self.kind, self.subject)

    @property
    def what(self) -> str:
        """What was put to wait, without where: "net + arch"."""
        return _joined(self.subject) if self.subject else self.kind.bare

    @property
    def full(self) -> str:
        """The thing with its place before it."""
        return f"{self.place}: {self.thing}" if self.place else self.thing


def thing(kind: Kind, subject: str | None) -> str:
    """What waits, in a few words."""
    if not subject:
        return kind.bare
    if subject.endswith(_SAYS_ITSELF):
        return _joined(subject)
    return kind.quote.format(what=_joined(subject))


def lasting(minutes: float) -> str:
    """A length as it is said: "15 min", "2 h", "30 days"."""
    for size, name in ((_DAY, "days"), (_HOUR, "h")):
        if minutes >= 2 * size and minutes % size == 0:
            return f"{number(minutes / size)} {name}"
    return f"{number(minutes, 0)} min"


def rough(minutes: float) -> str:
    """A length without false precision: "7 min", "11 h", "3 days"."""
    for size, name in ((_DAY, "days"), (_HOUR, "h")):
        if minutes >= 3 * size:
            return f"{int(minutes // size)} {name}"
    return f"{int(minutes)} min"


def started(shown: Shown, today: date) -> str:
    """The quote of a start: "net + arch in bleach, out 10:27 (15 min)"."""
    return f"{shown.thing}, {shown.kind.end} {clock(shown.due, today)} ({lasting(shown.minutes)})"


def note(kind: Kind, length: Length, said: float | None, earliest: str) -> str | None:
    """Why it does not run as said, in one line; None where it does."""
    if length.note == "longest":
        return f"{lasting(said or 0)} is over the longest: {lasting(length.minutes)} it is"
    if length.note == "shortest":
        return f"Under the shortest, {lasting(kind.shortest)}: not out before {earliest}"
    return f"{length.by} says {lasting(length.minutes)}" if length.note == "sheet" else None


def ping(shown: Shown, over_min: int, next_words: str) -> str:
    """The ping of one wait: the opening word, minutes over where it is late, what to do next."""
    first = f"{shown.kind.ping}{late(over_min)} {shown.full} ({lasting(shown.minutes)})"
    return f"{first}\nNext: {next_words}" if next_words else first


def ping_line(shown: Shown, over_min: int) -> str:
    """The same as one line of several."""
    return f"{shown.full}{late(over_min).rstrip(',')}"


def pings(lines: Sequence[str]) -> str:
    """Several waits that are over in one chat, numbered."""
    return "\n".join(["OUT NOW", *(f"{i} {line}" for i, line in enumerate(lines, start=1))])


def late(over_min: int) -> str:
    """ ", 7 min over" for a ping that comes late."""
    return f", {rough(over_min)} over," if over_min > 0 else ""


def ended(shown: Shown, minutes: float) -> str:
    """The quote of an end: "net + arch in bleach: out after 16 min"."""
    return f"{shown.thing}: {shown.kind.out.lower()} after {lasting(round(minutes))}"


def too_early(shown: Shown, minutes: float, out_at: str) -> str:
    """Why it cannot be out yet."""
    done = f"{_part(minutes, shown.kind.shortest)} of {lasting(shown.kind.shortest)}, the shortest"
    way = "" if shown.kind.early == "hold" else ', or "override: why"'
    return f"HOLD {shown.full}: {done}. Leave it till {out_at}{way}."


def too_early_cut(shown: Shown, day: str) -> str:
    """Why it cannot be cut short by just anybody."""
    who = " or ".join(shown.kind.cut)
    return f'HOLD {shown.full}: until {day}. Before that only the {who}, with "override: why".'


def put_off(shown: Shown, today: date, capped: bool) -> str:
    """The quote of more time."""
    tail = ", the longest" if capped else ""
    return f"{shown.thing}, {shown.kind.end} {clock(shown.due, today)}{tail}"


def still_open(shown: Sequence[Shown]) -> str:
    """A bare "done" is no word for what stands off or open."""
    if not shown:
        return "Nothing of yours is waiting."
    first = shown[0]
    example = f'"{first.what}: {first.kind.out.lower()}"'
    return f"Still open: {' · '.join(s.full for s in shown)}. Name what is done, such as {example}."


def theirs_to_answer(shown: Shown, owner: str) -> str:
    """Somebody else has to answer it."""
    return f"Not counted: {owner} answers for {shown.full}, or hands it over."


def no_more(shown: Shown, longest: float) -> str:
    """There is no more time to give."""
    return f"{shown.kind.ping} {shown.full}: {lasting(longest)} is the longest, no more time."


def running(index: int, shown: Shown, left_min: int, today: date, who: str = "") -> str:
    """A line of the list of what runs."""
    left = f"{rough(left_min)} left" if left_min > 0 else f"{rough(-left_min)} over" if left_min < 0 else "now"
    return f"{index} {clock(shown.due, today)} {shown.full} ({left}){f', {who}' if who else ''}"


def standing(index: int, shown: Shown, missing: str, who: str = "") -> str:
    """A line of the list for a gate that is open."""
    return f"{index} HOLD {shown.full}: {missing}{f' ({who})' if who else ''}"


def _part(minutes: float, whole: float) -> str:
    """So many of the whole, in the whole's own unit, rounded down."""
    size = next((s for s in (_DAY, _HOUR) if whole >= 2 * s and whole % s == 0), 1.0)
    return number(int(minutes / size), 0)


def _joined(subject: str) -> str:
    return subject.strip().replace(" and ", " + ").replace(" & ", " + ")


def short(shown: Shown) -> str:
    """The thing on a button."""
    return (shown.subject or shown.kind.bare)[:18]


def over_for_all(shown: Shown, who: str) -> str:
    """Told to those who were called in: it is answered."""
    return f"{shown.full}: {who} has it. Nothing left for you to do."
