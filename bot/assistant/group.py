"""The team's group, with a topic for each tank: what may be said there, and the one summary that a visit leaves.

The bot speaks there when it stores something (silently), when it is addressed, and on STOP. Whatever concerns one
person (a slip, a question, a code, a price, the own day) is answered in that person's private chat.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, time

from bot.assistant import people
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Control, Event, Item, Reading, Setting
from bot.messages import Outgoing
from bot.store import logbook, outbox
from bot.store.logbook import Fact
from bot.store.roster import amend, amend_team
from bot.team import Tank
from bot.wording import group as wording

Where = tuple[str, str | None]


def place(turn: Turn, parts: Sequence[Part]) -> Where | None:
    """The chat and topic to which the reply goes: where it was said, the person's own, or nowhere (None)."""
    if not turn.group:
        return turn.chat, turn.topic
    there, alone = (turn.group, turn.topic), (turn.chat, None)
    stored, asked = any(p.stored for p in parts), any(p.ask for p in parts)
    if any((p.head or "").startswith("STOP") for p in parts):
        return there
    if asked or _is_private(turn) or (_is_order(turn) and not is_addressed(turn)):
        return alone
    if not turn.text and not stored:
        return alone
    return there if stored or is_addressed(turn) else None


def is_addressed(turn: Turn) -> bool:
    """Whether the message speaks to the bot: by its name, or as a reply to something it said."""
    words = turn.text.casefold().split()
    return bool(words and words[0].strip(",:!@") in table("group")["names"]["words"]) or turn.replied is not None


def announce(turn: Turn, text: str, topic: str = "today") -> tuple[Outgoing, ...]:
    """A line for one of the team's own topics (today, shop, office); nothing where there is no group."""
    group = turn.team.data.get("group")
    where = (turn.team.data.get("topics") or {}).get(topic)
    return (Outgoing(str(group), text, unasked=True, topic=str(where) if where else None),) if group else ()


def summary(turn: Turn, tank: str | None, minutes: int) -> list[Part]:
    """When the last person leaves: for each tank of the site one message in its topic, of what was done there."""
    group = turn.team.data.get("group")
    office = {p.name for p in turn.team.with_role("office")}
    if not group or tank is None or set(people.on_site(turn, tank)) - office - {turn.who.name}:
        return []
    tanks = filter(None, map(turn.tank, people.site_of(turn, tank)))
    return [Part(others=(message,)) for t in tanks if (message := _of_visit(turn, str(group), t))]


def bind(turn: Turn, item: Item) -> list[Part]:
    """ "topic quillow", "topic office", written in the topic itself: from now on it is that tank's, or the team's."""
    assert isinstance(item, Setting)
    if not turn.group or turn.topic is None:
        return [Part(head=wording.write_it_there())]
    amend_team(turn.db, turn.message_id, group=turn.group)
    tank, own = turn.tank(item.tank), str(item.values.get("name") or "")
    if tank:
        amend(turn.db, turn.message_id, "tank", tank.name, topic=turn.topic)
    else:
        amend_team(turn.db, turn.message_id, topics={**(turn.team.data.get("topics") or {}), own: turn.topic})
    turn.keep(item)
    return [Part(said=(wording.bound(tank.name if tank else own),), stored=True)]


def _of_visit(turn: Turn, group: str, tank: Tank) -> Outgoing | None:
    topic = tank.data.get("topic")
    facts = _since_last_summary(turn, group, tank)
    said = wording.summary(tank.name, facts, turn.zone)
    return Outgoing(group, said, unasked=True, topic=str(topic) if topic else None) if said else None


def _since_last_summary(turn: Turn, group: str, tank: Tank) -> list[Fact]:
    """What was said of the tank today since its last summary, in the order in which it was done."""
    midnight = datetime.combine(turn.local(turn.now).date(), time(), turn.zone)
    start = outbox.last_unasked(turn.db, group, f"{tank.name} ", midnight) or midnight
    facts = [f for kind in ("reading", "event") for f in logbook.events(turn.db, tank.name, since=start, kind=kind)]
    return sorted((f for f in facts if f.at > start and _may_be_told(f)), key=lambda f: (f.at, f.id))


def _may_be_told(fact: Fact) -> bool:
    """No doubts, no notes about people: what was measured and done."""
    if isinstance(fact.item, Reading):
        return not fact.item.unconfirmed and fact.item.of == "tank"
    return isinstance(fact.item, Event) and fact.item.event != "note"


def _is_private(turn: Turn) -> bool:
    """Whether the message is about somebody's own matters, money, codes or mistakes."""
    told = table("group")["private"]
    kinds = {i.kind for i in turn.understood.items}
    actions = {i.action for i in turn.understood.items if isinstance(i, Control)}
    subjects = {i.subject for i in turn.understood.items if isinstance(i, Setting)}
    named = kinds & set(told["kinds"]) or actions & set(told["actions"]) or subjects & set(told["settings"])
    learns = turn.who.role == "learner" and not kinds & {"reading", "event", "wait"}
    return bool(named or learns or turn.codes)


def _is_order(turn: Turn) -> bool:
    """Orders to the bot are answered even where its name is left out: in the private chat."""
    return any(isinstance(i, Control) for i in turn.understood.items)
