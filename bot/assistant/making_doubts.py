"""The doubts about a batch: which vat, which kind, how much, from where; each is asked before anything is stored."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from bot.assistant import vats
from bot.assistant.turn import Ask, Turn
from bot.items import Batch, Quantity
from bot.rules import batches as rules
from bot.understanding.read import read
from bot.wording import batches as wording


@dataclass(frozen=True)
class Making:
    """A batch on its way into the record: `sure` are the doubts already answered, `rest` the minutes that were said."""

    item: Batch
    sure: frozenset[str] = frozenset()
    rest: float | None = None


def first(turn: Turn, making: Making) -> Making | Ask:
    """The batch with all that is known of its vat, or the first thing that must be asked."""
    for settle in (_vat, _kind, _amount, _fits, _source):
        found = settle(turn, making)
        if isinstance(found, Ask):
            return found
        making = replace(making, item=found)
    return making


def answered(turn: Turn, making: Making, doubt: str, value: str | None, text: str) -> Making | None:
    """The batch with the answer to a doubt; None where the words give none."""
    what, _, chosen = (value or "").partition(":")
    if value is not None:
        return _ANSWERED[what](turn, making, chosen)
    amount = _amount_in(turn, text, making.item) if doubt in ("amount", "fits") else None
    return replace(making, item=replace(making.item, amount=amount.value, unit=amount.unit)) if amount else None


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


def _fits(turn: Turn, making: Making) -> Batch | Ask:
    """More than the vat can hold is another unit, or a slip."""
    item, room = making.item, vats.room_L(turn.team.vat(making.item.vat))
    added = rules.litres(item.amount, item.unit)
    if room is None or added is None or added <= room * BRIM:
        return item
    litres = item.amount if item.unit == "gal" and item.amount and item.amount <= room * BRIM else None
    us = vats.us(turn)
    text = wording.does_not_fit(str(item.vat), wording.water(room, us), item)
    options = ((wording.water(litres, False), f"litres:{litres:g}"),) if litres else ()
    return _ask(turn, making, "fits", text, options)


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


def _ask(turn: Turn, making: Making, doubt: str, text: str, options: wording.Options, hold: bool = False) -> Ask:
    item = making.item if making.item.at else replace(making.item, at=turn.local(turn.said_at))
    kept: dict[str, Any] = {"doubt": doubt, "sure": sorted(making.sure), "rest": making.rest}
    return Ask(text, options, "batch", doubt, item, kept, hold=hold)


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


def _in_litres(turn: Turn, making: Making, amount: str) -> Making:
    return replace(making, item=replace(making.item, amount=float(amount), unit="L"))


BRIM = 1.02
"""A vat a little fuller than its size on file is full, and no more."""
_ANSWERED: dict[str, Callable[[Turn, Making, str], Making]] = {
    "vat": _into, "kind": _sure("kind"), "source": _from, "litres": _in_litres,
}  # fmt: skip
