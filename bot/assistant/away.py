"""The bot was down: said once to each person whom it concerns, with how long and how many messages were read since."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Any

from sqlite_utils import Database

from bot.assistant.turn import Part, Turn
from bot.messages import Outgoing, Tick
from bot.store import pulse
from bot.store.database import instant
from bot.wording import away as wording

NAME = "away"


def note(db: Database, tick: Tick) -> None:
    """Notes that the bot was down until this tick."""
    if tick.down_since is not None:
        pulse.beat(db, NAME, tick.at, since=tick.down_since.timestamp(), waiting=tick.waiting, told=[])


def said_once(turn: Turn) -> list[Part]:
    """The line, under the answer to the first message of a chat that came while the bot was down."""
    since, until, data = _last(turn)
    if since is None or until is None or not since <= turn.said_at < until:
        return []
    line = _line(turn, turn.chat, since, until, data)
    return [Part(lines=(line,))] if line else []


def with_line(turn: Turn, message: Outgoing) -> Outgoing:
    """A ping that comes as the bot is back, with the line under it."""
    since, until, data = _last(turn)
    if since is None or until is None or until != turn.now:
        return message
    line = _line(turn, message.to, since, until, data)
    return replace(message, text=f"{message.text}\n{line}") if line else message


def _last(turn: Turn) -> tuple[datetime | None, datetime | None, dict[str, Any]]:
    until, data = pulse.beats(turn.db).get(NAME, (None, {}))
    return (instant(data["since"]), until, data) if until else (None, None, {})


def _line(turn: Turn, chat: str, since: datetime, until: datetime, data: dict[str, Any]) -> str | None:
    if chat in data["told"]:
        return None
    pulse.beat(turn.db, NAME, until, **{**data, "told": [*data["told"], chat]})
    return wording.was_away(turn.local(since), turn.local(until), int(data["waiting"]))
