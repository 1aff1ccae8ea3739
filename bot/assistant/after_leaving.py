"""A wait that can hurt ends after its owner has left: going back, the desk looks, or handing over."""

from __future__ import annotations

from bot.assistant import people
from bot.assistant.running import Running
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.messages import Button
from bot.rules import ladder
from bot.rules.waits import after
from bot.store import conversations
from bot.store import waits as store
from bot.wording import after_leaving as wording


def buttons(turn: Turn, it: Running) -> tuple[Button, ...] | None:
    """The choices of somebody who has left; None where the owner is still there, or nothing can hurt."""
    if not it.kind.hurts or it.kind.alone or not _has_left(turn, it):
        return None
    back, hand = Button("Going back", f"w:{it.id}:back"), Button("Hand over", f"w:{it.id}:hand")
    look = (Button("Desk can look", f"w:{it.id}:desk"),) if it.kind.desk else ()
    return (back, *look, hand)


def going_back(turn: Turn, it: Running) -> list[Part]:
    """On the way: the ladder waits for the drive, and goes on from where it is after it."""
    if it.row.state == "running":
        return []
    drive = table("pings")["drive_back"]["value"]
    there = after(turn.now, drive)
    first = ladder.moment(there, 0, it.ladder) - there
    data = {**it.row.data, "pinged_at": (there - first).timestamp()}
    store.alter_wait(turn.db, turn.message_id, it.id, rung=0, next_at=there, data=data)
    return [Part(lines=(wording.going_back(it.shown, drive),))]


def desk_looks(turn: Turn, it: Running) -> list[Part]:
    """The office gets the sentences to say: for looking and phoning only."""
    client = people.client_of(turn, it.row.tank)
    if it.kind.desk is None:
        return [Part(lines=(wording.not_for_the_desk(it.shown),))]
    contact = client.contact if client and client.contact else None
    words = wording.to_say(it.shown, it.kind.desk, contact)
    office = [p.name for p in turn.team.with_role("office")] or [turn.who.name]
    told = tuple(people.told(turn, name, words, sound=True) for name in office if name != turn.who.name)
    return [Part(lines=(wording.desk_asked(office) if told else words,), others=told)]


def _has_left(turn: Turn, it: Running) -> bool:
    """Whether the owner set off after it was started and has not been back at that site."""
    known = conversations.conversation(turn.db, it.row.owner)
    gone = known.data.get("set_off", 0.0) > it.row.started_at.timestamp()
    return gone and known.tank not in people.site_of(turn, it.row.tank)
