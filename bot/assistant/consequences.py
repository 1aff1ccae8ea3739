"""A value turns out wrong: all that came from it is named, what can still be stopped is stopped and asked about."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from bot.assistant import asking, questions
from bot.assistant.turn import Ask, Part, Turn
from bot.facts.load import table
from bot.items import Control, Event, Item, Question, Reading, Task
from bot.rules import consequences as rules
from bot.rules.consequences import After
from bot.store import logbook, reminders, said, worked
from bot.store.logbook import Fact
from bot.store.pending import Pending
from bot.store.worked import Worked
from bot.wording import consequences as wording
from bot.wording import entries

# Before the remarks of judging, behind warnings that keep harm away at this very moment.
_RANK = 50


@dataclass(frozen=True)
class Chain:
    """What came from a value: what was worked out, and what was done."""

    old: Reading
    sums: tuple[Worked, ...]
    done: tuple[After, ...]

    @property
    def is_empty(self) -> bool:
        return not self.sums and not self.done


def of_message(turn: Turn) -> list[Part]:
    """What follows from the values that this message took out of force, whichever way: correction, edit, undo, wrong
    tank. One that it said again, or put back, has no consequences.
    """
    gone = [f for f in logbook.moved_by(turn.db, turn.message_id, "void") if f.void]
    there = [f for f in logbook.facts_of(turn.db, [turn.message_id]) if not f.void]
    instead = [f.item for f in (*there, *logbook.moved_by(turn.db, turn.message_id, "restore"))]
    wrong = [f for f in gone if isinstance(f.item, Reading) and not any(_same(f.item, new) for new in instead)]
    parts: list[Part] = []
    for fact in wrong:
        chain = _chain(turn, fact)
        parts += [] if chain.is_empty else _said(turn, fact, chain)
    return parts


def answer(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """Whether what came from the wrong value is in the water."""
    if value is None:
        return None
    after = asking.settled(turn, question)
    found = worked.find(turn.db, int(question.data["worked"]))
    if found is None or not isinstance(found.item, Question):
        return after
    if value == "not":
        return [*_anew(turn, found, str(question.data["parameter"]), float(question.data["value"])), *after]
    return [_retest(turn, found, str(question.data["parameter"])), *after]


def _same(old: Reading, new: Item) -> bool:
    same_test = isinstance(new, Reading) and (new.parameter, new.tank, new.of) == (old.parameter, old.tank, old.of)
    return same_test and isinstance(new, Reading) and (new.value, new.unit) == (old.value, old.unit)


def _chain(turn: Turn, fact: Fact) -> Chain:
    assert isinstance(fact.item, Reading)
    old, day = fact.item, timedelta(days=1)
    sums = {w.id: w for w in worked.from_fact(turn.db, fact.id)}
    if old.tank:
        near = worked.at_tank(turn.db, old.tank, fact.at, fact.at + day)
        sums |= {w.id: w for w in near if _used(turn, w, old)}
    return Chain(old, tuple(sums[i] for i in sorted(sums)), tuple(_done_after(turn, fact, old)))


def _used(turn: Turn, sum_: Worked, old: Reading) -> bool:
    """Whether a sum took the value from its own words, or from the same entry in an earlier wording."""
    if isinstance(sum_.item, Question) and rules.used_value(sum_.item, old):
        return True
    sources = (logbook.fact(turn.db, i) for i in worked.sources(turn.db, sum_.id))
    return any(f is not None and f.void and _same(old, f.item) for f in sources)


def _done_after(turn: Turn, fact: Fact, old: Reading) -> list[After]:
    """Doses, changes, gates and tasks from the moment the value was said to the next test of the same thing."""
    if not old.tank:
        return []
    since = max(fact.at, said.written_at(said.message(turn.db, fact.message_id)))
    until = since + timedelta(minutes=table("consequences")["dose"]["value"])
    found = logbook.events(turn.db, old.tank, (), since, until)
    found += logbook.events(turn.db, None, (), since, until, kind="task")
    found += logbook.events(turn.db, None, (), since, until, kind="control")
    own = [After(f.id, f.at, f.who, f.item) for f in found if _belongs(f, fact, old)]
    return rules.followed(old, since, own, _tested_again(turn, fact, old))


def _belongs(later: Fact, fact: Fact, old: Reading) -> bool:
    """At the same tank; or, of new water that stands in a vat, by the same person."""
    place = getattr(later.item, "tank", None)
    return place == old.tank or (place is None and later.who == fact.who)


def _tested_again(turn: Turn, fact: Fact, old: Reading) -> datetime | None:
    series = logbook.series(turn.db, old.tank or "", old.parameter, 50)
    after = [f.at for f in series if f.at > fact.at and f.message_id != turn.message_id]
    return min(after, default=None)


def _said(turn: Turn, fact: Fact, chain: Chain) -> list[Part]:
    """STOP with its question for the newest sum that may not be poured yet; a line for the rest; what to do now."""
    stop = next((w for w in reversed(chain.sums) if _may_be_poured(turn, w, chain)), None)
    rest = [(w.at, w.who, w.item) for w in chain.sums if w is not stop]
    rest += [(each.at, each.who, each.item) for each in chain.done]
    pieces = [wording.piece(_clock(turn, at), who, item) for at, who, item in sorted(rest, key=lambda each: each[0])]
    lines = (wording.came_from(chain.old, pieces, bool(stop)),) if pieces else ()
    now = wording.what_now(chain.old, *_kinds(chain, rest, stop))
    asks = [Part(ask=_ask(turn, stop, chain.old))] if stop else []
    return [Part(lines=lines, remark=(_RANK, now) if now and not stop else None), *asks]


def _kinds(
    chain: Chain, rest: Sequence[tuple[datetime, str, Item]], stop: Worked | None
) -> tuple[bool, bool, bool, bool]:
    items = [item for _, _, item in rest]
    return (
        any(isinstance(i, Event) and i.event == "dose" for i in items),
        any(isinstance(i, Event) and i.event != "dose" for i in items),
        any(isinstance(i, Control) and i.wait for i in items),
        any(isinstance(i, Question) for i in items),
    )


def _may_be_poured(turn: Turn, sum_: Worked, chain: Chain) -> bool:
    """A sum that is poured, worked out lately, and nobody has said since that it was."""
    if not isinstance(sum_.item, Question) or sum_.item.topic not in table("consequences_shown")["poured"]["topics"]:
        return False
    said_done = any(each.at >= sum_.at and isinstance(each.item, Event) for each in chain.done)
    return not said_done and rules.may_still_be_poured(sum_.at, turn.now)


def _ask(turn: Turn, stop: Worked, old: Reading) -> Ask:
    assert isinstance(stop.item, Question)
    text = wording.not_poured(_clock(turn, stop.at), stop.item, old)
    data: dict[str, object] = {"worked": stop.id, "parameter": old.parameter, "value": old.value}
    return Ask(text, (("Not poured", "not"), ("Poured", "poured")), "poured", "consequence", None, data, hold=True)


def _anew(turn: Turn, found: Worked, parameter: str, wrong: float) -> list[Part]:
    """The same question with what is on record now; where it named the wrong value itself, with the right one."""
    assert isinstance(found.item, Question)
    right = questions.last_readings(turn, found.tank).get(parameter)
    return questions.take(turn, rules.without(found.item, parameter, wrong, right.value if right else None))


def _retest(turn: Turn, found: Worked, parameter: str) -> Part:
    """It is in the water: a test is set, and asked for when it is due."""
    due = turn.now + timedelta(minutes=table("consequences")["retest"]["value"])
    noun = wording.noun(found.item)
    task = Task(wording.retest(parameter, f"the {noun}"), found.tank, turn.local(due), turn.who.name)
    fact_id = turn.keep(task)
    reminders.set_reminder(turn.db, turn.message_id, "task", due, turn.who.name, turn.who.name, found.tank, fact_id)
    return Part(lines=(wording.poured(f"{turn.local(due):%H:%M}"),), stored=True)


def _clock(turn: Turn, at: datetime) -> str:
    return entries.clock(turn.local(at), turn.local(turn.now).date())
