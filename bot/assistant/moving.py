"""The wrong tank: all that a message said goes to the right one, with its waits and open ends; both keep a trace."""

from __future__ import annotations

from dataclasses import replace

from bot.assistant import asking, conversation, corrections
from bot.assistant.turn import Ask, Part, Turn
from bot.items import Clarify, Correction, Event, Item, Reading, Task, Understood, Wait, changed
from bot.items_json import as_json
from bot.store import logbook, pending, reminders, waits
from bot.store.logbook import Fact
from bot.store.pending import Pending
from bot.wording import moving as wording
from bot.wording import undoing as undo_words


def take(turn: Turn, item: Item) -> list[Part]:
    """ "that was brindlemoor", "wrong tank": of the message replied to, else of the last one that did something; a
    correction that gives a value is no matter of the tank alone.
    """
    assert isinstance(item, Correction)
    if item.value is not None or (item.to_tank is None and (item.parameter or item.event)):
        return corrections.take(turn, item)
    target = turn.replied or logbook.last_said_of_a_tank(turn.db, turn.who.name, turn.message_id)
    facts = _movable(turn, target, item) if target else []
    if not facts:
        return [Part(head=wording.NOTHING)]
    if item.to_tank is None:
        return [_which(turn, target or 0, facts)]
    return _moved(turn, target or 0, facts, item.to_tank)


def answer(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """The right tank is named."""
    tank = turn.tank(value) or turn.tank(conversation.named(turn, text))
    if tank is None:
        return None
    target = int(question.data["target"])
    return [*_moved(turn, target, _movable(turn, target, Correction()), tank.name), *asking.settled(turn, question)]


def _movable(turn: Turn, target: int, item: Correction) -> list[Fact]:
    """The entries of a message that belong to a tank; only those meant, where a test or an event is named."""
    entries = (f for f in logbook.facts_of(turn.db, [target]) if isinstance(f.item, Reading | Event | Wait | Task))
    found = [f for f in entries if not f.void and getattr(f.item, "tank", None)]
    name = item.parameter or item.event
    return [f for f in found if name is None or name in (getattr(f.item, k, None) for k in ("parameter", "event"))]


def _which(turn: Turn, target: int, facts: list[Fact]) -> Part:
    here = getattr(facts[0].item, "tank", None)
    site = [t.name for t in turn.team.tanks if t.name != here and t.client == getattr(turn.tank(here), "client", "")]
    options = tuple((name, name) for name in site[:3]) if len(site) <= 3 else ()
    text = wording.which(str(here), [undo_words.piece(f.item) for f in facts])
    return Part(ask=Ask(text, options, "moved", "which_tank", None, {"target": target}))


def _moved(turn: Turn, target: int, facts: list[Fact], tank: str) -> list[Part]:
    others = [f for f in facts if getattr(f.item, "tank", None) != tank]
    if not others:
        return [Part(head=wording.there_already(tank))]
    left = list(dict.fromkeys(str(getattr(f.item, "tank", "")) for f in others))
    for place in left:
        turn.keep(Correction(tank=place, to_tank=tank))
    parts = [_move(turn, fact, tank) for fact in others]
    _move_questions(turn, target, left, tank)
    conversation.carry_on(turn, Understood(tuple(changed(f.item, tank=tank) for f in others)))
    return [*parts, Part(lines=(wording.taken_off(left),))]


def _move(turn: Turn, fact: Fact, tank: str) -> Part:
    """One entry: out of force where it was, in force where it belongs, at the time it held; a reading judged anew."""
    logbook.void(turn.db, turn.message_id, fact.id, f"moved to {tank}", turn.now)
    asking.drop_about(turn, fact.id)
    new = _at_tank(turn, fact, tank)
    said, ask = corrections.kept(turn, new)
    _carry_along(turn, fact.id, tank)
    return Part(said=(said,), tank=tank, at=fact.at, stored=True, ask=ask)


def _at_tank(turn: Turn, fact: Fact, tank: str) -> Item:
    new = changed(fact.item, tank=tank)
    if isinstance(new, Reading):
        new = replace(new, unconfirmed=False)
    if isinstance(new, Wait):
        return replace(new, started=turn.local(fact.at))
    return changed(new, at=turn.local(fact.at)) if isinstance(new, Reading | Event) else new


def _move_questions(turn: Turn, target: int, left: list[str], tank: str) -> None:
    """What of the message still waits for an answer is asked about the right tank."""
    for question in pending.unanswered(turn.db, turn.chat):
        if question.message_id == target and isinstance(question.item, Clarify) and question.item.tank in left:
            item = replace(question.item, tank=tank)
            text = str(question.data["text"]).replace(question.item.tank or "", tank)
            data = {**question.data, "text": text, "together": [as_json(item)]}
            pending.settle(turn.db, turn.message_id, question.id, question.state, item=as_json(item), data=data)


def _carry_along(turn: Turn, fact_id: int, tank: str) -> None:
    """The waits, open ends and reminders of an entry."""
    new_id = logbook.facts_of(turn.db, [turn.message_id])[-1].id
    for wait in waits.of_fact(turn.db, fact_id):
        waits.alter_wait(turn.db, turn.message_id, wait.id, tank=tank, fact_id=new_id)
    for reminder in reminders.of_fact(turn.db, fact_id):
        reminders.alter_reminder(turn.db, turn.message_id, reminder.id, tank=tank, fact_id=new_id)
