"""Words for waits in a message: which of them are one wait, and how far what is said of it reaches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bot.understanding.animals import animals_in
from bot.understanding.clauses import Placed, clause, places, word
from bot.understanding.lasting import ENDS
from bot.understanding.lexicon import Hit, around
from bot.understanding.names import Mention
from bot.understanding.text import Text

PUT = around("waits", "put")
EDGE = around("waits", "edge")
_BESIDE = around("waits", "beside")


@dataclass(frozen=True)
class Kind:
    """Words for a wait; `sure`: they say one even without a length."""

    start: int
    stop: int
    wait: str
    sure: bool


def kinds_in(text: Text) -> list[Kind]:
    """Every word for a wait in order; of two that overlap the longer."""
    found = [Kind(h.start, _before_name(text, h), h.meaning, True) for h in text.hits("words_waits", "kind")]
    found += [Kind(h.start, h.stop, h.meaning, _little_else(text, h)) for h in text.hits("words_waits", "kind_alone")]
    found += [Kind(h.start, h.stop, h.meaning, False) for h in text.hits("words_waits", "kind_with_length")]
    found = [kind for kind in found if not _in_a_name(text, kind)]
    kept: list[Kind] = []
    for kind in sorted(found, key=lambda k: (k.start, k.start - k.stop)):
        if not kept or kind.start >= kept[-1].stop:
            kept.append(kind)
    return kept


def _before_name(text: Text, hit: Hit) -> int:
    """Where the words for the wait end: the "vat" of "filling vat 2" belongs to the vat's name."""
    named = (m.start for m in text.mentions if hit.start < m.start < hit.stop < m.stop and m.plausible >= 1)
    return next(named, hit.stop)


def _in_a_name(text: Text, kind: Kind) -> bool:
    """The "qt" of "qt-1" names a tank; alone it may be the wait."""
    holding = [m for m in text.mentions if m.start <= kind.start and kind.stop <= m.stop and m.plausible >= 1]
    return any(m.stop > kind.stop for m in holding)


def together(text: Text, kinds: Sequence[Kind]) -> list[list[Kind]]:
    """Words for the same wait that stand together are one: "soaking nets in bleach", "accl shrimp, drip an hour"."""
    groups: list[list[Kind]] = []
    for kind in kinds:
        if groups and groups[-1][-1].wait == kind.wait and _same_wait(text, groups[-1][-1], kind):
            groups[-1].append(kind)
        else:
            groups.append([kind])
    return groups


def _same_wait(text: Text, first: Kind, second: Kind) -> bool:
    between = range(first.stop, second.start)
    ended = any(word(text, i) in ("then", ";", ".", "\n") for i in between)
    if ended or any(length.start in between for length in text.durations):
        return False
    inside = clause(text, second.start)
    if first.start not in inside and any(text.tokens[i].is_number for i in between):
        return False
    return first.start in inside or all(word(text, i) in EDGE for i in range(inside.start, second.start))


def _little_else(text: Text, hit: Hit) -> bool:
    """Beside the word only a tank, an animal, a tool, an amount or small words stand in the clause."""
    waters = [m for m in text.measures if m.unit("volume")]
    known = places(animals_in(text), tools_in(text), _tanks(text), waters, [hit])
    return all(i in known or word(text, i) in PUT or word(text, i) in EDGE for i in clause(text, hit.start))


def tools_in(text: Text) -> tuple[Hit, ...]:
    return text.hits("words_waits", "tool")


def _tanks(text: Text) -> list[Mention]:
    return [m for m in text.mentions if m.plausible >= 1]


def reach_of(text: Text, hit: Hit, kinds: Sequence[Kind]) -> range:
    """The clause, and past a comma what tells only a length, an amount or what waits: "net in bleach, 10 L"."""
    start, stop = _own_start(text, hit, kinds), clause(text, hit.stop - 1).stop
    while word(text, stop) == "," and (more := _only_beside(text, clause(text, stop + 1), hit, range(start, stop))):
        stop = more
    while _opens_clause(text, start) and _only_tools(text, clause(text, start - 2)):
        start = clause(text, start - 2).start
    later = [kind.start for kind in kinds if hit.stop <= kind.start < stop and kind.wait != hit.meaning]
    return range(start, min([stop, *later]))


