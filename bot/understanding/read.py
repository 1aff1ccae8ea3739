"""The one entrance: read(text, situation) -> Understood."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from bot.items import Clarify, Event, Item, Reading, Situation, Understood
from bot.understanding import names_claimed, readings, times_claimed
from bot.understanding.claims import Claim, Tank, choose
from bot.understanding.cover import covered, time_of, vat_of, with_tank
from bot.understanding.leftover import unread_in
from bot.understanding.text import Text
from bot.understanding.tokens import LONGEST

PROVIDERS: tuple[Callable[[Text], Iterable[Claim]], ...] = (
    names_claimed.claims,
    times_claimed.claims,
    readings.claims,
)
"""Every kind's file offers its claims on a message; the order has no meaning."""


def read(text: str, situation: Situation) -> Understood:
    """What the message means in this situation: its items, and the words nobody understood."""
    message = Text(text, situation)
    chosen = choose((claim for provide in PROVIDERS for claim in provide(message)), len(message.tokens))
    items = _settled(message, chosen)
    unread = unread_in(message, chosen)
    rest = (text[LONGEST:],) if len(text) > LONGEST else ()
    return Understood(tuple(items), (*unread, *rest))


def _settled(message: Text, chosen: Sequence[Claim]) -> list[Item]:
    placed = covered(message.tokens, chosen, message.situation.tank)
    return [_placed(item, claim, tank, message, chosen) for claim, tank in placed for item in claim.items]


def _placed(item: Item, claim: Claim, tank: Tank | None, message: Text, chosen: Sequence[Claim]) -> Item:
    one = tank.options[0] if tank and len(tank.options) == 1 else None
    item = with_tank(item, one)
    if isinstance(item, Reading | Event):
        item = replace(
            item, at=item.at or time_of(claim, chosen, message.tokens), vat=item.vat or vat_of(claim, chosen)
        )
    if isinstance(item, Reading | Event) and item.tank is None and item.vat is None:
        part = message.typed(min(claim.used), max(claim.used) + 1)
        return Clarify("which_tank", part, options=tank.options if tank else (), about=item)
    return item
