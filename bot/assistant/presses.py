"""A button pressed: shown in this chat, and only then acted upon. The row's own state decides, so twice is once."""

from __future__ import annotations

from dataclasses import replace

from sqlite_utils import Database

from bot.assistant import borrowed, consequences, replies, reports
from bot.assistant.turn import Part, Subjects, Turn
from bot.messages import Pressed
from bot.store import outbox, said
from bot.store.roster import load_team


def take(db: Database, press: Pressed, subjects: Subjects) -> int | None:
    """Acts on a press; one that no message in the chat shows (forged, or of another chat) does nothing."""
    team = load_team(db)
    press = replace(press, who=borrowed.speaker(db, team, press.chat, press.who, press.at))
    who = team.person(press.who)
    shown = outbox.shown_in(db, press.chat, press.data)
    verb, *args = press.data.split(":")
    handler = subjects.presses.get(verb)
    if who is None or shown is None or handler is None:
        return None
    message_id = said.record(db, press)
    if message_id is None:
        return None
    turn = Turn(
        db=db,
        message_id=message_id,
        now=press.at,
        said_at=press.at,
        who=who,
        chat=press.chat if team.person(press.chat) else who.name,
        team=team,
        subjects=subjects,
        topic=shown["topic"],
        ref=press.ref,
        group=None if team.person(press.chat) else press.chat,
    )
    parts = [*handler(turn, args), *consequences.of_message(turn), *reports.follow(turn)]
    replies.send(turn, parts or [Part(lines=("That was answered before; nothing changed.",))])
    return message_id
