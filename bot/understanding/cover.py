"""Which tank or vat, and which time, each item belongs to.

A place that is named covers what follows until another is named. Named after "at", "in", "for", or with nothing behind
it in its sentence, it looks back too: over its sentence, and over all before it that no other place covers. Before the
first name the tank in hand holds, unless that name looks back. A time covers its clause, and more in the same way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from bot.understanding.claims import Claim, Tank, When
from bot.understanding.tokens import Token

_SENTENCE_ENDS = frozenset((".", ";", "!", "?", "\n"))
_CLAUSE_ENDS = _SENTENCE_ENDS | {",", "then", "and", "but"}


@dataclass(frozen=True)
class Cover:
    """The chosen claims of a message, asked what covers one of them."""

    tokens: Sequence[Token]
    chosen: Sequence[Claim]

    def place_of(self, claim: Claim) -> Tank | None:
        """The tank or vat that covers the claim; None where none is named for it."""
        return self._covering(claim, [name for name in self._names if not _comes_from_vat(name)])

    def tank_of(self, claim: Claim) -> Tank | None:
        """The tank that covers the claim, vats left aside."""
        return self._covering(claim, [name for name in self._names if not _tank(name).vat])

    def vat_of(self, claim: Claim) -> str | None:
        """The vat named in the claim's sentence, else the vat that covers it."""
        own = self._sentences[claim.start]
        named = [_tank(n) for n in self._names if _tank(n).vat and self._sentences[n.start] == own]
        if named:
            return named[0].options[0]
        place = self.place_of(claim)
        return place.options[0] if place and place.vat else None

    def when_of(self, claim: Claim) -> When | None:
        """The time that covers the claim."""
        whens = [each for each in self.chosen if isinstance(each.covers, When)]
        same = [each for each in whens if self._clauses[each.start] == self._clauses[claim.start]]
        before = [each for each in whens if each.start < claim.start]
        after = [each for each in whens if each.start > claim.start and self._tells_all(each)]
        found = (_nearest(same, claim) or before[-1:] or after[:1])[:1]
        return next((each.covers for each in found if isinstance(each.covers, When)), None)

    def _covering(self, claim: Claim, names: Sequence[Claim]) -> Tank | None:
        before = [name for name in names if name.start < claim.start]
        after = [name for name in names if name.start > claim.start]
        if after and self._looks_back(after[0]) and not (before and self._is_kept(claim, before[-1], after[0])):
            return _tank(after[0])
        return _tank(before[-1]) if before else None

    def _is_kept(self, claim: Claim, before: Claim, after: Claim) -> bool:
        """A place already named keeps the claim, unless the later one stands in the claim's own sentence alone."""
        own = self._sentences[claim.start]
        return self._sentences[before.start] == own or self._sentences[after.start] != own

    def _looks_back(self, name: Claim) -> bool:
        return _tank(name).behind or not self._items_behind(name, self._sentences)

    def _items_behind(self, name: Claim, parts: Sequence[int]) -> bool:
        return any(c.items and c.start > name.start and parts[c.start] == parts[name.start] for c in self.chosen)

    def _tells_all(self, when: Claim) -> bool:
        """A time at the end of a sentence holds for all before it."""
        return not self._items_behind(when, self._sentences)

    @cached_property
    def _names(self) -> list[Claim]:
        return [claim for claim in self.chosen if isinstance(claim.covers, Tank)]

    @cached_property
    def _sentences(self) -> list[int]:
        return _numbered(self.tokens, _SENTENCE_ENDS)

    @cached_property
    def _clauses(self) -> list[int]:
        return _numbered(self.tokens, _CLAUSE_ENDS)


def _tank(claim: Claim) -> Tank:
    assert isinstance(claim.covers, Tank)
    return claim.covers


def _comes_from_vat(name: Claim) -> bool:
    """ "20 gal from vat a": where the water came from, not where one is."""
    return _tank(name).vat and _tank(name).behind


def _nearest(whens: Sequence[Claim], claim: Claim) -> list[Claim]:
    return sorted(whens, key=lambda each: abs(each.start - claim.start))[:1]


def _numbered(tokens: Sequence[Token], ends: frozenset[str]) -> list[int]:
    """The number of the sentence or clause of each token; a dot that ends a short form ends nothing."""
    numbers, count = [], 0
    for token in tokens:
        count += token.text in ends
        numbers.append(count)
    return numbers
