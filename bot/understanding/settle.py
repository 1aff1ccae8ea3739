"""From chosen claims to items: each with its tank, vat, time and water; without a tank, or in doubt, it is asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

from bot.items import (
    Batch,
    Clarify,
    Control,
    Correction,
    Event,
    Item,
    Question,
    Reading,
    Schedule,
    Setting,
    Stock,
    Task,
    Wait,
    changed,
)  # fmt: skip
from bot.understanding import vats
from bot.understanding.claims import Claim, Tank
from bot.understanding.cover import Cover
from bot.understanding.text import Text

_NOW = timedelta(minutes=1)
"""What was done or read later than this after now has not been: it is asked about."""

_LONG_AGO = timedelta(hours=8)
"""A wait that began before this, by a bare hour, is more likely to begin soon: it is asked about."""

_NEEDS_TANK = (Reading, Event)
_ASKS_WHICH = (Reading, Event, Wait, Correction)
_KEEPS_ONLY_NAMED = (Control, Setting, Stock, Schedule, Task)
"""Kinds that stand at a tank only when it is named, not because one is in hand."""


def settled(text: Text, chosen: Sequence[Claim]) -> list[Item]:
    """The items of the chosen claims in the order said, someone hurt first."""
    settling = _Settling(text, Cover(text.tokens, chosen))
    items = _said_once([settling.item(item, claim) for claim in chosen for item in claim.items])
    items += [twin for claim in chosen for item in claim.items if (twin := settling.twin(item, claim))]
    return sorted(vats.numbered(text, items), key=lambda item: getattr(item, "action", "") != "person_hurt")


def _said_once(items: Sequence[Item]) -> list[Item]:
    """An order that was said twice is one ("??")."""
    return [each for i, each in enumerate(items) if not (isinstance(each, Control) and each in items[:i])]


def last_tank(chosen: Sequence[Claim]) -> str | None:
    """The tank named last, which what comes after it is about."""
    named = [c.covers.options for c in chosen if isinstance(c.covers, Tank) and not c.covers.vat]
    return named[-1][0] if named and len(named[-1]) == 1 else None


@dataclass(frozen=True)
class _Settling:
    text: Text
    cover: Cover

    def item(self, item: Item, claim: Claim) -> Item:
        if isinstance(item, Reading):
            return self._asked_if_open(self._timed(self._reading(item, claim), claim), claim)
        placed = self._elsewhere(item, claim)
        return self._asked_if_open(self._timed(placed, claim), claim)

    def twin(self, item: Item, claim: Claim) -> Item | None:
        """The same thing done at a second tank named beside the first."""
        other = self.cover.also_at(claim) if isinstance(item, Event) and not item.tank else None
        if other is None or len(other.options) != 1:
            return None
        return self._timed(changed(item, tank=other.options[0]), claim)

    def _reading(self, item: Reading, claim: Claim) -> Reading:
        """At the place that covers it; a vat's water is a batch."""
        place = self.cover.place_of(claim)
        item = replace(item, of=self.cover.water_of(claim) or item.of)
        if place and place.vat and item.of in ("tank", "batch"):
            return replace(item, vat=item.vat or place.options[0], of="batch")
        return replace(item, tank=item.tank or self._named(claim) or self._in_hand(claim))

    def _elsewhere(self, item: Item, claim: Claim) -> Item:
        if isinstance(item, Stock | Batch):
            return self._with_vat(item, claim)
        if isinstance(item, Event | Wait | Question):
            item = self._with_vat(item, claim)
        if getattr(item, "tank", None) is None and hasattr(item, "tank"):
            only_named = isinstance(item, _KEEPS_ONLY_NAMED)
            at_vat = isinstance(item, Event | Wait) and item.vat and self.cover.is_at_vat(claim)
            tank = None if at_vat else self._named(claim) or (None if only_named else self._in_hand(claim))
            return changed(item, tank=tank)
        return item

    def _with_vat(self, item: Item, claim: Claim) -> Item:
        if isinstance(item, Event | Wait | Question | Batch) and item.vat is None:
            return changed(item, vat=self.cover.vat_of(claim))
        return item

    def _named(self, claim: Claim) -> str | None:
        tank = self.cover.tank_of(claim)
        return tank.options[0] if tank and len(tank.options) == 1 else None

    def _in_hand(self, claim: Claim) -> str | None:
        """The tank in hand, unless the words name one of several; without one, the only tank of the sentence."""
        if self.cover.tank_of(claim) is not None:
            return None
        return self.text.situation.tank or self.cover.only_tank(claim)

    def _timed(self, item: Item, claim: Claim) -> Item:
        if isinstance(item, Wait):
            return self._begun(item, claim)
        if not isinstance(item, Reading | Event) or item.at is not None:
            return item
        when = self.cover.when_of(claim)
        ahead = when is not None and when.at is not None and when.at > self.text.situation.now + _NOW
        if when and (when.doubt or ahead):
            return Clarify("which_time", self._part(claim), tank=item.tank, about=item)
        return changed(item, at=when.at) if when else item

    def _begun(self, item: Wait, claim: Claim) -> Item:
        """ "11:50 net in bleach": begun at the time that stands in its own clause; one still to come is asked about."""
        when = self.cover.when_of(claim) if self.cover.has_own_time(claim) else None
        if when is None or when.at is None or item.started is not None:
            return item
        now = self.text.situation.now
        if when.doubt or when.at > now + _NOW or when.at < now - _LONG_AGO:
            return Clarify("which_time", self._part(claim), tank=item.tank, about=item)
        return replace(item, started=when.at)

    def _asked_if_open(self, item: Item, claim: Claim) -> Item:
        tank = self.cover.tank_of(claim)
        several = tank is not None and len(tank.options) > 1
        homeless = isinstance(item, _NEEDS_TANK) and not (item.tank or item.vat or _is_elsewhere(item))
        if homeless or (several and isinstance(item, _ASKS_WHICH) and not item.tank):
            return Clarify("which_tank", self._part(claim), options=tank.options if tank else (), about=item)
        return item

    def _part(self, claim: Claim) -> str:
        return self.text.typed(min(claim.used), max(claim.used) + 1)


def _is_elsewhere(item: Item) -> bool:
    """A move between two tanks, or water that is no tank's, needs no tank of its own."""
    if isinstance(item, Reading):
        return item.of in ("batch", "source")
    return isinstance(item, Event) and bool(item.from_tank or item.to_tank)
