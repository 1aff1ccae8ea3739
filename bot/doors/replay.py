"""A scripted conversation on a simulated clock: JSON lines in, what the bot said and stored as JSON lines out.

Nothing sleeps and nothing asks for the time: the clock stands where the next line, or the next thing due, puts it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from bot.assistant.desk import handle
from bot.assistant.due import next_moment
from bot.doors.steps import outputs, problem
from bot.messages import Edited, Happening, Incoming, Pressed, Tick
from bot.store import outbox
from bot.store.codes import use_key
from bot.store.database import add, open_database, writing
from bot.store.demo import load_demo
from bot.store.roster import load_team, set_up_team

Line = Mapping[str, Any]
Out = Iterator[dict[str, Any]]


class Unplayable(Exception):
    """A line of the script that cannot be played: its number and the reason."""


def replay(script: Sequence[Line], path: str, folder: Path) -> Out:
    """What the bot says and stores, one object a message.

    The database is made, or gone on with, at `path`; files that a line names lie in `folder`. Raises Unplayable.
    """
    for _, out in replay_by_line(script, path, folder):
        yield out


def replay_by_line(script: Sequence[Line], path: str, folder: Path) -> Iterator[tuple[int, dict[str, Any]]]:
    """The same, each object with the number of the line during which it came out: what fell due before a line's own
    time counts to that line.
    """
    db = open_database(path)
    _set_the_stage(db, script)
    down: tuple[datetime, datetime] | None = None
    missed: list[tuple[int, Line]] = []
    for number, line in enumerate(script, start=1):
        if "at" not in line:
            continue
        at = _time(number, line, "at")
        if down and at < down[1]:
            missed.append((number, line))
            continue
        if down:
            yield from _during(number, _come_back(db, down, missed, folder))
            down, missed = None, []
        yield from _during(number, _let_pass(db, at))
        if "down_until" in line:
            down = (at, _time(number, line, "down_until"))
        elif line.get("restart"):
            db.close()
            db = open_database(path)
            yield from _during(number, _step(db, Tick(at), None))
        else:
            yield from _during(number, _say(db, number, line, at, folder))
    if down:
        yield from _during(len(script), _come_back(db, down, missed, folder))
    db.close()


def _during(number: int, outs: Out) -> Iterator[tuple[int, dict[str, Any]]]:
    return ((number, out) for out in outs)


def _set_the_stage(db: Database, script: Sequence[Line]) -> None:
    """The team of the first line, or the demo team with everyone who speaks as a technician of it."""
    first = script[0] if script else {}
    start = next((_time(n, line, "at") for n, line in enumerate(script, 1) if "at" in line), None)
    if start is None or load_team(db).people:
        return
    use_key(db, _KEY)
    with writing(db):
        if "team" in first:
            set_up_team(db, _cause(db, start), first["team"])
            return
        load_demo(db, start)
        known = load_team(db)
        new = [
            name for name in dict.fromkeys(line["who"] for line in script if "who" in line) if not known.person(name)
        ]
        set_up_team(db, _cause(db, start), {"people": [{"name": name, "role": "technician"} for name in new]})


_KEY = b"A" * 43 + b"="
"""A rehearsal's own, so that the same script gives the same one-use codes."""


def _cause(db: Database, at: datetime) -> int:
    return add(db, "message", kind="import", chat="", who="", at=at, stored_at=at, text="team")


def _let_pass(db: Database, until: datetime, since: datetime | None = None) -> Out:
    """Everything that falls due by `until` happens at its own moment; what was due before `since` happens then."""
    while (moment := next_moment(db)) is not None and moment <= until:
        yield from _step(db, Tick(max(moment, since) if since else moment), None)
        if next_moment(db) == moment:
            raise Unplayable(f"what fell due at {moment.isoformat()} was not dealt with")


def _come_back(db: Database, down: tuple[datetime, datetime], missed: Sequence[tuple[int, Line]], folder: Path) -> Out:
    """Up again: first what fell due meanwhile, then what people sent meanwhile, with its own times."""
    since, until = down
    yield from _step(db, Tick(until, down_since=since, waiting=len(missed)), None)
    for number, line in missed:
        yield from _say(db, number, line, until, folder, sent_at=_time(number, line, "at"))
    yield from _let_pass(db, until)


def _say(db: Database, number: int, line: Line, at: datetime, folder: Path, sent_at: datetime | None = None) -> Out:
    if "who" not in line:
        return
    happening = _happening(db, number, line, at, folder, sent_at)
    if happening is None:
        yield problem(at, number, f"no message in this chat shows a button {line['press']!r}")
        return
    yield from _step(db, happening, number)
    yield from _let_pass(db, at, since=at)


def _happening(
    db: Database, number: int, line: Line, at: datetime, folder: Path, sent_at: datetime | None
) -> Happening | None:
    who, text = str(line["who"]), str(line.get("text", ""))
    chat = str(line.get("chat", who))
    if "press" in line:
        button = outbox.labelled(db, chat, str(line["press"]))
        return Pressed(at, who, chat, button.data) if button else None
    if "edit" in line:
        return Edited(at, who, chat, text, _ref(number, line, "edit"))
    return Incoming(
        at=at,
        who=who,
        chat=chat,
        text=text,
        ref=f"l{number}",
        reply_to=_ref(number, line, "reply_to") if "reply_to" in line else None,
        sent_at=_time(number, line, "sent_at") if "sent_at" in line else sent_at,
        photo=line.get("photo"),
        file=str(folder / line["file"]) if "file" in line else None,
        topic=line.get("topic"),
        group=chat != who,
    )


def _step(db: Database, happening: Happening, number: int | None) -> Out:
    """One happening, and what it made the bot say and store; said at once, for nobody is out of reach here."""
    message_id = handle(db, happening)
    yield from outputs(db, message_id, happening.at, number)


def _ref(number: int, line: Line, key: str) -> str:
    meant = line[key]
    if not isinstance(meant, int) or not 1 <= meant < number:
        raise Unplayable(f"line {number}: {key} names line {meant!r}; it must be the number of an earlier line")
    return f"l{meant}"


def _time(number: int, line: Line, key: str) -> datetime:
    try:
        when = datetime.fromisoformat(str(line[key]))
    except ValueError:
        raise Unplayable(f"line {number}: {key} is {line[key]!r}; it must be an ISO time") from None
    if when.tzinfo is None:
        raise Unplayable(f"line {number}: {key} is {line[key]!r}; it needs its offset, such as -05:00")
    return when


def read_script(lines: Iterable[str]) -> list[Line]:
    """The lines of a script file, empty ones left as they are so that numbers stay right; raises Unplayable."""
    import json

    found: list[Line] = []
    for number, text in enumerate(lines, start=1):
        try:
            found.append(json.loads(text) if text.strip() else {})
        except ValueError as why:
            raise Unplayable(f"line {number} is not JSON: {why}") from None
    return found
