"""What is said of a batch after it was made: how it looks, what is left, that it was poured away; what is asked of it;
and its numbers, which answer its gate."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from bot.assistant import gates, making, matching, running, vats
from bot.assistant.conversation import tank_in_hand
from bot.assistant.running import Running
from bot.assistant.turn import Part, Turn
from bot.items import Batch, Item, Reading, Understood
from bot.rules import batches as rules
from bot.rules import gates as gate_rules
from bot.rules.batches import NewWater
from bot.store import logbook
from bot.wording import batches as wording
from bot.wording import gates as gate_words
from bot.wording import matching as match_words


def take(turn: Turn, item: Item) -> list[Part]:
    """A batch made, looked at, measured by eye, poured away or asked about."""
    assert isinstance(item, Batch)
    return _ACTS.get(item.subject, making.take)(turn, item)


def tested(turn: Turn, understood: Understood, _: Sequence[Part]) -> list[Part]:
    """Numbers of a batch whose rest is over answer its gate; beside a tank with readings of today they are matched."""
    facts = [f.item for f in logbook.facts_of(turn.db, [turn.message_id]) if not f.void]
    of_batch = [i for i in facts if _tells_of_batch(i)]
    names = dict.fromkeys(v for i in of_batch if (v := getattr(i, "vat", None)))
    found = [(w, vats.standing(turn, w)) for name in names if (w := rules.current(vats.load(turn), name))]
    untested = [(w, s.row) for w, s in found if s.state == "untested" and s.row]
    if untested:
        return [p for w, row in untested for p in _answered(turn, w, running.of(turn, row))]
    return [p for w, s in found if s.state == "ready" for p in matching.beside(turn, w, tank_in_hand(turn))]


def _tells_of_batch(item: Item) -> bool:
    if isinstance(item, Reading):
        return item.of == "batch"
    return isinstance(item, Batch) and item.subject in rules.SEEN


def _looked_at(turn: Turn, item: Batch) -> list[Part]:
    """ "clear", "strip nothing": kept with the batch that it is about."""
    water = _meant(turn, item)
    if water is None:
        return [Part(head=wording.no_batch(item.vat))]
    turn.keep(replace(item, number=water.number))
    return [Part(said=(wording.looks(water.number, item.subject),), tank=water.vat, at=item.at, stored=True)]


def _dumped(turn: Turn, item: Batch) -> list[Part]:
    """Poured away: nothing of it counts any more, and its rest is over."""
    water = _meant(turn, item)
    if water is None:
        return [Part(head=wording.no_batch(item.vat))]
    turn.keep(replace(item, number=water.number))
    vats.stop_rest(turn, water.number)
    return [Part(said=(wording.dumped(water, vats.us(turn)),), tank=water.vat, at=item.at, stored=True)]


def _level(turn: Turn, item: Batch) -> list[Part]:
    """What is left by eye goes before what was reckoned."""
    before = _meant(turn, item)
    if before is None:
        return [Part(head=wording.no_batch(item.vat))]
    turn.keep(replace(item, number=before.number))
    now = rules.numbered(vats.load(turn), before.number)
    assert now
    said = wording.level(now, before.left_L, vats.us(turn))
    return [Part(said=(said,), tank=before.vat, at=item.at, stored=True)]


def _asked(turn: Turn, item: Batch) -> list[Part]:
    """What stands in a vat, or in all of them, and beside the tank in hand whether it matches."""
    waters = vats.load(turn)
    one = _meant(turn, item) if item.vat or item.number else None
    if item.vat or item.number:
        return [_told_of(turn, one)] if one else [Part(head=wording.no_batch(item.vat or f"Batch {item.number}"))]
    there = [w for w in waters if w.is_there]
    if not there:
        return [Part(head=wording.no_batch(None))]
    lines = [_line(turn, w) for w in there]
    return [Part(head=lines[0], lines=tuple(lines[1:]))]


def _told_of(turn: Turn, water: NewWater) -> Part:
    us = vats.us(turn)
    lines = [wording.went_to(water.draws, us)] if water.draws else []
    beside = [line for p in matching.beside(turn, water, tank_in_hand(turn)) for line in p.lines]
    return Part(head=_line(turn, water), lines=(*beside, *lines))


def _line(turn: Turn, water: NewWater) -> str:
    stands = vats.standing(turn, water)
    due = turn.local(stands.due) if stands.due else None
    return wording.standing(water, stands.state, due, turn.local(turn.now), vats.us(turn))


def _meant(turn: Turn, item: Batch) -> NewWater | None:
    """The batch of that number, else the one that stands in the vat."""
    waters = vats.load(turn)
    return rules.numbered(waters, item.number) if item.number else rules.current(waters, item.vat)


def _answered(turn: Turn, water: NewWater, it: Running) -> list[Part]:
    """The gate of a rest, answered by what was measured since; what is still to be tested is named."""
    given, gap = matching.gate_answers(turn, water)
    queries = gates.gate_of(it).queries
    known = gates.answers_of(it)
    given = {k: v for k, v in given.items() if any(q.key == k and q.answer(v) for q in queries)}
    given = given if gap else {k: v for k, v in given.items() if known.get(k) != v}
    asks_match = any(q.key == "match" for q in queries)
    if not given or (asks_match and "match" not in {**known, **given}):
        query = gate_rules.open_query(gates.gate_of(it), gates.answers_of(it))
        left = matching.still_to_test(turn, water)
        head = gate_words.hold(it.shown.full, match_words.still_to_test(left) if left else query.ask if query else "")
        return [Part(head=head, buttons=gates.buttons(it, query) if query else ())]
    parts = gates.answer(turn, it, given)
    return [*parts, Part(lines=(gap,))] if gap else parts


_ACTS: dict[str, Callable[[Turn, Batch], list[Part]]] = {
    **dict.fromkeys(rules.SEEN, _looked_at), "dumped": _dumped, "level": _level, "asked": _asked,
}  # fmt: skip
