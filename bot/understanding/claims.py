"""Competing readings of a message: each is a Claim on some of its tokens; the best that do not clash win.

A claim weighs what it explains: a word or number 1, a small word 0.3, a mark 0.1, times its plausibility (1 is plain,
0.5 a guess, more than 1 certain by a fixed phrase), less a little for each claim, so that one that explains all
beats two that explain a half each.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import cache

from bot.items import Item
from bot.understanding.lexicon import lexicon
from bot.understanding.tokens import Token

_PER_CLAIM = 0.05
_WIDTH = 64
"""How many half-made choices are kept beside one another; real messages need a handful."""


@dataclass(frozen=True)
class Tank:
    """Says that a claim's words name a tank or vat; `options` are all that they could mean. `behind`: it stands after
    "at", "in", "for" and looks back."""

    options: tuple[str, ...]
    vat: bool = False
    behind: bool = False


@dataclass(frozen=True)
class When:
    """Says that a claim's words tell the time of what stands around them; `at` None is "now"; `doubt`: which day
    that hour belongs to must be asked."""

    at: datetime | None
    doubt: bool = False


@dataclass(frozen=True)
class Claim:
    """`items` are what the tokens `used` mean; `shares` are tokens that were looked at but left to others.

    An item's tank and time stay None unless its own words say them: they are filled in from the tank and time that
    cover its place. A claim that itself names a tank or a time (and has no items) carries it in `covers`.
    `water`: of a reading, the water that its words name ("bag", "source", "tank").
    """

    items: tuple[Item, ...]
    used: frozenset[int]
    weight: float
    shares: frozenset[int] = frozenset()
    covers: Tank | When | None = None
    water: str | None = None
    place: int = field(default=-1)

    @property
    def start(self) -> int:
        return self.place if self.place >= 0 else min(self.used)


def weigh(tokens: Sequence[Token], used: Iterable[int], plausible: float = 1.0) -> float:
    """What a claim on the tokens `used` weighs at the given plausibility."""
    return plausible * sum(_worth(tokens[i]) for i in used) - _PER_CLAIM


def choose(claims: Iterable[Claim], length: int) -> list[Claim]:
    """The heaviest set of claims of which no two use the same token, in the order of their first token.

    Goes through the tokens once and keeps, for each set of later tokens already taken, only the best choice so far.
    """
    by_first: dict[int, list[tuple[Claim, int]]] = {}
    for claim in claims:
        if claim.used and claim.weight > 0:
            by_first.setdefault(min(claim.used), []).append((claim, sum(1 << i for i in claim.used)))
    states: dict[int, tuple[float, tuple[Claim, ...]]] = {0: (0.0, ())}
    for place in range(length):
        if place in by_first:
            states = _extended(states, by_first[place])
    return list(max(states.values(), key=lambda state: state[0])[1])


_State = dict[int, tuple[float, tuple[Claim, ...]]]


def _extended(states: _State, openings: list[tuple[Claim, int]]) -> _State:
    place = min(openings[0][0].used)
    grown: _State = {}
    for taken, (weight, chosen) in states.items():
        later = taken >> (place + 1) << (place + 1)
        _keep_best(grown, later, (weight, chosen))
        for claim, mask in openings:
            if not taken & mask:
                _keep_best(grown, later | mask & ~(1 << place), (weight + claim.weight, (*chosen, claim)))
    if len(grown) <= _WIDTH:
        return grown
    best = sorted(grown.items(), key=lambda entry: -entry[1][0])[:_WIDTH]
    return dict(best)


def _keep_best(states: _State, taken: int, state: tuple[float, tuple[Claim, ...]]) -> None:
    if taken not in states or states[taken][0] < state[0]:
        states[taken] = state


def _worth(token: Token) -> float:
    if token.kind in ("mark", "line"):
        return 0.1
    return 0.3 if token.text in _small() else 1.0


@cache
def _small() -> frozenset[str]:
    return lexicon("words_plain", "small").words()
