"""Which tank is in hand, and what the reader may know: the Situation of a message."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sqlite_utils import Database

from bot.assistant.turn import Turn
from bot.items import Correction, Item, Reading, Situation, Understood
from bot.rules.conversation import in_hand_for
from bot.store import conversations, logbook, outbox, pending, said, waits
from bot.store.roster import retired_tanks
from bot.team import Tank, Team
from bot.understanding.read import read


def situation(turn: Turn) -> Situation:
    """All that the reader is told: names, the tank in hand, the unit habit, what was asked, what is replied to."""
    team = turn.team
    replied = replied_facts(turn)
    tank = turn.tank(tank_of_facts(replied) or tank_in_hand(turn))
    return Situation(
        now=turn.local(turn.said_at),
        units=turn.who.units or team.units,
        tank=tank.name if tank else None,
        tanks=(*(t.name for t in team.tanks), *_retired_in(turn)),
        vats=tuple(v.name for v in team.vats),
        nicknames=_sites_of_one(team) | {nick: t.name for t in team.tanks for nick in _other_names(t)},
        panel=tank.panel if tank else (),
        people=tuple(p.name for p in team.people),
        asked=() if turn.group else _asked(turn.db, turn.chat, turn.who.name),
        reply_to=_replied_item(turn),
    )


def _retired_in(turn: Turn) -> list[str]:
    """Tanks that were taken off the list, where the words name them in full: their history can be asked for."""
    words = " ".join(turn.text.casefold().split())
    return [name for name in retired_tanks(turn.db) if name.casefold() in words]


def of_edit(turn: Turn, old: Sequence[logbook.Fact]) -> Situation:
    """The situation of an edited message: it is about the tank that its old words were about, wherever one is now."""
    known = turn.situation or situation(turn)
    tank = turn.tank(tank_of_facts(old))
    return replace(known, tank=tank.name, panel=tank.panel) if tank else known


def tank_of_facts(found: Sequence[logbook.Fact]) -> str | None:
    """The one tank that entries are about; None where they are about none, or several."""
    tanks = {t for f in found if (t := getattr(f.item, "tank", None))}
    return tanks.pop() if len(tanks) == 1 else None


def _sites_of_one(team: Team) -> dict[str, str]:
    """The clients that have one tank: to name the place is to name the tank."""
    tanks = {c.name: [t.name for t in team.tanks if t.client == c.name] for c in team.clients}
    return {name: own[0] for name, own in tanks.items() if len(own) == 1}


def _other_names(tank: Tank) -> tuple[str, ...]:
    """Its nicknames, and the short code on its label: "here Q7"."""
    label = tank.data.get("label")
    return (*tank.nicknames, str(label)) if label else tank.nicknames


def named(turn: Turn, words: str) -> str | None:
    """The one tank that the words name, and nothing beside it."""
    understood = read(f"here {words}", turn.situation or situation(turn))
    found = {getattr(i, "tank", None) for i in understood.items} - {None}
    plain = not understood.unread and [getattr(i, "action", "") for i in understood.items] == ["here"]
    return found.pop() if plain and len(found) == 1 else None


def tank_in_hand(turn: Turn) -> str | None:
    """The tank whose topic this is, else the one last named here, unless it has been idle too long.

    In the group nothing is in hand but by its topic: there several people speak of several tanks.
    """
    if turn.topic:
        own = next((t.name for t in turn.team.tanks if str(t.data.get("topic", "")) == turn.topic), None)
        if own:
            return own
    if turn.group:
        return None
    known = conversations.conversation(turn.db, turn.chat)
    if known.tank is None or known.tank_at is None or turn.now - known.tank_at > in_hand_for():
        return None
    return known.tank


def carry_on(turn: Turn, understood: Understood, looks_back: bool = False) -> None:
    """Notes that the chat was used, and the tank that is in hand from now on: the last one named or used. Words about
    an earlier message (`looks_back`, a reply) and questions about the record leave it as it is.
    """
    in_hand = tank_in_hand(turn)
    stays = in_hand and (looks_back or turn.replied is not None)
    told = [i for i in understood.items if not (in_hand and (stays or only_asks(i)))]
    named = [t for t in map(_tank_of, told) if t and turn.tank(t)]
    tank = named[-1] if named else None
    if tank:
        conversations.carry_on(
            turn.db, turn.message_id, turn.chat, who=turn.who.name, tank=tank, tank_at=turn.now, last_at=turn.now
        )
    else:
        conversations.carry_on(turn.db, turn.message_id, turn.chat, who=turn.who.name, last_at=turn.now)


def let_go(turn: Turn) -> None:
    """No tank is in hand any more (the technician has left)."""
    conversations.carry_on(turn.db, turn.message_id, turn.chat, tank=None, tank_at=None)


def _tank_of(item: Item) -> str | None:
    """The tank that an item puts in hand; leaving one does not, nor does setting it up or asking for its door code."""
    if getattr(item, "subject", None) in _OF_THE_OFFICE or getattr(item, "action", None) in ("leaving", "code"):
        return None
    return (item.to_tank if isinstance(item, Correction) else None) or getattr(item, "tank", None)


_OF_THE_OFFICE = ("code", "tap", "client", "person", "order", "topic", "price", "contract", "expiry")
"""Settings that name a tank, but not as the place where somebody stands."""


def only_asks(item: Item) -> bool:
    """Whether an item only asks about the record: naming another tank in it is no going there."""
    asks = getattr(item, "action", None) in ("history", "status", "code", "report")
    return asks or item.kind == "setting" or getattr(item, "topic", None) == "other"


def _asked(db: Database, chat: str, who: str) -> tuple[str, ...]:
    """What an answer could mean just now: the options of the open question, and answers to pings still open."""
    question = pending.open_question(db, chat)
    options = question.options if question else ()
    pinged = bool(waits.open_waits(db, owner=who, states=("asked", "gate")))
    return (*options, *(("ping",) if pinged else ()))


def _replied_item(turn: Turn) -> Item | None:
    """The one reading that the message replied to is about; None where it is about none, or several."""
    found = [f.item for f in replied_facts(turn) if isinstance(f.item, Reading)]
    return found[0] if len(found) == 1 else None


def replied_facts(turn: Turn) -> list[logbook.Fact]:
    """The facts in force that came from the message replied to, or that the bot's message quoted, as they are now."""
    said_there = logbook.facts_of(turn.db, [turn.replied]) if turn.replied else []
    return [f for f in (*said_there, *logbook.in_place_of(turn.db, said_there)) if not f.void]


def replied_message(db: Database, chat: str, ref: str | None) -> int | None:
    """The message replied to, as it was worded last: a person's own, or the one that the bot's message answered."""
    own = said.message_of(db, chat, ref)
    if own:
        return said.latest_wording(db, int(own["id"]))
    answer = outbox.sent_as(db, chat, ref) if ref is not None else None
    told = outbox.told_of(db, chat, ref) if ref is not None and answer is None else None
    if told:
        return said.latest_wording(db, int(told["id"]))
    return said.latest_wording(db, int(answer["message_id"])) if answer and answer["message_id"] else None
