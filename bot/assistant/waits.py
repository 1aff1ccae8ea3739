"""A wait is started: how long, until when, what to mind meanwhile; all in one reply."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Any

from bot.assistant import asking, closing, filling, open_ends, orders, pings, running
from bot.assistant.running import Running
from bot.assistant.turn import Ask, Part, Turn
from bot.items import Event, Item, Quantity, Question, Wait, changed
from bot.messages import Button
from bot.rules import open_ends as end_rules
from bot.rules import quiet, words
from bot.rules import waits as rules
from bot.rules.waits import Kind, Length
from bot.science.topics import calculate
from bot.science.working import Known, Working
from bot.store import logbook
from bot.store import waits as store
from bot.store.pending import Pending
from bot.wording import bleach as bleach_words
from bot.wording import entries
from bot.wording import waits as wording
from bot.wording.entries import clock


def take(turn: Turn, item: Item) -> list[Part]:
    """Starts a wait, or says why not; one without a length of its own is asked about."""
    assert isinstance(item, Wait)
    kind = running.kind_of(turn, item.wait, item.step, item.subject)
    filled = filling.take(turn, item)
    if filled is not None:
        return filled
    event = open_ends.from_wait(turn, item)
    if event:
        return _left_open(turn, event)
    refused = orders.refusal(turn, item, kind)
    if refused:
        return refused
    long = rules.length(kind, item.minutes, orders.sheet(turn, item, kind))
    if long is None:
        return [_ask_length(turn, item, kind)]
    if _begun_by_the_same(turn, item, kind):
        return []
    before = _step_before(turn, item, kind)
    if before and not closing.ready(turn, before):
        return [closing.too_early(turn, before)]
    parts = closing.finish(turn, before) if before else []
    return [*parts, begin(turn, item, long, stated=item.minutes is not None)]


def begin(turn: Turn, item: Wait, long: Length, owner: str | None = None, **data: Any) -> Part:
    """Starts it: the row, the fact with its actual minutes, and what is said of it."""
    kind = running.kind_of(turn, item.wait, item.step, item.subject)
    item = replace(item, minutes=long.minutes, step=item.step or kind.step)
    started = item.started or turn.said_at
    row = _put(turn, item, started, owner or turn.who.name, data)
    it = running.of(turn, row)
    if row.due_at <= turn.now:
        return _over_already(turn, it)
    today = turn.local(turn.now).date()
    lines = (*_notes(turn, it, long, item), *_strength(item), *([kind.caution] if kind.caution else []))
    return Part(
        said=(wording.started(it.shown, today),), tank=it.shown.place, at=started if item.started else None,
        stored=True, lines=lines, buttons=_start_buttons(it),
    )  # fmt: skip


def _left_open(turn: Turn, event: Event) -> list[Part]:
    """It was said without a length: open until somebody closes it, with a reminder of its own."""
    fact_id = turn.keep(event)
    ends = [open_ends.open_end(turn, key, event, fact_id) for key in end_rules.ends_of(event)[:1]]
    return [Part(said=(entries.event(event),), tank=event.tank or event.vat, stored=True), *ends]


def answer_length(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """The length that was asked for; None where the words give none."""
    item = question.item
    minutes = orders.minutes_in(turn, value or text)
    if minutes is None or not isinstance(item, Wait):
        return None
    started = item.started or datetime.fromtimestamp(float(question.data["started"]), turn.zone)
    return [*take(turn, changed(item, minutes=minutes, started=started)), *asking.settled(turn, question)]


def _ask_length(turn: Turn, item: Wait, kind: Kind) -> Part:
    place = item.tank or item.vat
    text = f"{f'{place}: ' if place else ''}{wording.thing(kind, item.subject)}. {kind.asks} Not running yet."
    kept = {"started": turn.said_at.timestamp()}
    return Part(ask=Ask(text, (), "wait_length", "missing_amount", item, kept, hold=kind.hurts))


def _put(turn: Turn, item: Wait, started: datetime, owner: str, data: dict[str, Any]) -> store.WaitRow:
    assert item.minutes is not None
    due = rules.after(started, item.minutes)
    kind = running.kind_of(turn, item.wait, item.step, item.subject)
    return store.start(
        turn.db, turn.message_id, kind=item.wait, step=item.step, tank=item.tank, vat=item.vat,
        subject=item.subject, owner=owner, chat=owner, topic=None, started_at=started, minutes=item.minutes,
        due_at=due, state="running", next_at=_first_look(turn, kind, owner, due, bool(data.get("stated"))),
        fact_id=turn.keep(item), data=data,
    )  # fmt: skip


def _first_look(turn: Turn, kind: Kind, owner: str, due: datetime, stated: bool) -> datetime:
    """When it pings: at its due time; one that nobody stated and that cannot hurt lets the quiet hours pass."""
    person = turn.team.person(owner)
    if stated or kind.hurts or person is None or not quiet.is_quiet(person, turn.local(due)):
        return due
    return quiet.card_after(person, turn.local(due))


def _over_already(turn: Turn, it: Running) -> Part:
    """It was written long ago: its time has passed, and the answer is its ping."""
    return pings.at_once(turn, it)


def _notes(turn: Turn, it: Running, long: Length, item: Wait) -> list[str]:
    today = turn.local(turn.now).date()
    earliest = clock(turn.local(rules.after(it.row.started_at, it.kind.shortest)), today)
    said = wording.note(it.kind, long, None, earliest)
    return [line for line in (said, _night(turn, it)) if line]


def _night(turn: Turn, it: Running) -> str | None:
    """What happens with a wait that ends in quiet hours: said when it is started."""
    person = turn.team.person(it.row.owner)
    if person is None or not quiet.is_quiet(person, it.shown.due):
        return None
    if it.row.next_at == it.row.due_at:
        return f"Ends in quiet hours: rings you, {person.name}, all the same"
    assert it.row.next_at is not None
    return f"Ends in quiet hours: on the card at {clock(turn.local(it.row.next_at), it.shown.due.date())}"


def _strength(item: Wait) -> list[str]:
    """How much bleach for the water that was named; nothing where no water was named."""
    if item.wait != "bleach_soak" or item.amount is None or item.unit is None:
        return []
    asked = Question("bleach_solution", {"volume": Quantity(item.amount, item.unit)})
    worked = calculate(asked, Known())
    return [bleach_words.solution(worked, item.amount, item.unit)] if isinstance(worked, Working) else []


def _start_buttons(it: Running) -> tuple[Button, ...]:
    delayed = it.row.next_at != it.row.due_at
    ring = (Button("Ring me then", f"w:{it.id}:ring"),) if delayed else ()
    return (*ring, Button("Change time", f"w:{it.id}:time"))


def _step_before(turn: Turn, item: Wait, kind: Kind) -> Running | None:
    """The open wait of this tank whose course leads to this step: it ends as this one starts."""
    found = [running.of(turn, w) for w in store.open_waits(turn.db, tank=item.tank) if w.state != "gate"]
    fitting = [it for it in found if rules.leads_to(it.kind, kind.key) and _same_thing(it.row.subject, item.subject)]
    return fitting[0] if len(fitting) == 1 else None


def _begun_by_the_same(turn: Turn, item: Wait, kind: Kind) -> bool:
    """Whether the end of the step before, said in the same message ("nets out, rinsing"), has just begun this one."""
    facts = {f.id for f in logbook.facts_of(turn.db, [turn.message_id])}
    begun = [w for w in store.open_of(turn.db, facts) if running.of(turn, w).kind.key == kind.key]
    return item.minutes is None and any(_same_thing(w.subject, item.subject) for w in begun)


def _same_thing(first: str | None, second: str | None) -> bool:
    return not first or not second or first == second or words.alike(first, second)
