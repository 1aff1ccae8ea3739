"""Photos that people send: filed under the tank in hand and with the gate that is open, found again by tank and day.

A photo is a note of its message ("photo 17"): undo takes it back, "that was elm" moves it, its number finds it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, time, timedelta
from typing import Any

from bot.assistant import asking, gates, pictures, running
from bot.assistant.conversation import named, tank_in_hand
from bot.assistant.pictures import Source
from bot.assistant.turn import Ask, Part, Turn
from bot.facts.load import table
from bot.items import Control, Item, Understood
from bot.store import photos as store
from bot.store import waits
from bot.store.pending import Pending
from bot.store.photos import Shot
from bot.wording import photos as wording


def filed(turn: Turn, understood: Understood) -> list[Part]:
    """Files the photo that came with a message; the question of an open gate is put again beside it."""
    if turn.photo is None:
        return []
    tank = next((t for i in understood.items if turn.tank(t := getattr(i, "tank", None))), None) or tank_in_hand(turn)
    if tank is None:
        return [_which(turn)]
    return _filed_under(turn, tank, turn.message_id, is_alone=not turn.text.strip())


def answer(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """The tank of a photo is named."""
    tank = turn.tank(value) or turn.tank(named(turn, text))
    if tank is None:
        return None
    parts = _filed_under(turn, tank.name, int(str(question.data["message"])), is_alone=False)
    return [*parts, *asking.settled(turn, question)]


def take(turn: Turn, item: Item) -> list[Part]:
    """ "photos oak 3 march", "photo 17", "before after oak"."""
    assert isinstance(item, Control)
    tank = item.tank or tank_in_hand(turn)
    if item.number and not item.date:
        found = store.numbered(turn.db, [item.number])
    elif tank is None:
        return [Part(head="Photos of which tank? Send its name with it.")]
    else:
        found = _of_day(turn, tank, item)
    if item.subject == "pair" and tank:
        return _pair(turn, tank, found)
    return _shown(turn, found, tank or "")


def press(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[Photo] under a gate: "ph:12", those that were sent while the gate of wait 12 was open."""
    row = waits.find(turn.db, int(args[0]))
    return _shown(turn, store.numbered(turn.db, row.data.get("photos", ())), row.tank or "") if row else []


def draw_pair(source: Source, spec: Mapping[str, Any]) -> bytes:
    """Two photos beside each other, at the same crop, as a PNG."""
    from bot.wording.pictures import pair, raster

    numbers = (spec["before"], spec["after"])
    by_number = {s.number: s for s in store.numbered(source.db, numbers)}
    found = [by_number[n] for n in numbers if n in by_number]
    halves = [pair.Half(source.path_of(s.path), wording.taken(source.local(s.at))) for s in found]
    return raster.png(pair.scene(spec["tank"], halves))


def _filed_under(turn: Turn, tank: str, number: int, is_alone: bool) -> list[Part]:
    gate = _open_gate(turn, tank)
    thing = gate.shown.what if gate else None
    turn.keep(store.note(tank, number, thing))
    if gate:
        kept = [*gate.row.data.get("photos", ()), number]
        waits.alter_wait(turn.db, turn.message_id, gate.id, data={**gate.row.data, "photos": kept})
    asked = gates.ask_again(turn, gate) if gate and is_alone else []
    return [Part(said=(wording.filed(number, thing),), tank=tank, stored=True), *asked]


def _open_gate(turn: Turn, tank: str) -> running.Running | None:
    """The one gate that is open at the tank; one's own before a colleague's."""
    found = [w for w in waits.open_waits(turn.db, tank=tank) if w.state == "gate"]
    mine = [w for w in found if w.owner == turn.who.name] or found
    return running.of(turn, mine[0]) if len(mine) == 1 else None


def _which(turn: Turn) -> Part:
    ask = Ask(wording.WHICH, (), "photo", "which_tank", None, {"message": turn.message_id})
    return Part(ask=ask)


def _shown(turn: Turn, found: Sequence[Shot], tank: str) -> list[Part]:
    most = int(table("plots")["most"]["photos"])
    last = list(found[-most:])
    if not last:
        return [Part(head=wording.none(tank))]
    lines = [wording.shot(s.number, s.tank, turn.local(s.at), s.who) for s in last]
    return [Part(head=wording.listed(lines, len(found)), files=tuple(s.path for s in last))]


def _of_day(turn: Turn, tank: str, item: Control) -> list[Shot]:
    if item.date is None:
        return store.of_tank(turn.db, tank)
    start = datetime.combine(item.date, time(), turn.zone)
    return store.of_tank(turn.db, tank, start, start + timedelta(days=1))


def _pair(turn: Turn, tank: str, found: Sequence[Shot]) -> list[Part]:
    """First and last of the latest day with two; else the last of two different days."""
    chosen = before_and_after([s for s in found if not s.proves], turn)
    if chosen is None:
        return [Part(head=wording.no_pair(tank))]
    before, after = chosen
    name = pictures.attached(turn, "pair", tank, before=before.number, after=after.number)
    head = wording.pair(tank, turn.local(before.at), turn.local(after.at))
    return [Part(head=head, files=(name,))]


def before_and_after(found: Sequence[Shot], turn: Turn) -> tuple[Shot, Shot] | None:
    """The two that show what changed."""
    if len(found) < 2:
        return None
    last = found[-1]
    same_day = [s for s in found if turn.local(s.at).date() == turn.local(last.at).date()]
    return (same_day[0] if len(same_day) > 1 else found[-2], last)
