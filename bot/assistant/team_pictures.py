"""Pictures of more than one test: today's bar, the sheet of all tanks, the vats' week, where a thing has been."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, time, timedelta
from typing import Any

from bot.assistant import conversation, forecast, history_contacts, pictures, running, vats
from bot.assistant import plan as visit_plan
from bot.assistant.pictures import Source
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Control, Item, Reading
from bot.rules import sheet as sheets
from bot.rules import visit_steps
from bot.rules.plan import Impossible
from bot.rules.sheet import Line
from bot.rules.usual import Seen
from bot.science.inputs import converted
from bot.store import logbook, said, waits
from bot.wording import team_pictures as wording
from bot.wording.undoing import piece

_MANY = 20_000
_HANDS_GAP_MIN, _HANDS_LEAST_MIN = 10.0, 2.0


def take(turn: Turn, item: Item) -> list[Part]:
    """Whatever picture is asked for, with the text that says the same."""
    assert isinstance(item, Control)
    return _ACTS[item.subject or ""](turn, item)


def _day(turn: Turn, item: Control) -> list[Part]:
    """What this person's hands did today, every wait beside them, and what is still to come at the tank in hand."""
    midnight = datetime.combine(turn.local(turn.now).date(), time(), turn.zone)
    hands = _hands(turn, midnight)
    own = [running.of(turn, w) for w in waits.since(turn.db, turn.who.name, midnight)]
    shown = [it for it in own if it.row.minutes < _DAY_MIN]
    bars = [_bar("hands", "hands", hands), *(_wait_bar(turn, it, midnight) for it in shown)]
    planned, door = _to_come(turn, midnight)
    bars += [_bar(f"to come: {name}", "planned", [span]) for name, span in planned]
    now = _minutes(turn.now, midnight)
    door = max([door or now, *(b for bar in bars for _, b in bar["spans"])])
    title = wording.day_title(turn.who.name, turn.local(turn.now))
    spec = {"title": title, "bars": bars, "now": now, "door": door}
    file = pictures.attached(turn, "day", **spec)
    text = wording.day(
        title, [b["label"] for b in bars if b["how"] in ("wait", "running")], door, bool(planned or _open(shown))
    )
    return [Part(head=text, files=(file,))]


_DAY_MIN = 1440.0


def _tanks(turn: Turn, item: Control) -> list[Part]:
    """The sheet of all tanks."""
    source = pictures.source_of(turn)
    lines = lines_of(source)
    file = pictures.attached(turn, "tanks")
    return [Part(head="\n".join(wording.sheet(lines)), files=(file,))]


def lines_of(source: Source) -> list[Line]:
    """The tanks in order of trouble, each with its weeks."""
    weeks = int(table("plots")["sheet"]["weeks"]["value"])
    since = source.at - timedelta(weeks=weeks)
    seen: dict[str, list[Seen]] = {}
    for fact in logbook.events(source.db, None, (), since, source.at, _MANY, "reading"):
        item = fact.item
        if isinstance(item, Reading) and item.tank and item.of == "tank" and not item.unconfirmed:
            seen.setdefault(item.tank, []).append(Seen(fact.at, item))
    return sheets.lines(source.team.tanks, seen, source.at, weeks)


def _vat(turn: Turn, item: Control) -> list[Part]:
    """Each kind of new water: what stands there now, and what the planned visits will draw."""
    today = turn.local(turn.now).date()
    last = today + timedelta(days=6)
    drawn = forecast.draws(turn, today, last)
    us = vats.us(turn)
    weeks = []
    for kind in ("salt", "fresh"):
        room = sum(vats.room_L(v) or 0.0 for v in turn.team.vats if v.holds == kind)
        level = sum(w.left_L for w in vats.there(turn) if vats.holds(turn, w.vat) == kind)
        days = [today + timedelta(days=n) for n in range(7)]
        draws = [sum(d.litres for d in drawn if d.kind == kind and d.day == day) for day in days]
        if room or any(draws):
            shown = [_in(us, value) for value in (room, level, *draws)]
            named = [[f"{day:%a}", draw] for day, draw in zip(days, shown[2:], strict=True)]
            weeks.append({"name": f"{kind} water", "room": shown[0], "level": shown[1], "days": named,
                          "unit": "gal" if us else "L"})  # fmt: skip
    if not weeks:
        return [Part(head="No vats on the list.")]
    file = pictures.attached(turn, "vat", weeks=weeks)
    return [Part(head="\n".join(wording.vats(weeks)), files=(file,))]


def _contacts(turn: Turn, item: Control) -> list[Part]:
    """Where a thing has been, as a list and as a map."""
    if not item.reason:
        return [Part(head="The contacts of what? Such as: contact map net 3")]
    head, newest = history_contacts.met(turn, item)
    if not newest:
        return [Part(head=f"{head}: nothing on record.")]
    found = [[wording.when(turn.local(f.at)), _place(f.item), f"{f.who}: {_what(f.item)}"] for f in reversed(newest)]
    most = int(table("plots")["most"]["contacts"])
    file = pictures.attached(turn, "contacts", None, [f.id for f in newest], title=head, found=found[-most:])
    return [Part(head=wording.contacts(head, [(when, place) for when, place, _ in found]), files=(file,))]


