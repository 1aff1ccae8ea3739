"""Two people, one dose: a second dose, feeding or change within the day is stopped before it counts."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time, timedelta

from bot.assistant import asking, drawing
from bot.assistant.turn import Ask, Part, Turn
from bot.items import Correction, Event, Task
from bot.messages import Outgoing
from bot.rules import doubles as rules
from bot.store import logbook
from bot.store.logbook import Fact
from bot.store.pending import Pending
from bot.wording import doubles as wording
from bot.wording import entries


def guard(turn: Turn, item: Event) -> list[Part] | None:
    """The question that must be answered first; None where nothing of the kind was done today by somebody else."""
    earlier = _earlier(turn, item)
    if earlier is None or earlier.who == turn.who.name or not item.tank:
        return None
    assert isinstance(earlier.item, Event)
    head = wording.stop(item.tank, earlier.who, earlier.item, _clock(turn, earlier))
    ask = Ask(wording.question(item.event), wording.options(item.event), "double", "double", item, {}, hold=True)
    return [Part(head=head, ask=ask, urgent=True)]


def own_again(turn: Turn, item: Event) -> tuple[int, str] | None:
    """A remark where the same person already reported one today."""
    earlier = _earlier(turn, item)
    if earlier is None or earlier.who != turn.who.name or item.event == "feeding":
        return None
    assert isinstance(earlier.item, Event)
    return 20, wording.own_again(earlier.item, _clock(turn, earlier))


def answer(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """One act or two: two are both stored, a retest is set and the owner is told. Where the first was taken back
    meanwhile, this one is the only one.
    """
    item = question.item
    if not isinstance(item, Event):
        return None
    if value is None:
        return _elsewhere(turn, question, item)
    earlier = _earlier(turn, item)
    after = asking.settled(turn, question, "answered" if value == "too" or earlier is None else "dropped")
    if earlier is None:
        return [*turn.subjects.handlers["event"](turn, item), *after]
    if value == "same":
        return [Part(lines=("Counted once.",)), *after]
    item = drawing.drawn(turn, item)
    turn.keep(item)
    turn.keep(_retest(turn, item))
    said = (entries.event(item), *drawing.told(turn, item), "task: retest")
    return [Part(said=said, tank=item.tank, stored=True, others=_tell_owner(turn, item, earlier)), *after]


def _elsewhere(turn: Turn, question: Pending, item: Event) -> list[Part] | None:
    """ "that was ferris": what waits for the answer was done at another tank, and is looked at there anew."""
    said = [i for i in turn.understood.items if isinstance(i, Correction) and i.to_tank and i.value is None]
    if len(said) != 1 or len(turn.understood.items) != 1 or said[0].to_tank == item.tank:
        return None
    moved = replace(item, tank=said[0].to_tank)
    return [*asking.settled(turn, question, "dropped"), *turn.subjects.handlers["event"](turn, moved)]


def _earlier(turn: Turn, item: Event) -> Fact | None:
    if not rules.once_a_day(item) or not item.tank:
        return None
    day = turn.local(item.at or turn.said_at).date()
    since = datetime.combine(day, time(), turn.zone)
    found = logbook.events(turn.db, item.tank, [item.event], since, since + timedelta(days=1))
    others = (f for f in found if f.message_id != turn.message_id and isinstance(f.item, Event))
    return next((f for f in others if isinstance(f.item, Event) and rules.same_act(item, f.item)), None)


def _retest(turn: Turn, item: Event) -> Task:
    return Task(f"retest after the second {entries.event(item)}", item.tank, turn.local(turn.now).date(), turn.who.name)


def _tell_owner(turn: Turn, item: Event, earlier: Fact) -> tuple[Outgoing, ...]:
    first = earlier.item if isinstance(earlier.item, Event) else item
    words = wording.twice(item.tank or "", [(earlier.who, first), (turn.who.name, item)])
    owners = turn.team.with_role("owner")
    return tuple(Outgoing(p.name, words, unasked=True) for p in owners if p.name != turn.who.name)


def _clock(turn: Turn, fact: Fact) -> str:
    return entries.clock(turn.local(fact.at), turn.local(turn.now).date())
