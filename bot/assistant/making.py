"""New water is made: which vat, which kind, how much of what; whatever is in doubt is asked before it is stored."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

from bot.assistant import asking, forecast, people, running, vats, waits
from bot.assistant import making_doubts as doubts
from bot.assistant.making_doubts import Making
from bot.assistant.turn import Ask, Part, Turn
from bot.facts.load import table
from bot.items import Batch, Event, Item, Quantity, Question, Wait
from bot.messages import Outgoing
from bot.rules import batches as rules
from bot.rules import waits as wait_rules
from bot.rules.batches import NewWater
from bot.rules.words import says
from bot.science.working import Known, Working
from bot.store import batches as store
from bot.store import logbook
from bot.store.logbook import Fact
from bot.store.pending import Pending
from bot.wording import batches as wording


def take(turn: Turn, item: Item) -> list[Part]:
    """A batch in words; what is not said is known from the vat, or asked."""
    assert isinstance(item, Batch)
    return make(turn, Making(item, rest=_rest_said(turn)))


def make(turn: Turn, making: Making) -> list[Part]:
    """Through every doubt, one question at a time; then it is kept, its salt is counted, its rest begins."""
    found = doubts.first(turn, making)
    return [Part(ask=found)] if isinstance(found, Ask) else _kept(turn, found)


def instead(turn: Turn, item: Item) -> list[Part] | None:
    """A rest that a batch of the same message begins; a rest with its amount, and a vat that is topped up, are
    batches themselves; salt put into fresh water would make another.
    """
    if isinstance(item, Wait) and item.wait == "mix_rest":
        wrong = item.amount is None and _is_wrong_vat(turn, item.vat, turn.text)
        return take(turn, Batch("salt", item.vat, at=item.started)) if wrong else _of_rest(turn, item)
    if isinstance(item, Event) and item.event == "top_off" and item.vat and not item.tank:
        return take(turn, Batch("water", item.vat, item.amount, item.unit, at=item.at))
    if isinstance(item, Event) and item.event == "dose" and _is_wrong_vat(turn, item.vat, item.subject):
        return take(turn, Batch("salt", item.vat, at=item.at))
    return None


def _is_wrong_vat(turn: Turn, vat: str | None, words: str | None) -> bool:
    """Salt on its way into a vat of fresh water."""
    return vats.holds(turn, vat) == "fresh" and says(words or "", "salt, saltwater")


def _rests(turn: Turn) -> list[Wait]:
    return [i for i in turn.items if isinstance(i, Wait) and i.wait == "mix_rest"]


def _rest_said(turn: Turn) -> float | None:
    """The minutes of rest that the message names for its batch."""
    said = [i.minutes for i in _rests(turn) if i.minutes is not None]
    return said[0] if len(said) == 1 else None


def _of_rest(turn: Turn, item: Wait) -> list[Part] | None:
    told = any(isinstance(i, Batch) and i.subject in (*rules.MADE, "water") for i in turn.items)
    if told or (item.amount is None and any(i.amount for i in _rests(turn))):
        return []
    if item.vat is None:
        return None
    if item.amount is None:
        parts = waits.take(turn, replace(item, tank=None))
        return [*parts, Part(lines=(wording.litres_not_said(),))] if store.is_in_use(turn.db) else parts
    holds = vats.holds(turn, item.vat) or "salt"
    return make(turn, Making(Batch(holds, item.vat, item.amount, item.unit, at=item.started), rest=_rest_said(turn)))


def answer(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """A doubt is answered: on to the next; None where the words answer nothing."""
    item, data = question.item, question.data
    assert isinstance(item, Batch)
    if value == "not":
        return [Part(lines=("Good: not stored.",)), *asking.settled(turn, question, "dropped")]
    making = Making(item, frozenset(data["sure"]), data["rest"])
    known = doubts.answered(turn, making, str(data["doubt"]), value, text)
    return None if known is None else [*make(turn, known), *asking.settled(turn, question)]


def room_answer(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """A vat with less room than was said: it was empty before, or what was said is the whole."""
    fact = logbook.fact(turn.db, int(question.data["fact"]))
    if value is None:
        return None
    if fact is None or fact.void or not isinstance(fact.item, Batch):
        return asking.settled(turn, question, "dropped")
    said = _ROOM[value](turn, fact, fact.item, int(question.data["before"]))
    return [Part(said=(said,), tank=fact.item.vat, at=fact.at, stored=True), *asking.settled(turn, question)]


def _was_empty(turn: Turn, fact: Fact, item: Batch, before: int) -> str:
    """What was left was poured away just before."""
    at = turn.local(fact.at - timedelta(seconds=1))
    turn.keep(Batch("dumped", item.vat, number=before, at=at))
    return wording.whole(item, rules.litres(item.amount, item.unit) or 0.0, vats.us(turn))


def _was_topped(turn: Turn, fact: Fact, item: Batch, before: int) -> str:
    """What was said is the whole: only the rest of it is new, and took salt."""
    earlier = rules.numbered(vats.load(turn, without=fact.message_id), before)
    whole = rules.litres(item.amount, item.unit) or 0.0
    added = max(whole - (earlier.left_L if earlier else 0.0), 0.0)
    new, _ = _with_salt(turn, replace(item, amount=added, unit="L", at=turn.local(fact.at)))
    logbook.void(turn.db, turn.message_id, fact.id, "correction", turn.now)
    turn.keep(new)
    return wording.topped(new, added, vats.us(turn))


def _kept(turn: Turn, making: Making) -> list[Part]:
    """The fact, what is said of it, and its rest."""
    item, assumed = _with_salt(turn, making.item)
    before = rules.current(vats.load(turn), item.vat) if item.vat else None
    item = replace(item, number=_number(turn))
    fact_id = turn.keep(item)
    vats.stop_rest(turn, before.number if before else None)
    made = rules.numbered(vats.load(turn), item.number)
    assert made
    us = vats.us(turn)
    carried = [wording.carried(made, before.number, us)] if before and made.carried_L > _DREGS_L else []
    asked = _no_room(turn, made, before, fact_id)
    said = (wording.made(made, item.salt_g, us, assumed),)
    unknown = [] if item.salt_g is None or turn.team.data.get("salt_g_per_L_at_35") else [wording.yield_unknown()]
    told = _told_owner(turn, making)
    first = Part(said=said, tank=item.vat, at=item.at, stored=True, lines=(*carried, *unknown), others=told, ask=asked)
    parts = [first, *_rested(turn, made, making.rest)]
    forecast.watch(turn)
    return parts


def _no_room(turn: Turn, made: NewWater, before: NewWater | None, fact_id: int) -> Ask | None:
    """More than fits beside what was left, as reckoned: asked, while the rest runs already."""
    room = vats.room_L(turn.team.vat(made.vat))
    if room is None or before is None or before.left_L + made.added_L <= room * doubts.BRIM:
        return None
    us = vats.us(turn)
    text = wording.no_room(str(made.vat), wording.water(room, us), wording.water(before.left_L, us), before.number)
    kept = {"before": before.number, "fact": fact_id}
    return Ask(text, wording.ROOM, "room", "room", None, kept)


def _with_salt(turn: Turn, item: Batch) -> tuple[Batch, bool]:
    """A salt batch with its salinity (and whether that was assumed) and the mass of mix that it takes."""
    from bot.science.topics import calculate

    if item.subject != "salt":
        return item, False
    usual = _usual_target(turn, item.vat)
    assumed = item.salinity is None and usual is None
    if item.salinity is None:
        target = usual or float(table("defaults")["salinity_target"]["value"])
        item = replace(item, salinity=target, salinity_unit="ppt")
    litres, yield_g_L = rules.litres(item.amount, item.unit) or 0.0, turn.team.data.get("salt_g_per_L_at_35")
    inputs: dict[str, Quantity | str] = {
        "volume": Quantity(litres, "L"), "to": Quantity(rules.target_PSU(item) or 0.0, "ppt")
    }  # fmt: skip
    worked = calculate(Question("salt_mix", inputs), Known(salt_g_per_L_at_35=yield_g_L))
    grams = worked.figures[0].value if isinstance(worked, Working) else None
    return replace(item, salt_g=grams), assumed


def _usual_target(turn: Turn, vat: str | None) -> float | None:
    """What this vat was mixed to last time."""
    before = [w.target_PSU for w in vats.load(turn) if w.vat == vat and w.target_PSU]
    return before[-1] if before else None


def _number(turn: Turn) -> int:
    """A number of its own; an edited message keeps those that its earlier words had."""
    earlier = store.numbers_of_wording(turn.db, turn.message_id)
    used = {i.number for i in _batches_of(turn)}
    return next((n for n in earlier if n not in used), store.highest_number(turn.db) + 1)


def _batches_of(turn: Turn) -> list[Batch]:
    return [f.item for f in logbook.facts_of(turn.db, [turn.message_id]) if isinstance(f.item, Batch)]


def _rested(turn: Turn, made: NewWater, said: float | None) -> list[Part]:
    """Its rest begins, where its kind rests."""
    step = rules.step_of(made.subject, made.source)
    if step is None and said is None:
        return []
    item = Wait(
        "mix_rest", vat=made.vat, subject=f"batch {made.number}", minutes=said, started=made.at,
        step=step if step != "mix_rest" else None,
    )  # fmt: skip
    long = wait_rules.length(running.kind_of(turn, item.wait, item.step, item.subject), said)
    assert long is not None
    known = {"chlorine": "no_tap"} if made.source in ("ro", "sea") else {}
    begun = waits.begin(turn, item, long, stated=said is not None, batch=made.number, answers=known)
    return [replace(begun, at=made.at if made.at != turn.said_at else None)]


def _told_owner(turn: Turn, making: Making) -> tuple[Outgoing, ...]:
    """The owner hears of water in the wrong vat."""
    if "kind" not in making.sure or making.item.vat is None:
        return ()
    words = wording.told_other(making.item.vat, turn.who.name, making.item.subject)
    owners = [p.name for p in turn.team.with_role("owner") if p.name != turn.who.name]
    return tuple(people.told(turn, name, words, sound=True) for name in owners)


_DREGS_L = 2.0
_ROOM: dict[str, Callable[[Turn, Fact, Batch, int], str]] = {"empty": _was_empty, "topped": _was_topped}
