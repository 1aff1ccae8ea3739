"""The practice tank: everything works, the clock runs sixty times as fast, and nothing of it is stored.

What was typed and pressed since practice began stands in the messages like everything that is said. Each time, a small
world of its own is played through them in memory; what the bot says there is handed on. No fact, wait or question of it
ever reaches the logbook. Somebody hurt is never practice.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlite_utils import Database

from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Item, Situation
from bot.messages import Button, Happening, Incoming, Outgoing, Pressed, Tick
from bot.store import conversations, outbox, pulse, said
from bot.store.database import instant, open_database, rows, writing
from bot.store.roster import load_team, set_up_team
from bot.store.said import record_import
from bot.understanding.read import read
from bot.wording import learner as wording

PREFIX = "px:"
Handle = Callable[[Database, Happening], int | None]
NextMoment = Callable[[Database], datetime | None]


@dataclass(frozen=True)
class Session:
    """A practice: since when and after which message, up to which moment of its own clock and which message it was
    played, when its next ping is due.
    """

    chat: str
    since: datetime
    after: int
    played: datetime
    heard: int = 0
    next: datetime | None = None

    def own(self, at: datetime) -> datetime:
        """A moment on the practice clock."""
        return self.since + (at - self.since) * _pace()

    def real(self, at: datetime) -> datetime:
        """A moment of the practice clock on ours."""
        return self.since + (at - self.since) / _pace()


def begin(turn: Turn, item: Item) -> list[Part]:
    """ "practice": from the next message on."""
    _note(turn.db, Session(turn.chat, turn.now, turn.message_id, turn.now), turn.now)
    return [Part(head=wording.practising(), buttons=(Button("End practice", f"{PREFIX}end"),))]


def holds(db: Database, happening: Happening) -> bool:
    """Whether it belongs to a practice: a press under its messages, words in its chat. Somebody hurt ends it."""
    if isinstance(happening, Pressed):
        return happening.data.startswith(PREFIX)
    if not isinstance(happening, Incoming) or happening.group or _session_of(db, happening.chat, happening.at) is None:
        return False
    if _is_hurt(happening):
        _end(db, happening.chat, happening.at)
        return False
    return True


def take(db: Database, happening: Happening, handle: Handle, next_moment: NextMoment) -> int | None:
    """Notes what was said or pressed, and hands on what the small world answers."""
    assert isinstance(happening, Incoming | Pressed)
    message_id = said.record(db, happening)
    if message_id is None:
        return None
    found = _session_of(db, happening.chat, happening.at)
    answers = [Outgoing(happening.chat, wording.not_practising())]
    if found and _is_ending(happening):
        _end(db, happening.chat, happening.at)
        answers = [Outgoing(happening.chat, wording.practised())]
    elif found:
        answers = _play(db, found, happening.at, handle, next_moment)
    for each in answers:
        outbox.post(db, each, happening.at, message_id, urgent=each.sound)
    return message_id


def let_pass(db: Database, now: datetime, handle: Handle, next_moment: NextMoment) -> None:
    """Hands on what came due in the small worlds."""
    for found in (s for s in _sessions(db) if s.next and s.next <= now):
        for each in _play(db, found, now, handle, next_moment):
            outbox.post(db, each, now, urgent=each.sound)


def next_moment(db: Database) -> datetime | None:
    """When a practice must say something next."""
    return min((s.next for s in _sessions(db) if s.next), default=None)


def _session_of(db: Database, chat: str, now: datetime) -> Session | None:
    """The practice that goes on in that chat; one that was idle too long is over."""
    found = pulse.beats(db).get(_name(chat))
    if found is None or not found[1]:
        return None
    idle = timedelta(minutes=table("practice")["idle"]["value"])
    return _session(chat, found[1]) if now - found[0] <= idle else None


def _sessions(db: Database) -> list[Session]:
    found = ((n.removeprefix(_name("")), d) for n, (_, d) in pulse.beats(db).items() if n.startswith(_name("")) and d)
    return [_session(chat, data) for chat, data in found]


def _end(db: Database, chat: str, now: datetime) -> None:
    """Over: nothing of it is left but what was said."""
    pulse.beat(db, _name(chat), now)


def _is_ending(happening: Incoming | Pressed) -> bool:
    if isinstance(happening, Pressed):
        return happening.data == f"{PREFIX}end"
    return happening.text.strip().strip(".!").casefold() in table("practice")["words"]["ending"]


def _is_hurt(message: Incoming) -> bool:
    """That somebody is hurt is said as it is, practice or not."""
    items = read(message.text, Situation(message.at)).items
    return any(getattr(item, "action", None) == "person_hurt" for item in items)


def _play(db: Database, found: Session, now: datetime, handle: Handle, next_moment: NextMoment) -> list[Outgoing]:
    """Plays the practice up to now; returns what the bot says that it has not said before."""
    world, heard, pinged = _world(found), list[Outgoing](), set[str]()
    number = found.heard
    for number, at, happening in _happenings(db, found, now):
        for step in _until(world, at, next_moment):
            handle(world, Tick(step))
            heard += _said(world, found, step, pinged, step > found.played)
        if happening is not None:
            _take_in_hand(world, found, at)
            handle(world, happening)
            heard += _said(world, found, at, pinged, number > found.heard)
    later = next_moment(world)
    own = found.own(now)
    soon = found.real(later) if later and later < own + timedelta(days=2) else None
    _note(db, Session(found.chat, found.since, found.after, own, number, soon), _last_word(db, found) or now)
    world.close()
    return [_as_practice(each) for each in heard]


def _as_practice(message: Outgoing) -> Outgoing:
    """The message with buttons that lead back into the practice."""
    buttons = tuple(Button(b.label, PREFIX + b.data) for b in message.buttons)
    return Outgoing(message.to, message.text, buttons, unasked=message.unasked, sound=message.sound)


def _world(found: Session) -> Database:
    """A database in memory with one person, one tank and one vat."""
    world = open_database(":memory:")
    team = json.loads(table("practice")["team"]["json"]) | {"people": [{"name": found.chat, "role": "technician"}]}
    with writing(world):
        set_up_team(world, record_import(world, "", found.since, "practice"), team)
    pulse.beat(world, "cards", found.since)
    return world


def _happenings(db: Database, found: Session, now: datetime) -> Iterator[tuple[int, datetime, Happening | None]]:
    """What was typed and pressed since practice began, on its own clock, and then the present."""
    sql = "select * from message where chat = ? and id > ? and at <= ? and kind in ('said', 'pressed') order by id"
    last = found.after
    for row in rows(db, sql, [found.chat, found.after, now.timestamp()]):
        last = int(row["id"])
        at = found.own(instant(row["at"]))
        if row["kind"] == "pressed":
            data = str(row["text"])
            if data.startswith(PREFIX):
                yield row["id"], at, Pressed(at, found.chat, found.chat, data.removeprefix(PREFIX))
        else:
            yield row["id"], at, Incoming(at, found.chat, found.chat, str(row["text"]), f"p{row['id']}")
    yield last, found.own(now), None


def _until(world: Database, at: datetime, next_moment: NextMoment) -> Iterator[datetime]:
    while (moment := next_moment(world)) is not None and moment <= at:
        yield moment
        if next_moment(world) == moment:
            return


def _said(world: Database, found: Session, at: datetime, pinged: set[str], is_new: bool) -> list[Outgoing]:
    """What stands in the world's outbox, each crossed off; nothing where it was handed on before.

    Sixty times as fast, a ping that is not answered would come every few seconds: each comes once.
    """
    there = []
    for row in outbox.unsent(world, 1000):
        outbox.crossed_off(world, row["id"], at, ref=f"p{row['id']}")
        message = outbox.as_outgoing(row)
        key = message.buttons[0].data if message.unasked and message.buttons else ""
        if message.to == found.chat and key not in pinged:
            there.append(message)
        pinged |= {key} - {""}
    return there if is_new else []


def _take_in_hand(world: Database, found: Session, at: datetime) -> None:
    """There is one tank, and it stays in hand however fast the clock runs."""
    tank = load_team(world).tanks[0].name
    conversations.carry_on(world, 1, found.chat, who=found.chat, tank=tank, tank_at=at)


def _note(db: Database, found: Session, at: datetime) -> None:
    data: dict[str, Any] = {
        "since": found.since.timestamp(), "after": found.after, "played": found.played.timestamp(),
        "heard": found.heard, "next": found.next.timestamp() if found.next else None,
    }  # fmt: skip
    pulse.beat(db, _name(found.chat), at, **data)


def _last_word(db: Database, found: Session) -> datetime | None:
    row = rows(db, "select max(at) as at from message where chat = ? and id > ?", [found.chat, found.after])[0]
    return instant(row["at"]) if row["at"] is not None else None


def _session(chat: str, data: dict[str, Any]) -> Session:
    later = instant(data["next"]) if data.get("next") else None
    return Session(chat, instant(data["since"]), int(data["after"]), instant(data["played"]), int(data["heard"]), later)


def _name(chat: str) -> str:
    return f"practice:{chat}"


def _pace() -> float:
    return float(table("practice")["pace"]["value"])
