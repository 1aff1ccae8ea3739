"""Which tank or vat, and which time, each item belongs to.

A place that is named covers what follows until another is named. Named after "at", "in", "for", or with nothing behind
it in its sentence, it looks back too: over its sentence, and over all before it that no other place covers. Before the
first name the tank in hand holds, unless that name looks back. A time covers its clause, and more in the same way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from bot.items import Event, Reading
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
        return self._covering(claim, self._names)

    def tank_of(self, claim: Claim) -> Tank | None:
        """The tank that covers the claim, vats left aside."""
        return self._covering(claim, [name for name in self._names if not _tank(name).vat])

    def is_at_vat(self, claim: Claim) -> bool:
        """Whether a vat covers the claim by its name alone: after "from" it only tells where water came from."""
        place = self._covering(claim, [name for name in self._names if not _comes_from_vat(name)])
        return bool(place and place.vat)

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
        own = [each for each in whens if self._clauses[each.start] == self._clauses[claim.start]]
        before = [each for each in own if each.start < claim.start][-1:]
        after = [each for each in own if each.start > claim.start][:1]
        if before and not (after and self._follows_items(before[0])):
            found = before
        else:
            found = after or self._from_other_clause(claim, whens)
        when = next((each.covers for each in found if isinstance(each.covers, When)), None)
        between = len(own) == 1 and bool(found) and found[0] is own[0] and self._parts_one_parameter(claim, own[0])
        return replace(when, doubt=True) if when and between else when

    def has_own_time(self, claim: Claim) -> bool:
        """Whether a time stands in the claim's own clause."""
        whens = (each for each in self.chosen if isinstance(each.covers, When))
        return any(self._clauses[each.start] == self._clauses[claim.start] for each in whens)

    def _parts_one_parameter(self, claim: Claim, when: Claim) -> bool:
        """ "ph 8.2 yesterday 8.0": one time between two values of the same, which could belong to either."""
        own = [c for c in self.chosen if c.items and self._clauses[c.start] == self._clauses[when.start]]
        sides = [_parameters([c for c in own if (c.start < when.start) == first]) for first in (True, False)]
        return bool(sides[0] & sides[1] & _parameters([claim]))

    def _follows_items(self, when: Claim) -> bool:
        own = self._clauses[when.start]
        return any(c.items and c.start < when.start and self._clauses[c.start] == own for c in self.chosen)

    def _from_other_clause(self, claim: Claim, whens: Sequence[Claim]) -> list[Claim]:
        before = [each for each in whens if each.start < claim.start]
        return before[-1:] or [each for each in whens if each.start > claim.start and self._tells_all(each)][:1]

    def _covering(self, claim: Claim, names: Sequence[Claim]) -> Tank | None:
        before = [name for name in names if name.start < claim.start]
        after = [name for name in names if name.start > claim.start]
        last = before[-1] if before else None
        if after and self._takes(claim, last, after[0]):
            return _tank(after[0])
        return _tank(last) if last else None

    def _takes(self, claim: Claim, before: Claim | None, after: Claim) -> bool:
        """Whether the next place reaches back to the claim, over which the last one lies too."""
        if self._touches(claim, before, after) or self._trails(claim):
            return True
        if not self._looks_back(after):
            return False
        same = self._sentences[after.start] == self._sentences[claim.start]
        if before is None or not same:
            return before is None
        return self._sentences[before.start] != self._sentences[claim.start] or not self._leads(before)

    def _touches(self, claim: Claim, before: Claim | None, after: Claim) -> bool:
        """The place stands right behind what is said and looks back ("5 turbos to the den"), or is the object of its
        last word ("fed the vet tank"), where none has been named in the sentence before."""
        end = max(claim.used) + 1
        if after.start != end:
            return False
        own = before is not None and self._sentences[before.start] == self._sentences[claim.start]
        if _tank(after).behind:
            return not (own and before and _tank(before).behind and self._leads(before))
        if before is None and not self._joins_next(after):
            return True
        if self._ends_clause(after):
            return not (own and before and self._leads(before))
        deed = isinstance(claim.items[0], Event) and self.tokens[end - 1].is_word if claim.items else False
        return deed and not own

    def _trails(self, claim: Claim) -> bool:
        """Whether each thing said in the sentence has its place behind it: "ph 8.1 deli 8.0 spa 7.9 barn"."""
        own = self._sentences[claim.start]
        row = [c for c in self.chosen if self._sentences[c.start] == own and (c.items or isinstance(c.covers, Tank))]
        ordered = sorted(row, key=lambda each: each.start)
        return len(row) > 3 and len(row) % 2 == 0 and all(bool(c.items) == (i % 2 == 0) for i, c in enumerate(ordered))

    def _joins_next(self, name: Claim) -> bool:
        """Whether what is said next begins right behind the place, so that it may be the place of that alone."""
        return any(claim.items and min(claim.used) == max(name.used) + 1 for claim in self.chosen)

    def _ends_clause(self, name: Claim) -> bool:
        stop = max(name.used) + 1
        return stop == len(self.tokens) or self.tokens[stop].text in _CLAUSE_ENDS | {"&", "n"}

    def only_tank(self, claim: Claim) -> str | None:
        """The one tank that the message names, however often, if that is in the claim's own sentence."""
        named = [name for name in self._names if not _tank(name).vat]
        options = {_tank(name).options for name in named}
        own = any(self._sentences[name.start] == self._sentences[claim.start] for name in named)
        one = next(iter(options)) if len(options) == 1 and own else ()
        return one[0] if len(one) == 1 else None

    def also_at(self, claim: Claim) -> Tank | None:
        """The second of two tanks that what was done is told of: "cleaned glass at linden and rowe"."""
        names = [name for name in self._names if not _tank(name).vat]
        before = self._pair_before(claim, names)
        if before:
            return _tank(before)
        first = next((name for name in names if name.start == max(claim.used) + 1), None)
        joined = [t.text for t in self.tokens[max(first.used) + 1 : max(first.used) + 2]] if first else []
        if not first or joined not in (["and"], ["&"], ["n"], ["+"]):
            return None
        second = next((name for name in names if name.start == max(first.used) + 2), None)
        return _tank(second) if second and not self._items_behind(second, self._clauses) else None

    def _pair_before(self, claim: Claim, names: Sequence[Claim]) -> Claim | None:
        """The first of two tanks joined right before the claim, heading its sentence: "den and bar glass done"."""
        second = next((name for name in names if max(name.used) + 1 == min(claim.used)), None)
        first = next((n for n in names if second and max(n.used) + 2 == second.start), None)
        if not first or not second or self.tokens[second.start - 1].text not in ("and", "&", "n", "+"):
            return None
        return first if self._leads(first) else None

    def _leads(self, name: Claim) -> bool:
        """Whether nothing was said in its sentence before the place was named."""
        own = self._sentences[name.start]
        return not any(c.items and c.start < name.start and self._sentences[c.start] == own for c in self.chosen)

    def _looks_back(self, name: Claim) -> bool:
        return _tank(name).behind or not self._items_behind(name, self._sentences)

    def _items_behind(self, name: Claim, parts: Sequence[int]) -> bool:
        return any(c.items and c.start > name.start and parts[c.start] == parts[name.start] for c in self.chosen)

    def _tells_all(self, when: Claim) -> bool:
        """A time at the end of a sentence holds for all before it."""
        return not self._items_behind(when, self._sentences)

    def water_of(self, claim: Claim) -> str | None:
        """The other water ("bag", "source") named by the claim, or by a reading before it that heads its sentence."""
        if claim.water or not claim.items or not self._is_reading(claim):
            return claim.water
        if named := self._water_word_before(claim):
            return named if named in _OTHER_WATERS else None
        own = self._sentences[claim.start]
        before = [c for c in self.chosen if c.start < claim.start and self._sentences[c.start] == own]
        for each in reversed(before):
            if each.water or not self._is_reading(each):
                return each.water if each.water and self._heads(each) else None
        return None

    def _water_word_before(self, claim: Claim) -> str | None:
        """The word "bag" or "tank" that stands last before the value, in its own name or where nothing has used it."""
        used_by = {i: c for c in self.chosen for i in c.used if c.items}
        own = [i for i in range(max(claim.used) + 1) if self._sentences[i] == self._sentences[claim.start]]
        for place in reversed(own):
            said, by = self.tokens[place].text, used_by.get(place)
            if said in (*_OTHER_WATERS, "tank") and (by is None or self._is_reading(by)):
                heads = by in (None, claim) or (said == "tank" and min(by.used) == place)
                return said if heads else None
        return None

    def _is_reading(self, claim: Claim) -> bool:
        return bool(claim.items) and all(isinstance(item, Reading) for item in claim.items)

    def _heads(self, claim: Claim) -> bool:
        """Whether the water is named before the value ("bag: 71f, ..."), not behind it ("71f in the bag")."""
        return min(claim.used) < claim.start

    @cached_property
    def _names(self) -> list[Claim]:
        return [claim for claim in self.chosen if isinstance(claim.covers, Tank)]

    @cached_property
    def _sentences(self) -> list[int]:
        return _numbered(self.tokens, _SENTENCE_ENDS, self._inside)

    @cached_property
    def _clauses(self) -> list[int]:
        return _numbered(self.tokens, _CLAUSE_ENDS, self._inside)

    @cached_property
    def _inside(self) -> frozenset[int]:
        """Marks inside what one claim says ("s.g. 1.025"), which end nothing."""
        return frozenset(i for claim in self.chosen for i in claim.used if min(claim.used) < i < max(claim.used))


_OTHER_WATERS = ("bag",)


def _tank(claim: Claim) -> Tank:
    assert isinstance(claim.covers, Tank)
    return claim.covers


def _parameters(claims: Sequence[Claim]) -> set[str]:
    return {item.parameter for claim in claims for item in claim.items if isinstance(item, Reading)}


def _comes_from_vat(name: Claim) -> bool:
    """ "20 gal from vat a": where the water came from, not where one is."""
    return _tank(name).vat and _tank(name).behind


def _numbered(tokens: Sequence[Token], ends: frozenset[str], inside: frozenset[int]) -> list[int]:
    """The number of the sentence or clause of each token."""
    numbers, count = [], 0
    for place, token in enumerate(tokens):
        count += token.text in ends and place not in inside
        numbers.append(count)
    return numbers
