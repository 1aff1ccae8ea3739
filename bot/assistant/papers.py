"""Paper on request: cards, signs, visit sheets, bleach labels; labels and year pages have files of their own."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from statistics import median
from typing import Any

from bot.assistant import conversation, labels, pictures, running, year_page
from bot.assistant.pictures import Source
from bot.assistant.report_page import paper
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Control, Event, Item
from bot.rules import waits as wait_rules
from bot.rules.ranges import range_for
from bot.rules.scales import off_scale
from bot.rules.usual import share_changed
from bot.store import logbook, waits
from bot.team import Tank
from bot.wording import papers_said as wording
from bot.wording.entries import name
from bot.wording.quantities import as_instrument, full_name, number, quantity, short_name, unit_word
from bot.wording.waits import lasting


def take(turn: Turn, item: Item) -> list[Part]:
    """Whatever paper is asked for."""
    assert isinstance(item, Control)
    return _ACTS[item.subject or ""](turn, item)


def _card(turn: Turn, item: Control) -> list[Part]:
    return _pages(turn, item, "card", "a6")


def _sheet(turn: Turn, item: Control) -> list[Part]:
    return _pages(turn, item, "sheet", paper(turn.team, turn.text))


def _pages(turn: Turn, item: Control, kind: str, size: str) -> list[Part]:
    """A page for the tank named or in hand, else one for each."""
    one = item.tank or conversation.tank_in_hand(turn)
    names = [t.name for t in turn.team.tanks if one in (None, t.name)]
    file = pictures.attached(turn, kind, one, ending="pdf", tanks=names, size=size)
    return [Part(head=wording.pages(kind, names, size), files=(file,))]


def _sign(turn: Turn, item: Control) -> list[Part]:
    """The sign for what runs at the tank; or in words of one's own: "sign do not feed"."""
    tank = item.tank or conversation.tank_in_hand(turn)
    words = _own_words(item)
    open_now = [running.of(turn, w) for w in waits.open_waits(turn.db, tank=tank)] if tank else []
    if not words and not open_now:
        return [Part(head=wording.NO_SIGN)]
    order, said = wording.sign_of(words, [_running(turn, it) for it in open_now[:1]])
    signed = wording.signed(turn.who.name, str(turn.team.data.get("phone", "")), turn.local(turn.said_at))
    size = paper(turn.team, turn.text)
    file = pictures.attached(turn, "sign", tank, ending="pdf", order=order, said=said, signed=signed, size=size)
    return [Part(head=f"Sign{f', {tank}' if tank else ''}: {order.capitalize()}. {said}", files=(file,))]


def _own_words(item: Control) -> str:
    words = item.reason or ""
    return "" if words.casefold() in ("", "a4", "letter", (item.tank or "").casefold()) else words


def _running(turn: Turn, it: running.Running) -> tuple[str, str, str]:
    """What runs, for its sign: kind, thing, until when (of something with a length)."""
    end = str(it.row.data.get("end") or "")
    return end or it.row.kind, it.shown.thing, "" if end else f"{it.shown.due:%H:%M}"


def _bleach(turn: Turn, item: Control) -> list[Part]:
    """Labels for the soak that runs at the tank in hand, filled in; else blank ones."""
    tank = item.tank or conversation.tank_in_hand(turn)
    soaks = [w for w in waits.open_waits(turn.db) if w.kind == "bleach_soak" and w.tank == tank and w.step is None]
    known = {}
    if soaks:
        it = running.of(turn, soaks[-1])
        known = {"Contents": it.shown.what, "Made on": f"{turn.local(it.row.started_at):%Y-%m-%d %H:%M}",
                 "Made by": name(it.row.owner), "Out by": f"{it.shown.due:%H:%M}"}  # fmt: skip
    size = paper(turn.team, turn.text)
    file = pictures.attached(turn, "bleach", tank, ending="pdf", known=known, size=size)
    return [Part(head=wording.BLEACH, files=(file,))]


_ACTS: Mapping[str, Callable[[Turn, Control], list[Part]]] = {
    "labels": labels.print_labels,
    "reissue": labels.reissue,
    "tools": labels.print_tools,
    "card": _card,
    "sheet": _sheet,
    "sign": _sign,
    "bleach": _bleach,
    "year": year_page.take,
}


