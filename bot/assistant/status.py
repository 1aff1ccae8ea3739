"""What is running: the waits by due time, gates that are open, and what stands off or open."""

from __future__ import annotations

from collections.abc import Sequence

from bot.assistant import ending, gates, people, running, which
from bot.assistant.conversation import tank_in_hand
from bot.assistant.running import Running
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Control, Item
from bot.messages import Button
from bot.rules import gates as gate_rules
from bot.store import waits as store
from bot.wording import waits as wording


def take(turn: Turn, item: Item) -> list[Part]:
    """The list, at most five lines; the rest behind [More]."""
    assert isinstance(item, Control)
    return _page(turn, _waits(turn, item), 0)


def press_more(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[More] under the list: "ws:4"; without a number the first page."""
    return _page(turn, _own(turn), int(args[0]) if args else 0)


def press_all(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[All out] under a ping of many: each goes its way."""
    first, last = int(args[0]), int(args[1])
    over = [w for w in store.open_waits(turn.db, owner=turn.who.name) if w.state == "asked" and first <= w.id <= last]
    return all_out(turn, [running.of(turn, w) for w in over])


def all_out(turn: Turn, found: Sequence[Running]) -> list[Part]:
    """Each goes its way: out, the next step, or its question."""
    return [p for it in found for p in ending.out(turn, it)]


def _page(turn: Turn, found: Sequence[Running], start: int) -> list[Part]:
    most = int(table("pings")["status"]["lines"])
    if not found:
        return [Part(head="Nothing is running.")]
    which.listed(turn, [it.row for it in found])
    fits = len(found) - start <= most
    room = most if fits else most - 1
    lines = [_line(turn, i, it) for i, it in enumerate(found, start=1)][start : start + room]
    left = len(found) - start - room
    if left > 0:
        return [Part(head="\n".join([*lines, f"and {left} more"]), buttons=(Button("More", f"ws:{start + room}"),))]
    return [Part(head="\n".join(lines))]


def _line(turn: Turn, index: int, it: Running) -> str:
    who = it.row.owner if it.row.owner != turn.who.name else ""
    if it.row.state == "gate":
        query = gate_rules.open_query(gates.gate_of(it), gates.answers_of(it))
        return wording.standing(index, it.shown, query.ask if query else "", who)
    left = round((it.row.due_at - turn.now).total_seconds() / 60)
    return wording.running(index, it.shown, left, turn.local(turn.now).date(), who)


def _waits(turn: Turn, item: Control) -> list[Running]:
    """Of the tank that was named, or one's own; an owner or the office without any of their own see all."""
    if item.tank and item.tank.casefold() in turn.text.casefold():
        return [running.of(turn, w) for w in store.open_waits(turn.db, tank=item.tank)]
    if item.who:
        return [running.of(turn, w) for w in store.open_waits(turn.db, owner=item.who)]
    return _own(turn)


def _beside(turn: Turn) -> list[store.WaitRow]:
    """What colleagues have running at the site where this person stands."""
    return store.open_at(turn.db, people.site_of(turn, tank_in_hand(turn)), turn.who.name)


def _own(turn: Turn) -> list[Running]:
    own = store.open_waits(turn.db, owner=turn.who.name)
    every = own or (store.open_waits(turn.db) if turn.who.role in ("owner", "office") else _beside(turn))
    return [running.of(turn, w) for w in every]
