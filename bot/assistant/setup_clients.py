"""Clients and their doors, vats: put on the list; a door code is kept apart and shown only to whoever stands there."""

from __future__ import annotations

from typing import Any

from bot.assistant import asking, conversation
from bot.assistant.setup_tanks import NOT_SET, stored
from bot.assistant.turn import Ask, Part, Turn
from bot.facts.load import table
from bot.items import Control, Item, Quantity, Setting, Understood
from bot.messages import Outgoing
from bot.rules import setup as rules
from bot.store import codes
from bot.store.pending import Pending
from bot.store.roster import amend, set_up
from bot.wording import quantities
from bot.wording import setup as wording

_OPEN = "whose?"


def client(turn: Turn, item: Item) -> list[Part]:
    """A client in one message; a door code in it was masked before anything was kept."""
    assert isinstance(item, Setting)
    name = _as_listed(turn, str(item.values["name"]))
    known = next((dict(c.data) for c in turn.team.clients if c.name == name), {"name": name})
    told = {k: v for k, v in item.values.items() if k in ("address", "contact", "closed")}
    set_up(turn.db, turn.message_id, "client", known | told)
    _keep_code(turn, name)
    said = [wording.named(str(v)) if k != "closed" else f"closed {v}" for k, v in told.items()]
    return stored(turn, item, name, *said, *([_KEPT] if turn.codes else []))


_KEPT = "door code kept apart, masked in the message"


def _as_listed(turn: Turn, said: str) -> str:
    """The name as the list has it, capitals aside; each word large where it is new."""
    known = {c.name.casefold(): c.name for c in turn.team.clients}
    return known.get(said.casefold()) or " ".join(wording.named(word) for word in said.split())


def vat(turn: Turn, item: Item) -> list[Part]:
    """A container of new water at the shop."""
    assert isinstance(item, Setting)
    name = wording.named(str(item.values["name"]))
    if turn.team.vat(name):
        return [Part(head=f"{name} is on the list already. {NOT_SET}")]
    volume = item.values.get("volume")
    data: dict[str, Any] = {"name": name, "holds": item.values.get("holds", "salt")}
    data |= {"volume": rules.as_json(volume)} if isinstance(volume, Quantity) else {}
    set_up(turn.db, turn.message_id, "vat", data)
    size = [quantities.quantity(volume.value, volume.unit)] if isinstance(volume, Quantity) else []
    return stored(turn, item, *size, f"holds {data['holds']} water", tank=name)


def tap(turn: Turn, item: Item) -> list[Part]:
    """Whether a client's tap carries chloramine: what a neutraliser has to deal with."""
    assert isinstance(item, Setting)
    name = _whose(turn, item)
    if name is None:
        return [Part(head=f"Whose tap? {NOT_SET} Send it with the client's name.")]
    amend(turn.db, turn.message_id, "client", name, chloramine=item.values["chloramine"])
    return stored(turn, item, f"{name}: {'chloramine' if item.values['chloramine'] else 'no chloramine'} in the tap")


def site_note(turn: Turn, item: Item) -> list[Part]:
    """What somebody has to know at a client's place ("key is with the porter"): on the card of every tank there."""
    assert isinstance(item, Setting)
    owner = turn.team.client_of(turn.tank(item.tank))
    kind, name, data = ("client", owner.name, owner.data) if owner else ("tank", item.tank or "", {})
    known = str(data.get("notes") or "")
    amend(turn.db, turn.message_id, kind, name, notes=f"{known}. {item.values['text']}".lstrip(". "))
    turn.keep(item)
    return [Part(said=(f"noted for {name}: {item.values['text']}",), stored=True)]


def code(turn: Turn, item: Item) -> list[Part]:
    """A door code, by itself: kept for the client that is named, else for the site in hand, else asked."""
    assert isinstance(item, Setting)
    if not turn.codes:
        return []
    name = _whose(turn, item)
    if name is None:
        _keep_code(turn, _open_name(turn.message_id))
        options = tuple((c.name, c.name) for c in turn.team.clients[:3])
        text = "Whose door is it? Masked already, and not kept for anyone yet."
        return [Part(ask=Ask(text, options, "code", "which_client", None, {"from": turn.message_id}))]
    _keep_code(turn, name)
    return stored(turn, item, f"{name}: {_KEPT}")


def code_answered(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """Whose door it is."""
    fitting = rules.best_named(value or text, tuple(c.name for c in turn.team.clients))
    number = codes.number_of(turn.db, _open_name(int(question.data["from"])))
    if len(fitting) != 1 or number is None:
        return None
    codes.keep(turn.db, turn.message_id, fitting[0], codes.filled_in(turn.db, codes.shown("code", number)))
    parts = stored(turn, Setting("code", None, {"place": fitting[0]}), f"{fitting[0]}: {_KEPT}")
    return [*parts, *asking.settled(turn, question)]


def show(turn: Turn, item: Item) -> list[Part]:
    """ "code": to whoever is at the site, or runs the office; in private, and gone again after a while."""
    assert isinstance(item, Control)
    here = conversation.tank_in_hand(turn)
    tank = item.tank or here
    name = _owner_of(turn, tank)
    if name is None:
        return [Part(lines=("Whose door? Say where you are first, such as: here oak lobby.",))]
    if turn.who.role not in rules.may("client") and _owner_of(turn, here) != name:
        return [Part(head=f"The code of {name} is shown to whoever is there: send here {tank} first.")]
    number = codes.number_of(turn.db, name)
    if number is None:
        return [Part(lines=(f"No code on file for {name}.",))]
    minutes = table("setup")["code"]["value"]
    text = f"{name}: {codes.shown('code', number)}\nTaken out of this chat in {minutes:g} min."
    said = Outgoing(turn.who.name, text, lasts_min=minutes)
    elsewhere = (Part(lines=("Sent to your private chat.",)),) if turn.chat != turn.who.name else ()
    return [Part(others=(said,)), *elsewhere]


def unclaimed(turn: Turn, understood: Understood, parts: list[Part]) -> list[Part]:
    """A code that was masked and that nothing kept: said, so that it is not lost without a word."""
    if not turn.codes or codes.kept_under(turn.db, turn.message_id):
        return []
    return [Part(lines=("A code was masked and not kept. To keep it: code for (client) 1234",))]


def _keep_code(turn: Turn, owner: str) -> None:
    """Keeps the code; until when the one before it was good says nothing of it."""
    for each in turn.codes[:1]:
        codes.keep(turn.db, turn.message_id, owner, each)
    client = next((c for c in turn.team.clients if c.name == owner), None)
    if client and "code" in client.data.get("ends", {}):
        left = {k: v for k, v in client.data["ends"].items() if k != "code"}
        amend(turn.db, turn.message_id, "client", owner, ends=left)


def _open_name(message_id: int) -> str:
    return f"{_OPEN} {message_id}"


def _whose(turn: Turn, item: Setting) -> str | None:
    """The client whose name fits the words best; else of the tank that is named or in hand."""
    fitting = rules.best_named(str(item.values.get("place", "")), tuple(c.name for c in turn.team.clients))
    if len(fitting) == 1:
        return fitting[0]
    return _owner_of(turn, item.tank or conversation.tank_in_hand(turn)) if not fitting else None


def _owner_of(turn: Turn, tank_name: str | None) -> str | None:
    """Whose door leads to a tank: its client's, else its own name."""
    tank = turn.tank(tank_name)
    found = turn.team.client_of(tank)
    return found.name if found else tank.name if tank else None
