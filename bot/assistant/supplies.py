"""Supplies: taken, arrived, counted, ordered, asked about. What is left is counted down from all that is on record."""

from __future__ import annotations

from collections.abc import Callable

from bot.assistant import load_of_day, stocked, supplies_cost
from bot.assistant.pictures import attached
from bot.assistant.turn import Part, Turn
from bot.items import Control, Item, Setting, Stock
from bot.rules import stock as rules
from bot.rules import supplies as kinds
from bot.rules.stock import SHOP, Level
from bot.store.roster import amend_team
from bot.wording import supplies as wording

_ALL = "all"


def take(turn: Turn, item: Item) -> list[Part]:
    """A word about stock: kept and quoted with what is left; or a question, answered."""
    assert isinstance(item, Stock)
    if item.action == "asked":
        return _ASKED.get(item.subject, _asked)(turn, item)
    of = kinds.supply_of(item.subject, stocked.own(turn))
    value = kinds.quantity(item, of)
    if value is None:
        return [Part(head=wording.HOW["amount"].format(name=wording.name(of)))]
    turn.keep(item)
    level = stocked.level(turn, of.key)
    stocked.watch(turn)
    where = wording.place(rules.place_of(item, turn.who.name)) if item.action == "count" else None
    said = (_quote(turn, item, level, value),)
    return [Part(said=said, tank=where, at=item.at, stored=True, lines=_low(turn, level))]


def order_list(turn: Turn, item: Item) -> list[Part]:
    """The order list as text, and as a table for the supplier."""
    assert isinstance(item, Control)
    return _order_list(turn)


def press(turn: Turn, args: object) -> list[Part]:
    """[Order list] under the line of the evening."""
    return _order_list(turn)


def terms(turn: Turn, item: Item) -> list[Part]:
    """Price, pack, delivery and reserve of a supply."""
    assert isinstance(item, Setting)
    subject, own = str(item.values["supply"]), stocked.own(turn)
    of = kinds.supply_of(subject, own)
    known = {k: float(item.values[k]) for k in ("price", "lead_days", "reserve_days") if k in item.values}
    pack = item.values.get("pack")
    if pack is not None:
        size = float(pack.value) if not pack.unit else kinds.amount_in(pack.value, pack.unit, of)
        if not size or (not pack.unit and of.unit):
            return [Part(head=wording.cannot_be(wording.name(of)))]
        known["pack"] = size
    amend_team(turn.db, turn.message_id, supplies={**own, of.key: {**own.get(of.key, {}), **known}})
    turn.keep(item)
    now = kinds.supply(of.key, {of.key: {**own.get(of.key, {}), **known}})
    return [Part(said=(wording.terms(now, stocked.us(turn)),), stored=True)]


def salt_yield(turn: Turn, item: Item) -> list[Part]:
    """What the team's salt takes, as measured: grams for a litre of 35 ppt."""
    assert isinstance(item, Setting)
    from bot.facts.load import table

    said, limits = float(item.values["yield"].value), table("batches")["yield_limits"]
    if not limits["low"] <= said <= limits["high"]:
        return [Part(head=wording.yield_cannot_be(said))]
    amend_team(turn.db, turn.message_id, salt_g_per_L_at_35=said)
    turn.keep(item)
    return [Part(said=(wording.salt_yield(said),), stored=True)]


def _low(turn: Turn, level: Level) -> tuple[str, ...]:
    """What a count or a taking shows to be low is said with it."""
    found = stocked.outlook(turn, level)
    return (wording.running_out([found], turn.local(turn.now).date()),) if found.low else ()


def _quote(turn: Turn, item: Stock, level: Level, value: float) -> str:
    us = stocked.us(turn)
    if item.action == "count":
        place = rules.place_of(item, turn.who.name)
        drift = next(
            (d for d in reversed(level.drifts) if d.place == place and d.at == (item.at or turn.said_at)), None
        )
        return wording.counted(level.of, value, drift, us)
    said = wording.moved(item, level, value, (turn.who.name, SHOP), us)
    due = wording.due_on(level, turn.local(turn.now).date()) if item.action == "ordered" else ""
    return f"{said}, {due}" if due else said


def _asked(turn: Turn, item: Stock) -> list[Part]:
    """ "salt?": what there is, how long it lasts, by when to order."""
    key = kinds.key_of(item.subject)
    keys = [key] if key not in ("kit", "test kit") else [k for k in stocked.levels(turn) if k.endswith(" kit")]
    views = [stocked.outlook(turn, stocked.level(turn, k)) for k in keys or [key]]
    today, us = turn.local(turn.now).date(), stocked.us(turn)
    head, *lines = [wording.answer(v, today, us) for v in views]
    return [Part(head=head, lines=tuple(lines))]


def _asked_all(turn: Turn, item: Stock) -> list[Part]:
    """What runs out before it could be there; else what lasts shortest."""
    found, today = stocked.low(turn), turn.local(turn.now).date()
    if found:
        return [Part(head=wording.running_out(found, today), buttons=(stocked.ORDER_LIST,))]
    views = [stocked.outlook(turn, level) for level in stocked.levels(turn).values()]
    return [Part(head=wording.enough([v for v in views if v.level.total is not None]))]


def _order_list(turn: Turn) -> list[Part]:
    found = [f for f in stocked.low(turn) if rules.to_order(f)]
    if not found:
        return [Part(head=wording.nothing_to_order())]
    name = attached(turn, "orders", ending="csv", rows=wording.order_rows(found))
    return [Part(head=wording.order_list(found, stocked.us(turn)), files=(name,))]


_ASKED: dict[str, Callable[[Turn, Stock], list[Part]]] = {
    _ALL: _asked_all, "load": load_of_day.answer, "cost": supplies_cost.answer,
}  # fmt: skip