def _opens_clause(text: Text, start: int) -> bool:
    return word(text, start - 1) == "," and start == clause(text, start).start


def _own_start(text: Text, hit: Hit, kinds: Sequence[Kind]) -> int:
    """Not before another wait of the same clause ("float 20 min drip 1 hr"), nor before a joining "then"."""
    inside = clause(text, hit.start)
    earlier = [k.stop for k in kinds if inside.start <= k.start and k.stop <= hit.start]
    lengths = [d.stop for d in text.durations if earlier and earlier[-1] <= d.start and d.stop <= hit.start]
    joins = [i + 1 for i in range(inside.start, hit.start) if word(text, i) in ("then", "plus")]
    timed = [d.stop for d in text.durations if inside.start < d.start and word(text, d.stop) in _ANDS]
    switched = [_past_switch(text, off.stop, hit.start) for off in _switched_off(text, inside, hit)]
    return max([inside.start, *earlier, *lengths, *joins, *switched, *(end + 1 for end in timed if end < hit.start)])


def _switched_off(text: Text, inside: range, hit: Hit) -> list[Hit]:
    """What was switched off earlier in the clause is a wait of its own."""
    ends = {machine.stop for machine in text.hits("words_machines", "machine")}
    states = (h for h in text.hits("words_machines", "state") if h.meaning == "off" and h.start in ends)
    return [h for h in states if h.start in inside and h.stop <= hit.start]


def _past_switch(text: Text, stop: int, last: int) -> int:
    """Behind "off", and its "for 20 and"."""
    place = stop + (word(text, stop) == "for")
    measure = text.measure_at(place)
    place = measure.stop if measure else place
    return place + 1 if place < last and word(text, place) in _ANDS else stop


_ANDS = around("waits_kinds", "ands")
"""Behind a length: what stands before is over with it, "return off 15 min and nets in bleach 20 min"."""


def _only_beside(text: Text, inside: range, hit: Hit, said: range) -> int:
    """The end of a clause that holds nothing but a length, an instant, an amount of water, a tank or (where nothing has
    been named yet) what waits; else 0."""
    things: list[Placed] = [*animals_in(text), *tools_in(text)]
    named = any(t.start in said and not hit.start <= t.start < hit.stop for t in things)
    waters = [m for m in text.measures if m.unit("volume")]
    counts = [n for n in text.numbers if any(t.start in (n.stop, n.start) for t in things)]
    until = [i for i in text.ahead if i.start in inside and i.exact]
    known = places(text.durations, text.past, until, waters, _tanks(text), [] if named else [*things, *counts])
    small = _BESIDE | ENDS if until else _BESIDE
    small = small | _PUT_IN if any(t.start in inside for t in things) else small
    bare = bare_length(text, inside)
    rest = [i for i in inside if i not in known and i not in bare and word(text, i) not in small]
    return inside.stop if len(inside) and not rest else 0


_PUT_IN = around("waits_kinds", "put_in")


def bare_length(text: Text, inside: range) -> range:
    """The "for 15" that ends "nets in for 15"."""
    last = inside.stop - 1
    led = len(inside) > 2 and text.tokens[last].is_number and word(text, last - 1) in ("for", "in")
    return range(last - 1, inside.stop) if led else range(0)


def _only_tools(text: Text, inside: range) -> bool:
    """ "nets, 2 buckets in bleach": a list of tools goes on past the comma."""
    tools = places(tools_in(text))
    rest = [i for i in inside if i not in tools and not text.tokens[i].is_number and word(text, i) not in PUT]
    return bool(tools & set(inside)) and not rest and len(inside) <= 4