_ACTS: Mapping[str, Callable[[Turn, Control], list[Part]]] = {
    "day": _day, "tanks": _tanks, "vat": _vat, "contacts": _contacts,
}  # fmt: skip


def draw_day(source: Source, spec: Mapping[str, Any]) -> bytes:
    """Today's bar as a PNG."""
    from bot.wording.pictures import day, raster

    bars = [day.Bar(b["label"], [tuple(s) for s in b["spans"]], b["how"]) for b in spec["bars"]]
    return raster.png(day.scene(spec["title"], bars, spec["now"], spec["door"], wording.door(spec["door"])))


def draw_tanks(source: Source, spec: Mapping[str, Any]) -> bytes:
    """The sheet of all tanks as a PNG."""
    from bot.wording.pictures import raster, sheet

    lines = lines_of(source)
    count = int(table("plots")["sheet"]["weeks"]["value"])
    ends = [source.local(source.at) - timedelta(weeks=n) for n in reversed(range(count))]
    return raster.png(sheet.scene(wording.sheet_title(len(lines)), lines, [f"{e.day} {e:%b}" for e in ends]))


def draw_vat(source: Source, spec: Mapping[str, Any]) -> bytes:
    """The vats' week as a PNG."""
    from bot.wording.pictures import raster, vat

    weeks = [
        vat.Week(w["name"], w["room"], w["level"], [(n, d) for n, d in w["days"]], w["unit"]) for w in spec["weeks"]
    ]
    return raster.png(vat.scene("New water, the next 7 days", weeks))


def draw_contacts(source: Source, spec: Mapping[str, Any]) -> bytes:
    """The contact map as a PNG."""
    from bot.wording.pictures import contacts, raster

    return raster.png(contacts.scene(spec["title"], [contacts.Contact(*each) for each in spec["found"]]))


def _hands(turn: Turn, midnight: datetime) -> list[tuple[float, float]]:
    """When the person wrote: messages close together are one stretch of hands-on work."""
    moments = sorted(at for at, _ in said.arrivals(turn.db, turn.who.name, turn.message_id) if at >= midnight)
    spans: list[tuple[float, float]] = []
    for minute in (_minutes(at, midnight) for at in moments):
        if spans and minute - spans[-1][1] <= _HANDS_GAP_MIN:
            spans[-1] = (spans[-1][0], minute)
        else:
            spans.append((minute, minute + _HANDS_LEAST_MIN))
    return spans


def _wait_bar(turn: Turn, it: running.Running, midnight: datetime) -> dict[str, Any]:
    end = it.row.ended_at or it.row.due_at
    how = "wait" if not it.row.is_open else "running"
    place = f", {it.row.tank}" if it.row.tank else ""
    return _bar(f"{it.shown.thing}{place}", how, [(_minutes(it.row.started_at, midnight), _minutes(end, midnight))])


def _bar(label: str, how: str, spans: Sequence[tuple[float, float]]) -> dict[str, Any]:
    return {"label": label, "how": how, "spans": [[round(a, 1), round(b, 1)] for a, b in spans]}


def _to_come(turn: Turn, midnight: datetime) -> tuple[list[tuple[str, tuple[float, float]]], float | None]:
    """The steps still to be done at the tank in hand, and when the last of them is over."""
    tank = turn.tank(conversation.tank_in_hand(turn))
    if tank is None:
        return [], None
    try:
        scene = visit_plan.scene_of(turn, tank)
        found = visit_steps.order(scene).plan
    except Impossible:
        return [], None
    now = _minutes(turn.now, midnight)
    length = {step.name: step.minutes for step in visit_steps.visit_of(scene).steps}
    starts = {name: now + found.starts_min[name] for name in found.order}
    return [(n, (at, at + length[n])) for n, at in starts.items() if n in length], now + found.out_min


def _open(own: Sequence[running.Running]) -> bool:
    return any(it.row.is_open for it in own)


def _minutes(at: datetime, midnight: datetime) -> float:
    return (at - midnight) / timedelta(minutes=1)


def _in(us: bool, litres: float) -> float:
    return round(converted(litres, "L", "gal") if us else litres, 1)


def _what(item: Item) -> str:
    """The entry in a few words; of a wait that ended, that it did."""
    if isinstance(item, Control):
        return " ".join(filter(None, (item.subject, (item.wait or item.action).replace("_", " "), "over")))
    return piece(item)


def _place(item: Any) -> str:
    return str(getattr(item, "to_tank", None) or getattr(item, "tank", None) or getattr(item, "vat", None) or "no tank")
