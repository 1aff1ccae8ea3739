"""What every subject of the assistant gets and gives: a Turn in, Parts out; parts together make one reply."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cached_property
from zoneinfo import ZoneInfo

from sqlite_utils import Database

from bot.items import Clarify, Item, Situation, Understood
from bot.messages import Button, Outgoing
from bot.store import logbook
from bot.store.pending import Pending
from bot.store.reminders import Reminder
from bot.store.waits import WaitRow
from bot.team import Person, Tank, Team
from bot.understanding.read import read


@dataclass(frozen=True)
class Turn:
    """One happening being worked off. Everything a subject stores goes down under `message_id`.

    now      the instant of the happening (aware)
    said_at  when it was written: `now`, unless it is known to have been written earlier
    chat     whose private chat it belongs to; `group` the chat in which others read along, None where it was said alone
    replied  the message that this one replies to, or that the bot's message replied to had answered
    live     it came the moment it was typed, so that several at once did not wait for a signal
    codes    the door codes that were masked in `text` before it was kept
    heard    the text is what a program heard in a voice note
    items    all that the message was understood to mean
    """

    db: Database
    message_id: int
    now: datetime
    said_at: datetime
    who: Person
    chat: str
    team: Team
    subjects: Subjects
    text: str = ""
    situation: Situation | None = None
    group: str | None = None
    topic: str | None = None
    photo: str | None = None
    file: str | None = None
    ref: str | None = None
    live: bool = False
    heard: bool = False
    replied: int | None = None
    codes: tuple[str, ...] = ()
    items: tuple[Item, ...] = ()

    @cached_property
    def understood(self) -> Understood:
        """What the text means in its situation; nothing where there is no text."""
        if not self.situation or not self.text.strip():
            return Understood()
        found = read(self.text, self.situation)
        tank = self._asked_at(found)
        return read(self.text, replace(self.situation, tank=tank.name, panel=tank.panel)) if tank else found

    def _asked_at(self, found: Understood) -> Tank | None:
        """The tank that the words name themselves, where a number without a name is one of its usual tests."""
        bare = any(isinstance(i, Clarify) and i.why == "which_parameter" for i in found.items)
        tanks = {getattr(i, "tank", None) for i in found.items} if bare else set()
        tank = self.tank(tanks.pop()) if len(tanks) == 1 else None
        return tank if tank and self.situation and tank.name != self.situation.tank and tank.panel else None

    @property
    def zone(self) -> ZoneInfo:
        """The zone in which the team's clocks stand."""
        return ZoneInfo(self.team.zone)

    def local(self, when: datetime) -> datetime:
        """An instant on the team's clock."""
        return when.astimezone(self.zone)

    def tank(self, name: str | None) -> Tank | None:
        """The tank of that full name."""
        return self.team.tank(name)

    def keep(self, item: Item) -> int:
        """Writes an item into the logbook as said in this message; returns the number of the fact."""
        return logbook.keep(self.db, self.message_id, self.who.name, item, self.said_at)


@dataclass(frozen=True)
class Ask:
    """A question to be put: `options` are (label, value) pairs; what is asked about waits until it is answered.

    handler  which subject takes the answer: a key of desk.ANSWERS
    hold     True where the question holds up something that can hurt (it makes a sound)
    """

    text: str
    options: tuple[tuple[str, str], ...]
    handler: str
    why: str
    item: Item | None = None
    data: Mapping[str, object] = field(default_factory=dict)
    hold: bool = False


@dataclass(frozen=True)
class Part:
    """What one item contributes to the reply.

    said      pieces of the quote: "78.4 °F", "change 20 % (71 L)"; they stand in the first line, after tank and time
    tank      the tank that the pieces belong to (None: no tank)
    at        when they held, where that is not now
    stored    whether the message put something into the logbook (then [Undo] is offered)
    head      a line that must open the reply before anything else (STOP ..., OUT NOW ..., a figure asked for)
    lines     further lines, most important first
    remark    the one remark unasked, with its rank (lower comes first); only the best of all parts is said
    ask       a question to be answered before this part counts
    buttons   offered beside [Undo]
    files     sent along: photos by their path, pictures and pages by the names that pictures.attached gives them
    others    messages to other people or chats
    urgent    `others` go before everything else that waits for delivery
    warns     it is a warning at the moment of the message: words that are no entry need not be asked about
    """

    said: tuple[str, ...] = ()
    tank: str | None = None
    at: datetime | None = None
    stored: bool = False
    head: str | None = None
    lines: tuple[str, ...] = ()
    remark: tuple[int, str] | None = None
    ask: Ask | None = None
    buttons: tuple[Button, ...] = ()
    files: tuple[str, ...] = ()
    others: tuple[Outgoing, ...] = ()
    urgent: bool = False
    warns: bool = False


Handler = Callable[[Turn, Item], list[Part]]


@dataclass(frozen=True)
class Subjects:
    """Who takes what: filled in subjects.py, carried by every turn, so that subjects need not know each other.

    handlers   by kind of item, or "kind.name" where one event, action or setting has a subject of its own
    presses    by the first word of a button's data: (turn, the other words) -> parts
    answers    by the `handler` of an Ask: (turn, question, chosen option or None, the words) -> parts, None: no answer
    due        by the kind of reminder that has come due
    due_waits  what comes of waits whose moment has come
    closed     what is said when a visit is closed: (turn, the tank that was in hand, minutes of the visit) -> parts
    guards     what may keep an item from its subject: (turn, item) -> what is said instead, None where nothing holds it
    after      looks at a whole message after its items (warnings, guards): (turn, understood, parts so far) -> more
    """

    handlers: Mapping[str, Handler]
    presses: Mapping[str, Callable[[Turn, Sequence[str]], list[Part]]]
    answers: Mapping[str, Callable[[Turn, Pending, str | None, str], list[Part] | None]]
    due: Mapping[str, Callable[[Turn, Reminder], list[Part]]]
    due_waits: Callable[[Turn, Sequence[WaitRow]], list[Part]]
    guards: tuple[Callable[[Turn, Item], list[Part] | None], ...] = ()
    after: tuple[Callable[[Turn, Understood, list[Part]], list[Part]], ...] = ()
    closed: tuple[Callable[[Turn, str | None, int], list[Part]], ...] = ()
