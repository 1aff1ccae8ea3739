"""The one entrance: read(text, situation) -> Understood."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from bot.items import Clarify, Item, Question, Situation, Understood
from bot.understanding import (
    corrections,
    names_claimed,
    questions,
    quoted,
    readings,
    taken_back,
    times_claimed,
    wrong_tank,
)
from bot.understanding.claims import Claim, choose
from bot.understanding.doubts import is_small_talk, with_bare_numbers
from bot.understanding.kinds import KINDS
from bot.understanding.leftover import unread_in
from bot.understanding.lookups import is_asked
from bot.understanding.parts import AT_ONCE, cut
from bot.understanding.settle import last_tank, settled
from bot.understanding.text import Text
from bot.understanding.tokens import LONGEST, Token, tokenise

PROVIDERS: tuple[Callable[[Text], Iterable[Claim]], ...] = (
    names_claimed.claims,
    times_claimed.claims,
    readings.claims,
    questions.claims,
    corrections.claims,
    wrong_tank.claims,
    quoted.claims,
    taken_back.claims,
    *KINDS,
)
"""Every kind's file offers its claims on a message; the order has no meaning."""


def read(text: str, situation: Situation) -> Understood:
    """What the message means in this situation: its items, and the words nobody understood."""
    tokens = tokenise(text)
    if len(tokens) <= AT_ONCE:
        read_parts, end = [_read_part(text, situation)], min(len(text), LONGEST)
    else:
        read_parts, end = _parts_of(text, tokens, situation)
    rest = [text[end:]] if text[end:].strip() else []
    items = [item for part in read_parts for item in part.items]
    unread = [words for part in read_parts for words in part.unread]
    if not items and read_parts and not any(part.is_small_talk for part in read_parts) and (unread or rest):
        items = [Clarify("not_understood", text.strip()[:_QUOTED])]
    return Understood(tuple(items), (*unread, *rest))


_QUOTED = 200


@dataclass(frozen=True)
class _Part:
    """What one part of a message meant, and the tank that it leaves in hand."""

    items: Sequence[Item]
    unread: Sequence[str]
    tank: str | None
    is_small_talk: bool


def _read_part(text: str, situation: Situation) -> _Part:
    message = Text(text, situation)
    claims = (claim for provide in PROVIDERS for claim in provide(message))
    chosen = with_bare_numbers(message, choose(claims, len(message.tokens)))
    items, unread = settled(message, chosen), unread_in(message, chosen)
    tank = last_tank(chosen) or situation.tank
    if not items and is_asked(message):
        items, unread = [Question("other", {}, tank, text=text)], ()
    return _Part(items, unread, tank, not items and is_small_talk(message, chosen))


def _parts_of(text: str, tokens: Sequence[Token], situation: Situation) -> tuple[list[_Part], int]:
    """The parts of a long message, each with the tank that the one before it named last; and where reading ended."""
    done: list[_Part] = []
    end = 0
    for part in cut(tokens):
        tank = done[-1].tank if done else situation.tank
        done.append(_read_part(text[part[0].start : part[-1].end], replace(situation, tank=tank)))
        end = part[-1].end
    return done, end
