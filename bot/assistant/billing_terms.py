"""What a client pays and until when, as the office says it."""

from __future__ import annotations

from datetime import date

from bot.assistant.turn import Part, Turn
from bot.items import Item, Setting
from bot.store.roster import amend
from bot.team import Client
from bot.wording import billing as wording


def price(turn: Turn, item: Item) -> list[Part]:
    """ "quillow 85 a visit": the price of a visit, an hour, a month or a call-out."""
    assert isinstance(item, Setting)
    client = _client(turn, item)
    if client is None:
        return [Part(head=wording.no_client(item.tank))]
    prices = {**client.data.get("prices", {}), str(item.values["per"]): float(item.values["amount"])}
    amend(turn.db, turn.message_id, "client", client.name, prices=prices)
    turn.keep(item)
    return [Part(said=(wording.priced(client.name, item.values),), stored=True)]


def contract(turn: Turn, item: Item) -> list[Part]:
    """ "quillow contract ends 30 june"."""
    assert isinstance(item, Setting)
    client = _client(turn, item)
    if client is None:
        return [Part(head=wording.no_client(item.tank))]
    ends = date.fromisoformat(str(item.values["ends"]))
    amend(turn.db, turn.message_id, "client", client.name, contract_ends=ends.isoformat())
    turn.keep(item)
    return [Part(said=(wording.contract(client.name, ends, turn.local(turn.now).date()),), stored=True)]


def _client(turn: Turn, item: Setting) -> Client | None:
    return turn.team.client_of(turn.tank(item.tank))
