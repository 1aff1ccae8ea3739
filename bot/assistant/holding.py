"""G2: why new water may not go into a tank yet. It is said before it counts; a reason opens the soft part."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from bot.assistant import asking, drawing, matching, people, running, vats
from bot.assistant.turn import Ask, Handler, Part, Turn
from bot.items import Control, Event, Item
from bot.rules import batches as rules
from bot.rules import gates as gate_rules
from bot.rules.batches import NewWater
from bot.store import batches as store
from bot.store import pending
from bot.store.pending import Pending
from bot.wording import drawing as wording
from bot.wording import entries, guards
from bot.wording import gates as gate_words
from bot.wording import matching as match_words


@dataclass(frozen=True)
class Held:
    """Why it may not go in: the words, and whether a reason opens it (`hard`: none does)."""

    text: str
    hard: bool = False
    gate: str = "G2"


def guard(turn: Turn, item: Item) -> list[Part] | None:
    """What keeps water out of a tank, or must be answered before it counts; None where nothing does."""
    if not isinstance(item, Event) or item.event not in rules.DRAWN_BY or item.subject == drawing.OTHER:
        return None
    item = drawing.with_tank(turn, item)
    if item.vat and not item.tank:
        return [Part(head=wording.which_tank(item.vat))]
    water = drawing.named(turn, item)
    if water:
        return _of_named(turn, water, replace(item, vat=water.vat, batch=water.number))
    return _bare_rest(turn, item) if item.vat else _of_only(turn, item)


def answer(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """Whether the water matches, by whoever holds the thermometer; None where the words do not say."""
    item = question.item
    if value is None or not isinstance(item, Event):
        return None
    after = asking.settled(turn, question)
    water = drawing.named(turn, item)
    if value == "off" and water:
        return [_ask_held(turn, item, Held(wording.off(water))), *after]
    turn.keep(Control("answer", tank=item.tank, subject=f"batch {item.batch}", answers=("matched",)))
    return [*turn.subjects.handlers["event"](turn, item), *after]


def override_or(other: Handler) -> Handler:
    """ "override: reason" of new water that is held in this chat; where none is, of whatever else is held."""

    def taken(turn: Turn, item: Item) -> list[Part]:
        assert isinstance(item, Control)
        parts = _override(turn, item)
        return other(turn, item) if parts is None else parts

    return taken


def done_all_the_same(question: Pending) -> list[str]:
    """What must be said at once where water went in that nobody may let in."""
    return [wording.chlorine_in()] if question.data.get("hard") else []


def _override(turn: Turn, item: Control) -> list[Part] | None:
    held = [q for q in pending.unanswered(turn.db, turn.chat) if q.data.get("gate") == "G2"]
    if not held or not isinstance(held[-1].item, Event):
        return None
    question, event = held[-1], held[-1].item
    why, place = str(question.data["says"]), event.tank or "the tank"
    allowed = gate_rules.overriders("G2")
    if question.data.get("hard"):
        return [Part(head=wording.nobody(why))]
    if turn.who.role not in allowed:
        return [Part(head=gate_words.no_override(place, allowed))]
    if not gate_rules.enough_reason(item.reason):
        return [Part(head=gate_words.more_reason(place))]
    return [*_overridden(turn, event, why, item.reason or ""), *asking.settled(turn, question)]


def _overridden(turn: Turn, event: Event, why: str, reason: str) -> list[Part]:
    """The event and its override are kept; the owner sees the reason."""
    what = wording.reason_of(why)
    turn.keep(Control("override", tank=event.tank, subject=f"G2: {what}", reason=reason))
    parts = turn.subjects.handlers["event"](turn, event)
    owners = [p.name for p in turn.team.with_role("owner")]
    head = wording.overridden(event.tank, f"{turn.local(turn.said_at):%H:%M}", entries.name(turn.who.name), what)
    told = [people.told(turn, name, f"{head}\nReason: {reason}") for name in owners if name != turn.who.name]
    return [Part(head=head, lines=(gate_words.reason_kept(owners),), stored=True, others=tuple(told)), *parts]


def _of_named(turn: Turn, water: NewWater, item: Event) -> list[Part] | None:
    looks = (_wrong, _unrested, _chlorine, _empty, _old, _apart)
    held = next((held for look in looks if (held := look(turn, water, item))), None)
    return [_ask_held(turn, item, held)] if held else _unmeasured(turn, water, item)


def _of_only(turn: Turn, item: Event) -> list[Part] | None:
    """Nobody named the water: only what was measured of the only batch that fits can hold it."""
    water = drawing.only(turn, item)
    held = _apart(turn, water, item) if water else None
    if water is None or held is None:
        return None
    return [_ask_held(turn, replace(item, vat=water.vat, batch=water.number), held)]


def _wrong(turn: Turn, water: NewWater, item: Event) -> Held | None:
    tank = turn.tank(item.tank)
    if rules.suits(water.subject, tank.kind if tank else None, item.event) is not False:
        return None
    says = wording.wrong_top_off if item.event == "top_off" else wording.wrong
    return Held(says(water, item.tank or "this tank"), gate="V5")


def _unrested(turn: Turn, water: NewWater, item: Event) -> Held | None:
    stands = vats.standing(turn, water)
    if stands.state in ("ready", "empty"):
        return None
    hard = vats.chlorine(turn, water) in ("shows", "untested") and water.source == "tap"
    if stands.due and stands.due > turn.now:
        until = entries.clock(turn.local(stands.due), turn.local(turn.now).date())
        return Held(wording.resting(water, until), hard)
    left = matching.still_to_test(turn, water)
    words = wording.untested(water, match_words.still_to_test(left) if left else "")
    return Held(words, hard or left == ["chlorine"])


def _chlorine(turn: Turn, water: NewWater, item: Event) -> Held | None:
    found = vats.chlorine(turn, water)
    if found == "shows" or (found == "untested" and water.source == "tap"):
        return Held(wording.chlorine(water, found == "shows"), hard=True)
    return None


def _empty(turn: Turn, water: NewWater, item: Event) -> Held | None:
    wanted = drawing.litres(turn, item)
    short = wanted is not None and drawing.is_short(turn, water, item)
    return Held(wording.empty(water, wanted or 0.0, vats.us(turn))) if short else None


def _old(turn: Turn, water: NewWater, item: Event) -> Held | None:
    if turn.now <= water.use_by or matching.tested_lately(turn, water):
        return None
    made, today = turn.local(water.at).date(), turn.local(turn.now).date()
    return Held(wording.old(water, made, today))


def _apart(turn: Turn, water: NewWater, item: Event) -> Held | None:
    tank, litres = turn.tank(item.tank), drawing.litres(turn, item)
    if tank is None or not drawing.must_match(turn, item):
        return None
    found = matching.gaps(turn, water, tank)
    return Held(wording.apart(water, *matching.why_not(turn, water, found, litres))) if found else None


def _unmeasured(turn: Turn, water: NewWater, item: Event) -> list[Part] | None:
    """What was not measured lately is answered by a press, once for a batch that was answered for at its own gate."""
    tank = turn.tank(item.tank)
    if tank is None or not drawing.must_match(turn, item) or not matching.can_be_asked(turn, water):
        return None
    missing = matching.unknown(turn, water, tank)
    if not any(missing.values()):
        return None
    left = match_words.not_known(missing, water.number, tank.name)
    text = wording.unknown(water, left, match_words.limits(matching.parameters(water)))
    kept = {"gate": "G2", "says": text}
    return [Part(ask=Ask(text, wording.MATCH, "match", "G2", _dated(turn, item), kept, hold=True), urgent=True)]


def _ask_held(turn: Turn, item: Event, held: Held) -> Part:
    kept: dict[str, Any] = {"gate": held.gate, "hard": held.hard, "says": held.text}
    text = f"{held.text}\nDone already?" if "\n" in held.text else f"{held.text} Done already?"
    return Part(ask=Ask(text, wording.HELD, "held", held.gate, _dated(turn, item), kept, hold=True), urgent=True)


def _bare_rest(turn: Turn, item: Event) -> list[Part] | None:
    """Water from a vat of which only its rest is on record."""
    row = store.bare_rest(turn.db, item.vat)
    if row is None:
        return None
    it = running.of(turn, row)
    untested = row.state == "gate" or row.due_at <= turn.now
    text = guards.not_rested(it.shown, f"{it.shown.due:%a %H:%M}", untested)
    return [_ask_held(turn, item, Held(text))]


def _dated(turn: Turn, item: Event) -> Event:
    return item if item.at else replace(item, at=turn.local(turn.said_at))
