"""The terminal chat: type as a technician would text. A number presses a button; waits ring here when they are due."""

from __future__ import annotations

import select
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import count
from typing import TextIO

from sqlite_utils import Database

from bot.assistant.desk import handle
from bot.doors.drawn import ready
from bot.messages import Button, Happening, Incoming, Pressed, Tick
from bot.store import outbox
from bot.store.database import one

HINT = """Text as from the field, for example:
  {tank} 78.4 ph 8.2 sg 1.0255 no3 12      readings, any order
  how much salt for 40 litres to 1.025     a calculation
  nets in bleach 15 min                    a wait that rings
  undo · status · help · leaving
A number presses the button of that number. Ctrl-D ends."""


def chat(db: Database, who: str, hint: str, lines: TextIO = sys.stdin, out: TextIO = sys.stdout) -> None:
    """Talks with one person until the input ends; everything is stored in `db`."""
    print(hint, file=out)
    session = datetime.now(UTC).timestamp()
    handle(db, Tick(datetime.now(UTC)))
    buttons = _show(db, who, out, ())
    numbers = count(1)
    for line in _typed(db, who, lines, out):
        if line is None:
            buttons = _show(db, who, out, buttons)
            continue
        happening = _happening(line.strip(), who, buttons, f"{session:.0f}-{next(numbers)}")
        if happening:
            handle(db, happening)
        buttons = _show(db, who, out, buttons)


def _typed(db: Database, who: str, lines: TextIO, out: TextIO) -> Iterator[str | None]:
    """Each line typed; None whenever something fell due while nobody typed."""
    while True:
        print("> ", end="", file=out, flush=True)
        while lines.isatty() and not select.select([lines], [], [], 1.0)[0]:
            if handle(db, Tick(datetime.now(UTC))) is not None:
                yield None
                print("> ", end="", file=out, flush=True)
        line = lines.readline()
        if not line:
            print(file=out)
            return
        if not lines.isatty():
            print(line.rstrip(), file=out)
            handle(db, Tick(datetime.now(UTC)))
        yield line


def _happening(line: str, who: str, buttons: tuple[Button, ...], ref: str) -> Happening | None:
    now = datetime.now(UTC)
    if not line:
        return None
    if line.isdigit() and 1 <= int(line) <= len(buttons):
        return Pressed(now, who, who, buttons[int(line) - 1].data)
    return Incoming(now, who, who, line, ref, live=True)


def _show(db: Database, who: str, out: TextIO, before: tuple[Button, ...]) -> tuple[Button, ...]:
    """Prints what waits in the outbox; returns the buttons that now can be pressed."""
    shown = before
    for row in outbox.unsent(db, 1000):
        outbox.crossed_off(db, row["id"], datetime.now(UTC), ref=f"b{row['id']}")
        message = ready(db, outbox.as_outgoing(row))
        mine = message.to == who
        bell = "\a" if message.sound and mine else ""
        name = "bot" if mine else f"bot to {message.to}"
        print(f"{bell}{name} > " + message.text.replace("\n", "\n      "), file=out)
        if mine and message.buttons:
            shown = message.buttons
            print("      " + "  ".join(f"[{i} {b.label}]" for i, b in enumerate(message.buttons, 1)), file=out)
        for path in message.files:
            print(f"      file: {path}", file=out)
    return shown


def last_person(db: Database) -> str | None:
    """Who spoke last, to go on as the same person."""
    row = one(db, "select who from message where kind = 'said' order by id desc limit 1")
    return str(row["who"]) if row else None
