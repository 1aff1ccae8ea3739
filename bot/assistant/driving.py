"""Who is at the wheel: after leaving, until the next word, or for as long as a drive takes."""

from __future__ import annotations

from bot.assistant.turn import Turn
from bot.facts.load import table
from bot.rules.waits import minutes_between
from bot.store import conversations
from bot.store.database import instant


def set_off(turn: Turn) -> None:
    """Notes that the person has left the site and is probably driving."""
    known = conversations.conversation(turn.db, turn.who.name)
    data = {**known.data, "set_off": turn.now.timestamp()}
    conversations.carry_on(turn.db, turn.message_id, turn.who.name, data=data, last_at=turn.now)


def at_wheel(turn: Turn, name: str) -> bool:
    """Whether the person has set off and not been heard of since."""
    known = conversations.conversation(turn.db, name)
    if "set_off" not in known.data:
        return False
    since = instant(known.data["set_off"])
    heard = known.last_at is not None and known.last_at > since
    return not heard and minutes_between(since, turn.now) < table("pings")["driving"]["value"]
