"""The one entrance: read(text, situation) -> Understood."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from bot.items import Situation, Understood
from bot.understanding import corrections, names_claimed, questions, readings, times_claimed
from bot.understanding.claims import Claim, choose
from bot.understanding.doubts import nothing_understood, with_bare_numbers
from bot.understanding.kinds import KINDS
from bot.understanding.leftover import unread_in
from bot.understanding.settle import settled
from bot.understanding.text import Text
from bot.understanding.tokens import LONGEST

PROVIDERS: tuple[Callable[[Text], Iterable[Claim]], ...] = (
    names_claimed.claims,
    times_claimed.claims,
    readings.claims,
    questions.claims,
    corrections.claims,
    *KINDS,
)
"""Every kind's file offers its claims on a message; the order has no meaning."""


def read(text: str, situation: Situation) -> Understood:
    """What the message means in this situation: its items, and the words nobody understood."""
    message = Text(text, situation)
    claims = (claim for provide in PROVIDERS for claim in provide(message))
    chosen = with_bare_numbers(message, choose(claims, len(message.tokens)))
    items = [*settled(message, chosen), *nothing_understood(message, chosen)]
    rest = (text[LONGEST:],) if len(text) > LONGEST else ()
    return Understood(tuple(items), (*unread_in(message, chosen), *rest))
