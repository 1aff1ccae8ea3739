"""Two people, one dose: a second dose, feeding or change within the day is stopped before it counts."""

from __future__ import annotations

from datetime import datetime, time, timedelta

from bot.assistant import asking, drawing
from bot.assistant.turn import Ask, Part, Turn
from bot.items import Event, Task
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
    """One act or two: two are both stored, a retest is set and the owner is told."""
    item = question.item
    if value is None or not isinstance(item, Event):
        return None
    after = asking.settled(turn, question, "answered" if value == "too" else "dropped")
    if value == "same":
        return [Part(lines=("Counted once.",)), *after]
    earlier, item = _earlier(turn, item), drawing.drawn(turn, item)
    turn.keep(item)
    turn.keep(_retest(turn, item))
    said = (entries.event(item), *drawing.told(turn, item), "task: retest")
    return [Part(said=said, tank=item.tank, stored=True, others=_tell_owner(turn, item, earlier)), *after]


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


def _tell_owner(turn: Turn, item: Event, earlier: Fact | None) -> tuple[Outgoing, ...]:
    first = earlier.item if earlier and isinstance(earlier.item, Event) else item
    words = wording.twice(item.tank or "", [(earlier.who if earlier else "?", first), (turn.who.name, item)])
    owners = turn.team.with_role("owner")
    return tuple(Outgoing(p.name, words, unasked=True) for p in owners if p.name != turn.who.name)


def _clock(turn: Turn, fact: Fact) -> str:
    return entries.clock(turn.local(fact.at), turn.local(turn.now).date())
