"""What a client pays and until when, as the office says it."""

from __future__ import annotations

from datetime import date

from bot.assistant.turn import Part, Turn
from bot.items import Item, Setting
from bot.rules import setup as rules
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


def ends(turn: Turn, item: Item) -> list[Part]:
    """ "quillow contract ends 30 june", "quillow dental key due back 1 may": told in time (renewals.py)."""
    assert isinstance(item, Setting)
    client = _client(turn, item)
    if client is None:
        return [Part(head=wording.no_client(item.tank))]
    what, day = str(item.values.get("what", "contract")), str(item.values["ends"])
    kept = {**client.data.get("ends", {}), what: day}
    amend(turn.db, turn.message_id, "client", client.name, ends=kept)
    turn.keep(item)
    said = wording.ends(client.name, what, date.fromisoformat(day), turn.local(turn.now).date())
    return [Part(said=(said,), stored=True)]


def _client(turn: Turn, item: Setting) -> Client | None:
    """The client that is named, else whose tank is."""
    fitting = rules.best_named(str(item.values.get("place", "")), tuple(c.name for c in turn.team.clients))
    found = [c for c in turn.team.clients if len(fitting) == 1 and c.name == fitting[0]]
    return found[0] if found else turn.team.client_of(turn.tank(item.tank))
