"""Which tank, and which time, each item belongs to.

A tank that is named covers what follows until another is named. Named after "at", "in", "for" or at the end of a
sentence it looks back too: over its sentence, and over all before it that no other tank covers. Before the first
name the tank in hand holds, unless the name looks back. A time covers its clause, and more in the same way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from bot.items import Correction, Event, Item, Question, Reading, Schedule, Task, Wait
from bot.understanding.claims import Claim, Tank, When
from bot.understanding.tokens import Token

TANKED = (Reading, Event, Question, Wait, Correction, Task, Schedule)
"""Kinds whose tank is filled in from the place where they stand."""


def covered(tokens: Sequence[Token], chosen: Sequence[Claim], in_hand: str | None) -> list[tuple[Claim, Tank | None]]:
    """Each claim with items, and the tank that covers it (a Tank with several options is an open one)."""
    sentences = _sentences(tokens)
    names = [claim for claim in chosen if isinstance(claim.covers, Tank) and not claim.covers.vat]
    default = Tank((in_hand,)) if in_hand else None
    return [(claim, _tank_of(claim, chosen, names, sentences) or default) for claim in chosen if claim.items]


def vat_of(claim: Claim, chosen: Sequence[Claim]) -> str | None:
    """The vat named nearest to the claim, None where none is named."""
    vats = [each for each in chosen if isinstance(each.covers, Tank) and each.covers.vat]
    nearest = min(vats, key=lambda each: abs(each.start - claim.start), default=None)
    return nearest.covers.options[0] if nearest and isinstance(nearest.covers, Tank) else None


def time_of(claim: Claim, chosen: Sequence[Claim], tokens: Sequence[Token]) -> datetime | None:
    """When what the claim says happened; None where the text does not say, or says "now"."""
    clauses = _clauses(tokens)
    whens = [each for each in chosen if isinstance(each.covers, When)]
    if not whens:
        return None
    same = [each for each in whens if clauses[each.start] == clauses[claim.start]]
    before = [each for each in whens if each.start < claim.start]
    after = [each for each in whens if each.start > claim.start]
    nearest = (same[-1:] or before[-1:] or after[:1])[0]
    return nearest.covers.at if isinstance(nearest.covers, When) else None


def _tank_of(claim: Claim, chosen: Sequence[Claim], names: Sequence[Claim], sentences: list[int]) -> Tank | None:
    before = [each for each in names if each.start < claim.start]
    after = [each for each in names if each.start > claim.start]
    back = [each for each in after if _looks_back(each, chosen, sentences)]
    if back and back[0] is after[0] and not _nearer(before, claim, back[0], sentences):
        return _tank(back[0])
    return _tank(before[-1]) if before else None


def _nearer(before: Sequence[Claim], claim: Claim, back: Claim, sentences: list[int]) -> bool:
    """A tank already named keeps the claim, unless the one that looks back stands in the claim's own sentence."""
    if not before:
        return False
    own = sentences[before[-1].start] == sentences[claim.start]
    return own or sentences[back.start] != sentences[claim.start]


def _looks_back(name: Claim, chosen: Sequence[Claim], sentences: list[int]) -> bool:
    tank = _tank(name)
    if tank and tank.behind:
        return True
    sentence = sentences[name.start]
    return not any(c.items and c.start > name.start and sentences[c.start] == sentence for c in chosen)


def _tank(claim: Claim) -> Tank | None:
    return claim.covers if isinstance(claim.covers, Tank) else None


def _sentences(tokens: Sequence[Token]) -> list[int]:
    return _numbered(tokens, frozenset((".", ";", "!", "?", "\n")))


def _clauses(tokens: Sequence[Token]) -> list[int]:
    return _numbered(tokens, frozenset((".", ";", "!", "?", "\n", ",", "then", "and", "but")))


def _numbered(tokens: Sequence[Token], ends: frozenset[str]) -> list[int]:
    numbers, count = [], 0
    for token in tokens:
        count += token.text in ends
        numbers.append(count)
    return numbers


def with_tank(item: Item, tank: str | None) -> Item:
    """The item at `tank`, unless it names one itself or is of a kind without."""
    if isinstance(item, TANKED) and item.tank is None:
        return replace(item, tank=tank)
    return item
