"""Somebody else's phone: "this is tomasz" holds for half an hour; what is said is theirs, pings reach them there."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from sqlite_utils import Database

from bot.assistant import status
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Control, Item
from bot.messages import Outgoing
from bot.store import conversations
from bot.team import Team


def speaker(db: Database, team: Team, chat: str, who: str, at: datetime) -> str:
    """Who speaks in a chat: its owner, or whoever said so there within the last half hour."""
    told = conversations.conversation(db, chat).data.get("speaker") if chat == who else None
    if told and at.timestamp() < told["until"] and team.person(told["who"]):
        return str(told["who"])
    return who


def take(turn: Turn, item: Item) -> list[Part]:
    """ "this is tomasz": from here on, with what of theirs is running; "this is ines" on her own phone ends it."""
    assert isinstance(item, Control)
    person = turn.team.person(item.who)
    if person is None or turn.group:
        return [Part(lines=(f"{item.who} is not on the team's list. Say the name as the list has it.",))]
    known = conversations.conversation(turn.db, turn.chat)
    data = {k: v for k, v in known.data.items() if k != "speaker"}
    if person.name == turn.chat:
        conversations.carry_on(turn.db, turn.message_id, turn.chat, data=data)
        return [Part(head=f"{_name(person.name)} again.")]
    lasts = table("conversation")["borrowed_phone"]["lasts"]
    until = turn.now + timedelta(minutes=lasts)
    told = {"who": person.name, "until": until.timestamp()}
    conversations.carry_on(turn.db, turn.message_id, turn.chat, data=data | {"speaker": told})
    head = f"{_name(person.name)} on {_name(turn.chat)}'s phone until {turn.local(until):%H:%M}."
    return [Part(head=head), *status.take(replace(turn, who=person), Control("status"))]


def heard_there(turn: Turn, message: Outgoing) -> list[Outgoing]:
    """A message, and a copy to the phone that its receiver speaks from just now."""
    chats = conversations.spoken_from(turn.db, message.to, turn.now)
    return [message, *(replace(message, to=chat) for chat in chats)] if message.unasked else [message]


def _name(who: str) -> str:
    return who[:1].upper() + who[1:]
