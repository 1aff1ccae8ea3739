"""What keeps an item from its subject: bleach beside another cleaner, a medication without an order, animals that
may not leave yet. Nothing of it is stored; who must know is told."""

from __future__ import annotations

from bot.assistant import asking, closing, drawing, ending, holding, people, running, scene
from bot.assistant.running import Running
from bot.assistant.turn import Ask, Part, Turn
from bot.items import Control, Event, Item, Question, Wait, changed
from bot.rules import cleaners, medicines
from bot.rules.waits import after
from bot.rules.words import alike, says
from bot.store import roster
from bot.store import waits as store
from bot.store.pending import Pending
from bot.wording import entries
from bot.wording import guards as wording
from bot.wording import orders as order_words


def cleaner(turn: Turn, item: Item) -> list[Part] | None:
    """G7: no acid, ammonia or other cleaner while bleach is open at the site, and the other way round."""
    if not isinstance(item, Wait | Question) and not (isinstance(item, Event) and item.event in _ON_THE_BENCH):
        return None
    place = item.tank or (turn.situation.tank if turn.situation else None)
    kind = running.kind_of(turn, item.wait, item.step, item.subject).key if isinstance(item, Wait) else None
    clash = cleaners.clash(turn.text, kind, scene.open_at(turn, place))
    return [Part(head=wording.clash(clash, place), urgent=True, warns=True)] if clash else None


def instruction(turn: Turn, item: Item) -> list[Part] | None:
    """What a supplier's sheet or a label says of a wait: kept with the tank, and taken and quoted from then on."""
    if not isinstance(item, Wait) or item.minutes is None or not says(turn.text, _SHEETS) or says(turn.text, _BEGUN):
        return None
    tank = turn.tank(item.tank)
    if tank is None:
        return None
    subject = wording.animals_named(turn.text)
    rule = {"wait": item.wait, "minutes": item.minutes, "by": wording.sheet_named(turn.text), "subject": subject}
    others = (r for r in tank.data.get("instructions", ()) if (r.get("wait"), r.get("subject")) != (item.wait, subject))
    roster.amend(turn.db, turn.message_id, "tank", tank.name, instructions=[*others, rule])
    kind = running.kind_of(turn, item.wait, item.step, None)
    words = wording.instruction_kept(tank.name, kind.name, item.minutes, subject, str(rule["by"]))
    return [Part(head=words, warns=True)]


_SHEETS = (
    "sheet says, label says, supplier says, suppliers says, instructions say, supplier sheet, suppliers sheet, "
    "the label, per the sheet, supplier wants"
)
_BEGUN = "now, started, starting, just, is on, are on, in since, running"


def medicine(turn: Turn, item: Item) -> list[Part] | None:
    """G6: a medication only with a veterinarian's instruction on file for this tank. No way round."""
    if not isinstance(item, Event) or item.event != "dose":
        return None
    named = medicines.named(item.subject or "")
    tank = turn.tank(item.tank)
    today = turn.local(turn.now).date()
    if named is None or (tank and any(medicines.covers(o, item.subject or "", today) for o in tank.orders)):
        return None
    note = f"reported without an order: {entries.event(item)}"
    turn.keep(Event("note", tank=item.tank, subject=note))
    others = tuple(
        people.told(turn, p.name, wording.no_order_told(turn.who.name, item.tank, entries.event(item)), sound=True)
        for p in turn.team.with_role("owner") if p.name != turn.who.name
    )  # fmt: skip
    head = order_words.no_order(item.subject or named, item.tank)
    if scene.has_invertebrates(tank) and medicines.harms_invertebrates(named):
        head = wording.kills_invertebrates(item.subject or named, item.tank)
    return [Part(head=head, others=others, urgent=True)]


def leaving_quarantine(turn: Turn, item: Item) -> list[Part] | None:
    """G3: animals moved out of a tank whose quarantine has not been released."""
    if not isinstance(item, Event) or item.event != "livestock_moved":
        return None
    source = item.from_tank or item.tank
    kept = [w for w in store.open_waits(turn.db, tank=source) if w.kind == "quarantine"] if source else []
    if not kept or item.to_tank == source:
        return None
    it = running.of(turn, kept[0])
    if not closing.ready(turn, it):
        closing.note_hold(turn, it)
    days = (turn.said_at - it.row.started_at).days
    head = wording.in_quarantine(it.shown, days, f"{it.shown.due:%a} {it.shown.due.day} {it.shown.due:%b}")
    return [_held(turn, item, head, "G3", it)]