def draw_card(source: Source, spec: Mapping[str, Any]) -> bytes:
    """The cards as a PDF."""
    from bot.wording.papers import card

    printed = f"printed {source.local(source.at):%Y-%m-%d}"
    return card.pdf([_card_of(source, t) for n in spec["tanks"] if (t := source.tank(n))], source.at, printed)


def draw_sheet(source: Source, spec: Mapping[str, Any]) -> bytes:
    """The visit sheets as a PDF."""
    from bot.wording.papers import sheet

    tanks = [t for n in spec["tanks"] if (t := source.tank(n))]
    visits = [sheet.Visit(t.name, _code(t), [full_name(p) for p in t.panel]) for t in tanks]
    return sheet.pdf(visits, spec["size"], source.at)


def draw_sign(source: Source, spec: Mapping[str, Any]) -> bytes:
    """The sign as a PDF."""
    from bot.wording.papers import sign

    made = sign.Sign(spec["order"], spec["said"], spec["signed"], spec.get("tank") or "")
    return sign.pdf(made, spec["size"], source.at)


def draw_bleach(source: Source, spec: Mapping[str, Any]) -> bytes:
    """The bleach labels as a PDF."""
    from bot.wording.papers import bleach

    return bleach.pdf(spec["known"], spec["size"], source.at)


def _card_of(source: Source, tank: Tank) -> Any:
    from bot.wording.papers.card import Card

    rows = [
        ("Water", quantity(tank.volume.value, tank.volume.unit) + " net" if tank.volume else "not on file"),
        ("Kind", tank.kind or "not on file"),
        (
            "Limits",
            " · ".join(filter(None, (_limits(tank, p, source.team.units == "us") for p in tank.panel)))
            or "not on file",
        ),
        ("Usual change", _usual_change(source, tank)),
        ("Waits", " · ".join(_length(source, key) for key in table("papers")["card"]["waits"])),
        ("Feeding", str(tank.data.get("feeding") or "_" * 30)),
        *(
            [("Animals", ", ".join(f"{a.get('count', '')} {a['name']}".strip() for a in tank.animals))]
            if tank.animals
            else []
        ),
        *([("Mind", tank.notes)] if tank.notes else []),
    ]
    steps = tank.data.get("shut_off") or table("papers")["shut_off"]["steps"]
    phone = source.team.data.get("phone")
    return Card(tank.name, _code(tank), rows, steps, f"Desk {phone}" if phone else source.team.name)


def _code(tank: Tank) -> str:
    return str(tank.data.get("label", ""))


def _limits(tank: Tank, parameter: str, us: bool) -> str:
    """A range in the unit that the team set it in: "alk 7.5 to 9 dKH"."""
    own, usual = tank.ranges.get(parameter), range_for(tank, parameter)
    limits = own or usual
    if limits is None:
        return ""
    shown_in = {"salinity": "SG", "temperature": "degF" if us else "degC"}
    unit = limits.unit if own else shown_in.get(parameter, limits.unit)
    ends = [
        None if e is None else as_instrument(e if own else off_scale(parameter, e, unit), unit)
        for e in (limits.low, limits.high)
    ]
    span = f"{ends[0]} to {ends[1]}" if None not in ends else f"up to {ends[1]}" if ends[1] else f"from {ends[0]}"
    shown = short_name(parameter) or full_name(parameter)
    return f"{shown} {span} {unit_word(unit)}".strip()


def _usual_change(source: Source, tank: Tank) -> str:
    """The middle of the last changes, in per cent and in the tank's own unit."""
    changes = [f.item for f in logbook.events(source.db, tank.name, ["water_change"], until=source.at, limit=8)]
    shares = [s for c in changes if isinstance(c, Event) and (s := share_changed(tank, c))]
    if not shares or tank.volume is None:
        return "not on file"
    share = median(shares)
    return f"{number(share * 100, 0)} %, {quantity(share * tank.volume.value, tank.volume.unit, 0)}"


def _length(source: Source, key: str) -> str:
    own: Mapping[str, Any] = source.team.data.get("waits") or {}
    kind = wait_rules.kind_of(
        str(table("waits")[key].get("wait", key)), key if "wait" in table("waits")[key] else None, own=own
    )
    longest = f", at most {lasting(kind.longest)}" if kind.longest else ""
    return f"{kind.name} {lasting(kind.default or 0)}{longest}"
