"""New water is made: which vat, which kind, how much of what; whatever is in doubt is asked before it is stored."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from bot.assistant import asking, forecast, people, running, vats, waits
from bot.assistant.turn import Ask, Part, Turn
from bot.facts.load import table
from bot.items import Batch, Event, Item, Quantity, Question, Wait
from bot.messages import Outgoing
from bot.rules import batches as rules
from bot.rules import waits as wait_rules
from bot.rules.batches import NewWater
from bot.science.working import Known, Working
from bot.store import batches as store
from bot.store.pending import Pending
from bot.understanding.read import read
from bot.wording import batches as wording


@dataclass(frozen=True)
class Making:
    """A batch on its way into the record: `sure` are the doubts already answered, `rest` the minutes that were said."""

    item: Batch
    sure: frozenset[str] = frozenset()
    rest: float | None = None


def take(turn: Turn, item: Item) -> list[Part]:
    """A batch in words; what is not said is known from the vat, or asked."""
    assert isinstance(item, Batch)
    return make(turn, Making(item, rest=_rest_said(turn)))


def make(turn: Turn, making: Making) -> list[Part]:
    """Through every doubt, one question at a time; then it is kept, its salt is counted, its rest begins."""
    for settle in (_vat, _kind, _amount, _room, _source):
        found = settle(turn, making)
        if isinstance(found, Ask):
            return [Part(ask=found)]
        making = replace(making, item=found)
    return _kept(turn, making)


def instead(turn: Turn, item: Item) -> list[Part] | None:
    """A rest that a batch of the same message begins; a rest with its amount, and a vat that is topped up, are
    batches themselves.
    """
    if isinstance(item, Wait) and item.wait == "mix_rest":
        return _of_rest(turn, item)
    if isinstance(item, Event) and item.event == "top_off" and item.vat and not item.tank and item.amount:
        return take(turn, Batch("water", item.vat, item.amount, item.unit, at=item.at))
    return None


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
    item = question.item
    assert isinstance(item, Batch)
    data = question.data
    making = Making(item, frozenset(data["sure"]), data["rest"])
    what, _, chosen = (value or "").partition(":")
    if value is None:
        amount = _amount_in(turn, text, item) if data["doubt"] == "amount" else None
        if amount is None:
            return None
        what, making = "amount", replace(making, item=replace(item, amount=amount.value, unit=amount.unit))
    if what == "not":
        return [Part(lines=("Good: not stored.",)), *asking.settled(turn, question, "dropped")]
    return [*make(turn, _ANSWERED[what](turn, making, chosen)), *asking.settled(turn, question)]


def _ask(turn: Turn, making: Making, doubt: str, text: str, options: wording.Options, hold: bool = False) -> Ask:
    item = making.item if making.item.at else replace(making.item, at=turn.local(turn.said_at))
    kept: dict[str, Any] = {"doubt": doubt, "sure": sorted(making.sure), "rest": making.rest}
    return Ask(text, options, "batch", doubt, item, kept, hold=hold)


def _vat(turn: Turn, making: Making) -> Batch | Ask:
    """The vat named, else the only one of its kind; none where the team has none."""
    item = making.item
    if item.vat or not turn.team.vats or "vat" in making.sure:
        return item
    kind = "fresh" if item.subject == "fresh" else "salt"
    fitting = [v.name for v in turn.team.vats if v.holds in (kind, None)] or [v.name for v in turn.team.vats]
    if len(fitting) == 1:
        return replace(item, vat=fitting[0])
    options = tuple((name, f"vat:{name}") for name in fitting[:3])
    return _ask(turn, making, "vat", wording.which_vat("salt" if item.subject == "water" else item.subject), options)


def _kind(turn: Turn, making: Making) -> Batch | Ask:
    """What the vat is for decides; water of another kind into it is stopped before it counts."""
    item, holds = making.item, vats.holds(turn, making.item.vat)
    if item.subject == "water":
        return replace(item, subject=holds or "salt")
    fits = holds is None or (item.subject == "fresh") == (holds == "fresh")
    if fits or "kind" in making.sure or item.vat is None:
        return item
    kind = "fresh" if item.subject == "fresh" else "salt"
    others = [v.name for v in turn.team.vats if v.holds == kind]
    meant = ((f"Into {others[0]}", f"vat:{others[0]}"),) if len(others) == 1 else ()
    options = (*meant, (f"It is in {item.vat}", "kind"), ("Not done", "not"))
    return _ask(turn, making, "kind", wording.holds_other(item.vat, str(holds), item.subject), options, hold=True)


def _amount(turn: Turn, making: Making) -> Batch | Ask:
    """What was said; "filled" without a number is the whole vat, less what was left in it."""
    item, room = making.item, vats.room_L(turn.team.vat(making.item.vat))
    if item.amount is not None:
        return item
    before = rules.current(vats.load(turn), item.vat)
    if room is None or (before and before.left_L >= room):
        return _ask(turn, making, "amount", wording.how_much(item.vat), ())
    return replace(item, amount=room - (before.left_L if before else 0.0), unit="L")


def _room(turn: Turn, making: Making) -> Batch | Ask:
    """More than fits beside what is left: either that was poured away, or the vat was topped up."""
    item, vat = making.item, turn.team.vat(making.item.vat)
    room, added = vats.room_L(vat), rules.litres(item.amount, item.unit)
    before = rules.current(vats.load(turn), item.vat)
    if room is None or added is None or before is None or "room" in making.sure:
        return item
    if before.left_L + added <= room * _BRIM:
        return item
    us = vats.us(turn)
    text = wording.no_room(str(item.vat), wording.water(room, us), wording.water(before.left_L, us), before.number)
    top = (("Topped up", "topped"),) if before.left_L < room else ()
    return _ask(turn, making, "room", text, (("It was empty", "empty"), *top))


def _source(turn: Turn, making: Making) -> Batch | Ask:
    """Where fresh water is from, since tap water is tested for chlorine; as last time where nobody says."""
    item, vat = making.item, turn.team.vat(making.item.vat)
    if item.source or item.subject == "sea":
        return replace(item, source=item.source or "sea")
    own = vat.data.get("source") if vat else None
    before = [w.source for w in vats.load(turn) if w.vat == item.vat and w.subject == item.subject and w.source]
    by_membrane = "ro" if vat and vat.fills_at and item.subject == "fresh" else None
    known = own or by_membrane or (before[-1] if before else None)
    if known or item.subject != "fresh":
        return replace(item, source=str(known)) if known else item
    return _ask(turn, making, "source", *wording.source_of(item.vat))


def _kept(turn: Turn, making: Making) -> list[Part]:
    """The fact, what is said of it, and its rest."""
    item, assumed = _with_salt(turn, making.item)
    before = rules.current(vats.load(turn), item.vat) if item.vat else None
    item = replace(item, number=_number(turn))
    turn.keep(item)
    vats.stop_rest(turn, before.number if before else _emptied_now(turn))
    made = rules.numbered(vats.load(turn), item.number)
    assert made
    us = vats.us(turn)
    carried = [wording.carried(made, before.number, us)] if before and made.carried_L > _DREGS_L else []
    said = (wording.made(made, item.salt_g, us, assumed),)
    unknown = [] if item.salt_g is None or turn.team.data.get("salt_g_per_L_at_35") else [wording.yield_unknown()]
    told = _told_owner(turn, making)
    first = Part(said=said, tank=item.vat, at=item.at, stored=True, lines=(*carried, *unknown), others=told)
    parts = [first, *_rested(turn, made, making.rest)]
    forecast.watch(turn)
    return parts


def _emptied_now(turn: Turn) -> int | None:
    """The batch that this very message says was poured away."""
    return next((i.number for i in _batches_of(turn) if i.subject == "dumped"), None)


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
    from bot.store import logbook

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


def _amount_in(turn: Turn, text: str, item: Batch) -> Quantity | None:
    """The amount that the words of an answer give."""
    understood = read(f"mixed {text} in {item.vat or 'vat'}", turn.situation) if turn.situation else None
    found = [i for i in understood.items if isinstance(i, Batch)] if understood else []
    said = found[0] if len(found) == 1 else None
    return Quantity(said.amount, said.unit) if said and said.amount and said.unit else None


def _sure(what: str) -> Callable[[Turn, Making, str], Making]:
    return lambda turn, making, _: replace(making, sure=making.sure | {what})


def _into(turn: Turn, making: Making, name: str) -> Making:
    return replace(making, item=replace(making.item, vat=name))


def _from(turn: Turn, making: Making, source: str) -> Making:
    return replace(making, item=replace(making.item, source=source))


def _empty(turn: Turn, making: Making, _: str) -> Making:
    """What was left was poured away first."""
    before = rules.current(vats.load(turn), making.item.vat)
    if before:
        turn.keep(Batch("dumped", making.item.vat, number=before.number, at=making.item.at))
    return replace(making, sure=making.sure | {"room"})


def _topped(turn: Turn, making: Making, _: str) -> Making:
    """What was said is the whole: only the rest of the vat is new."""
    room, before = vats.room_L(turn.team.vat(making.item.vat)), rules.current(vats.load(turn), making.item.vat)
    added = (room or 0.0) - (before.left_L if before else 0.0)
    return replace(making, item=replace(making.item, amount=added, unit="L"), sure=making.sure | {"room"})


_BRIM = 1.02
"""A vat a little fuller than its size on file is full, and no more."""
_DREGS_L = 2.0
_ANSWERED: dict[str, Callable[[Turn, Making, str], Making]] = {
    "vat": _into, "kind": _sure("kind"), "source": _from, "empty": _empty, "topped": _topped, "amount": _sure("amount"),
}  # fmt: skip
