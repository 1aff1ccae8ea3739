"""What a new tank still lacks, its kind and its water: asked one by one, answered by a press or in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from bot.assistant import asking, conversation
from bot.assistant.turn import Ask, Part, Turn
from bot.facts.load import table
from bot.items import Item, Quantity, Setting
from bot.rules import setup as rules
from bot.science.inputs import converted
from bot.store import pending
from bot.store.pending import Pending
from bot.store.roster import amend
from bot.team import Tank, quantity_from
from bot.understanding.read import read
from bot.wording import quantities
from bot.wording import setup as wording


def missing(turn: Turn, name: str, kind: str | None, glass: Quantity | None) -> list[Part]:
    """The questions: the kind where it was not said, and how much water there is."""
    us = (turn.who.units or turn.team.units) == "us"
    parts = []
    if kind is None:
        text, options = wording.which_kind(name)
        parts.append(Part(ask=Ask(text, options, "setup", "missing_kind", None, {"tank": name, "about": "kind"})))
    text, options = wording.how_much(name, glass is not None, us)
    data: dict[str, object] = {"tank": name, "about": "volume"}
    parts.append(Part(ask=Ask(text, options, "setup", "missing_amount", None, data)))
    return parts


def answer(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """Takes the kind or the water; None where the words give neither."""
    tank = turn.tank(str(question.data["tank"]))
    if tank is None:
        pending.settle(turn.db, turn.message_id, question.id, "dropped")
        return None
    if question.data["about"] == "kind":
        item = _said(turn, tank, f"is a {value or text}", "kind")
        return [*kind(turn, item), *asking.settled(turn, question)] if item else None
    if value == "type":
        return [Part(lines=(wording.type_it(_is_us(turn)),))]
    share = Setting("volume", tank.name, {"known": "share"}) if value == "share" else None
    item = share or _said(turn, tank, f"is {_with_unit(turn, text)}", "volume")
    return [*volume(turn, item), *asking.settled(turn, question)] if item else None


def kind(turn: Turn, item: Item) -> list[Part]:
    """What kind of tank it is; the usual panel with it, where none is set."""
    assert isinstance(item, Setting)
    tank = turn.tank(item.tank)
    if tank is None:
        return []
    usual = {k: v for k, v in of_kind(item.values["kind"]).items() if not tank.data.get(k)}
    amend(turn.db, turn.message_id, "tank", tank.name, **usual, **{"kind": item.values["kind"]})
    turn.keep(item)
    lines = (wording.named(wording.panel(usual["panel"])),) if usual.get("panel") else ()
    return [Part(said=(str(item.values["kind"]),), tank=tank.name, stored=True, lines=lines)]


def volume(turn: Turn, item: Item) -> list[Part]:
    """The water in a tank, with how it is known: said, measured, or the usual share of the glass."""
    assert isinstance(item, Setting)
    tank = turn.tank(item.tank) or turn.tank(conversation.tank_in_hand(turn))
    if tank is None:
        return [Part(head="For which tank? Nothing changed. Send it with the tank's name.")]
    glass = quantity_from(tank.data.get("gross"))
    said, known = _net(item.values, glass)
    if said is None:
        return []
    if glass and converted(said.value, said.unit, "L") > 1.02 * converted(glass.value, glass.unit, "L"):
        return [Part(head=f"{tank.name}: {wording.too_much(said, glass)}")]
    amend(turn.db, turn.message_id, "tank", tank.name, volume=rules.as_json(said), volume_known=known or "as said")
    turn.keep(Setting("volume", tank.name, {"volume": said, "known": known}))
    return [Part(said=(wording.net(said, known) + _was(tank),), tank=tank.name, stored=True)]


def of_kind(kind: str | None) -> dict[str, Any]:
    """What a kind brings along: its usual panel, and that a reef has invertebrates."""
    brought: dict[str, Any] = {"panel": list(rules.usual_panel(kind))} if kind else {}
    return brought | ({"invertebrates": True} if kind in table("setup")["living"]["invertebrates"] else {})


def _net(values: Mapping[str, Any], glass: Quantity | None) -> tuple[Quantity | None, str]:
    if values.get("known") == "share" and glass:
        return rules.share_of(glass), f"{table('setup')['net']['value']:g} % of the glass"
    found = values.get("volume")
    return (found if isinstance(found, Quantity) else None), str(values.get("known") or "")


def _was(tank: Tank) -> str:
    return f", was {quantities.quantity(tank.volume.value, tank.volume.unit)}" if tank.volume else ""


def _said(turn: Turn, tank: Tank, words: str, subject: str) -> Setting | None:
    """What the words set of that tank, read as if its name stood before them."""
    known = turn.situation or conversation.situation(turn)
    found = [i for i in read(f"{tank.name} {words}", known).items if isinstance(i, Setting) and i.subject == subject]
    return found[0] if len(found) == 1 else None


def _with_unit(turn: Turn, text: str) -> str:
    """A bare number is in the unit that the question offered."""
    bare = text.strip().rstrip(".").replace(",", ".")
    return f"{text.strip()} {'gal' if _is_us(turn) else 'L'}" if bare.replace(".", "", 1).isdigit() else text


def _is_us(turn: Turn) -> bool:
    return (turn.who.units or turn.team.units) == "us"