def out_of_soak(turn: Turn, item: Item) -> list[Part] | None:
    """ "hose is out" of a thing that lies in bleach or rinse: the end of that soak, no machine switched off."""
    if not isinstance(item, Event) or item.event != "equipment" or item.state not in ("off", "removed"):
        return None
    here = store.open_at(turn.db, people.site_of(turn, item.tank), turn.who.name) if item.subject else []
    soaks = [w for w in here if w.kind in ("bleach_soak", "rinse_soak") and w.subject]
    same = [running.of(turn, w) for w in soaks if alike(str(item.subject), str(w.subject))]
    return ending.out(turn, same[0], item.at) if len(same) == 1 else None


def out_of_the_bag(turn: Turn, item: Item) -> list[Part] | None:
    """G4: animals put in while their bag still floats, drips, or waits for its match."""
    if not isinstance(item, Event) or item.event != "livestock_added" or not item.tank:
        return None
    bags = [running.of(turn, w) for w in store.open_waits(turn.db, tank=item.tank) if w.kind in ("float", "drip")]
    same = [it for it in bags if _same_animals(it.row.subject, item.subject)]
    if not same:
        return None
    head = wording.not_matched(same[0].shown)
    return [_held(turn, item, head, "G4", same[0])]


def answer(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """Whether what was held has happened already: then it is kept as it is, and the owner is told."""
    item = question.item
    value = value or wording.happened(text)
    if value is None or item is None:
        return None
    after = asking.settled(turn, question, "answered" if value == "did" else "dropped")
    if value == "not":
        return [Part(lines=("Good: not stored.",)), *after]
    assert isinstance(item, Event)
    gate = str(question.data["gate"])
    turn.keep(item)
    turn.keep(Control("override", tank=item.tank, subject=f"{gate}: {entries.event(item)}", reason="done before asked"))
    words = wording.done_all_the_same(turn.who.name, gate, item.tank, entries.event(item))
    owners = [p.name for p in turn.team.with_role("owner") if p.name != turn.who.name]
    told = tuple(people.told(turn, name, words, sound=True) for name in owners)
    said = (entries.event(item), *drawing.told(turn, item))
    lines = (*holding.done_all_the_same(question), wording.owner_told(owners))
    return [Part(said=said, tank=item.tank, at=item.at, stored=True, lines=lines, others=told), *after]


def newcomers(turn: Turn, item: Item) -> list[Part]:
    """A newcomer starts the quarantine of its tank again, for all in it."""
    assert isinstance(item, Event)
    kept = [w for w in store.open_waits(turn.db, tank=item.tank) if w.kind == "quarantine"] if item.tank else []
    return [_restarted(turn, running.of(turn, w), item) for w in kept]


def _restarted(turn: Turn, it: Running, item: Event) -> Part:
    at = item.at or turn.said_at
    due = after(at, it.row.minutes)
    row = store.alter_wait(
        turn.db, turn.message_id, it.id, started_at=at, due_at=due, next_at=due, state="running", ended_at=None,
        data={**it.row.data, "answers": {}, "held": None, "time_overridden": False},
    )  # fmt: skip
    shown = running.of(turn, row).shown
    day = f"{shown.due:%a} {shown.due.day} {shown.due:%b}"
    return Part(lines=(f"Quarantine starts again for all: until {day}.",))


_ON_THE_BENCH = ("cleaning", "dose", "note", "filter_service", "equipment")
"""Events that can bring a chemical to where the bleach stands."""


def _held(turn: Turn, item: Event, head: str, gate: str, it: Running) -> Part:
    kept = {"gate": gate, "wait": it.id}
    at = turn.local(turn.said_at) if item.at is None else item.at
    ask = Ask(f"{head} Done already?", wording.OPTIONS, "held", gate, changed(item, at=at), kept, hold=True)
    return Part(ask=ask, urgent=True)


def _same_animals(first: str | None, second: str | None) -> bool:
    return not first or not second or alike(first, second)
