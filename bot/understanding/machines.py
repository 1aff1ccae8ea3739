"""Equipment: switched, broken, repaired, replaced, fitted, removed; and switched off with a length, which is a wait.

"return off" is an event that stays open; "return off 15 min" is a wait (`pump_off`) alone; "pump on" closes it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from bot.items import Event, Wait
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import (
    clause,
    found_with_plurals,
    is_named,
    past_small,
    phrase,
    small_between,
    word,
    words,
)
from bot.understanding.lasting import (
    Lasting,
    back_on_in,
    bare_minutes,
    lasting_after,
    lasting_before,
    until_in,
    with_until,
)
from bot.understanding.lexicon import Hit, around
from bot.understanding.text import Text

_BETWEEN = around("machines", "between")
_LISTED = around("machines", "listed")
_ALONE = around("machines", "alone")
_ALONE_IN_CLAUSE = around("machines", "alone_in_clause")
_BEFORE_ONLY = around("machines", "before_only")


@dataclass(frozen=True)
class _Machine:
    """One machine or a list of them ("return and skimmer"), and where it is named."""

    start: int
    stop: int
    kind: str


def claims(text: Text) -> Iterator[Claim]:
    """Every machine with a word for its state before or behind it; a state alone where it can only be of a machine."""
    states = tuple(hit for hit in text.hits("words_machines", "state") if word(text, hit.stop) != "of")  # "out of"
    for machine in _machines(text):
        yield from _behind(text, machine, states)
        yield from _before(text, machine, states)
        yield from _around(text, machine)
        yield from _parted_by_length(text, machine, states)
    for state in states:
        yield from _alone(text, state)


def _machines(text: Text) -> list[_Machine]:
    found = found_with_plurals(text, "words_machines", "machine")
    single = [_with_size(text, _Machine(hit.start, hit.stop, hit.meaning)) for hit in found]
    listed = [
        _Machine(a.start, b.stop, a.kind)
        for a, b in pairwise(single)
        if b.start - a.stop in (1, 2) and word(text, a.stop) in _LISTED and word(text, b.start - 1) in (*_LISTED, "the")
    ]
    return [*single, *listed]


def _with_size(text: Text, machine: _Machine) -> _Machine:
    """ "300 w heater", "heater 300W", "pump 2": its power, flow or number belongs to it."""
    before = next((m for m in text.measures if m.stop == machine.start and m.unit(*_SIZES)), None)
    after = text.measure_at(machine.stop)
    numbered = (
        after and not after.units and after.number.value in range(1, _MOST_NUMBERED + 1) and _is_state(text, after.stop)
    )
    start = before.start if before else machine.start
    stop = after.stop if after and (numbered or after.unit(*_SIZES)) else machine.stop
    return _Machine(start, _past_side(text, stop), machine.kind)


def _past_side(text: Text, stop: int) -> int:
    """ "powerhead on the left" is one machine with its side."""
    placed = word(text, stop) in ("on", "at", "in") and word(text, stop + 1) == "the"
    return stop + 3 if placed and word(text, stop + 2) in _SIDES else stop


_SIDES = frozenset(("left", "right", "back", "front", "top", "bottom", "side", "end", "corner", "middle", "sump"))
_SIZES = ("power", "flow", "length")
_MOST_NUMBERED = 9


def _is_state(text: Text, place: int) -> bool:
    """A number before "off" is that of the machine; before anything else it may be a value."""
    return any(hit.start == place for hit in text.hits("words_machines", "state"))


def _behind(text: Text, machine: _Machine, states: tuple[Hit, ...]) -> Iterator[Claim]:
    """ "heater is dead", "return back on", "skimmer off 20 min"."""
    inside = clause(text, machine.start)
    place = past_small(text, machine.stop, inside.stop, _BETWEEN)
    for state in states:
        near = machine.stop <= state.start <= place and state.stop <= inside.stop
        where = state.meaning == "on" and _is_preposition(text, state, inside)
        if near and not where and _reaches(text, machine.stop, state):
            yield from _told(text, machine, state, state.meaning, inside)


def _reaches(text: Text, start: int, state: Hit) -> bool:
    gap = [word(text, i) for i in range(start, state.start) if not is_named(text, i)]
    said = " ".join(words(text, state.start, state.stop))
    return all(each in _BETWEEN for each in gap) and said not in _BEFORE_ONLY


def _is_preposition(text: Text, state: Hit, inside: range) -> bool:
    """The "on" of "light on the left" and "skimmer on quillow" says where, not that it runs."""
    if words(text, state.start, state.stop) != ["on"]:
        return False
    return word(text, state.stop) in ("the", "a", "my", "our", "their", "this", "that", "order") or any(
        mention.start <= state.start < mention.stop for mention in text.mentions
    )


def _before(text: Text, machine: _Machine, states: tuple[Hit, ...]) -> Iterator[Claim]:
    """ "unplugged the heater", "replaced powerhead", "new heater", "leak at bulkhead", "put fan on"."""
    inside = clause(text, machine.start)
    for state in states:
        gap = words(text, state.stop, machine.start)
        if (
            state.start >= inside.start
            and state.stop <= machine.start
            and all(w in _BETWEEN or w in ("at", "on", "from", "for", "to") for w in gap)
        ):
            said = words(text, state.start, state.stop)
            if said == ["added"] and word(text, machine.start) in ("ro", "rodi", "di"):
                continue  # water, no machine
            if said in (["off"], ["on"], ["out"], ["running"]) or (said == ["new"] and not _opens(text, state)):
                continue
            meaning = _turned(text, machine, state) or state.meaning
            yield from _told(text, machine, state, meaning, inside)


def _opens(text: Text, state: Hit) -> bool:
    """ "new heater" is news at the head of a phrase only; "burned by the new light" is not."""
    return past_small(text, phrase(text, state.start).start, state.start + 1) == state.start


def _turned(text: Text, machine: _Machine, state: Hit) -> str | None:
    """ "put the fan on", "took the skimmer off": the little word behind decides."""
    behind = word(text, machine.stop)
    verb = word(text, state.start)
    if behind in ("on", "off") and verb in ("put", "turned", "switched", "turn", "switch", "kept", "left"):
        return behind
    return None


def _parted_by_length(text: Text, machine: _Machine, states: tuple[Hit, ...]) -> Iterator[Claim]:
    """ "return 20 min off"."""
    for length in (d for d in text.durations if d.start == machine.stop):
        for state in states:
            if state.meaning == "off" and state.start == length.stop:
                used = frozenset(range(machine.start, state.stop))
                wait = Wait("pump_off", minutes=length.minutes, subject=text.thing(machine.start, machine.stop))
                yield Claim((wait,), used, weigh(text.tokens, used, 1.1))


def _around(text: Text, machine: _Machine) -> Iterator[Claim]:
    """ "turned the skimmer off", "plugged the heater back in", "took the chiller out"."""
    inside = clause(text, machine.start)
    start = machine.start
    while start > inside.start and word(text, start - 1) in ("the", "a", "an", "our", "that", "their"):
        start -= 1
    verb = word(text, start - 1) if start > inside.start else ""
    behind = words(text, machine.stop, min(machine.stop + 2, inside.stop))
    fitting = ((m, t) for verbs, tails, m in _PARTED if verb in verbs for t in tails)
    found = next(((m, len(t)) for m, t in fitting if behind[: len(t)] == list(t)), None)
    if found:
        meaning, tail = found
        yield from _told(text, machine, Hit(start - 1, machine.stop + tail, meaning), meaning, inside)


_TURN = around("machines", "turn")
_PARTED: tuple[tuple[frozenset[str], tuple[tuple[str, ...], ...], str], ...] = (
    (_TURN, (("back", "on"), ("on",)), "on"),
    (_TURN, (("off",), ("back", "off"), ("down",)), "off"),
    (frozenset(("plugged", "plug")), (("back", "in"), ("in",)), "on"),
    (frozenset(("took", "taken", "pulled")), (("out",), ("off",)), "removed"),
    (frozenset(("put", "swapped", "changed")), (("in",), ("out",)), "replaced"),
)


def _told(text: Text, machine: _Machine, state: Hit, meaning: str, inside: range) -> Iterator[Claim]:
    start, stop = min(machine.start, state.start), max(machine.stop, state.stop)
    if word(text, stop) in ("on", "off") and meaning in ("on", "off"):
        stop += 1
    mending = _mending_before(text, state) if meaning == "broken" else None
    if mending is not None:
        start, meaning = mending, "repaired"
    named = frozenset(i for i in range(start, stop) if is_named(text, i))
    used = frozenset(range(start, stop)) - named | small_between(
        text, start - 1, start, ("the", "a", "put", "turned", "our", "old", "just")
    )
    subject = text.thing(machine.start, machine.stop)
    if machine.kind == "plumbing" and meaning not in ("broken", "repaired", "replaced", "off", "on", "fitted"):
        return
    if meaning == "serviced" and _is_filter(text, machine):
        return
    yield from _items(text, used, stop, inside, meaning, subject)


def _mending_before(text: Text, state: Hit) -> int | None:
    """ "fixed the leak at ...": what was broken is repaired."""
    states = [h for h in text.hits("words_machines", "state") if h.meaning == "repaired" and h.stop <= state.start]
    near = states and all(each in _BETWEEN for each in words(text, states[-1].stop, state.start))
    return states[-1].start if near else None


def _is_filter(text: Text, machine: _Machine) -> bool:
    hits = text.hits("words_events", "thing")
    return any(h.meaning == "filter_service" and h.start <= machine.start and h.stop >= machine.stop for h in hits)


def _items(text: Text, used: frozenset[int], stop: int, inside: range, meaning: str, subject: str) -> Iterator[Claim]:
    state = None if meaning == "serviced" else meaning
    event = Event("equipment", subject=subject, state=state)
    plausible = 0.8 if meaning == "serviced" else 1.05
    if meaning == "on" and subject.lower() in _FILLING:
        last = lasting_after(text, stop, inside)
        if last and last.minutes is not None:
            yield _lasts(text, used, last, subject, "other")
    if meaning == "off":
        last = lasting_after(text, stop, inside) or lasting_before(text, min(used), inside)
        last = last or _for_a_deed(text, stop, inside)
        last = with_until(text, last, range(stop, inside.stop)) or back_on_in(text, inside.stop)
        last = last or until_in(text, range(stop, inside.stop)) or _bare(text, stop, inside)
        if last and last.minutes is not None:
            yield _lasts(text, used, last, subject, "pump_off")
    broken = _because(text, stop, inside) if meaning in ("replaced", "removed", "off", "fitted") else frozenset()
    yield Claim((event,), used | broken, weigh(text.tokens, used | broken, plausible))


def _for_a_deed(text: Text, stop: int, inside: range) -> Lasting | None:
    """ "off for feeding 10 min", "off while feeding 10m"."""
    led = word(text, stop) in ("for", "while") and word(text, stop + 1).endswith("ing")
    last = lasting_after(text, stop + 2, inside) if led else None
    return Lasting(last.minutes, last.started, last.used | {stop, stop + 1}) if last else None


def _bare(text: Text, stop: int, inside: range) -> Lasting | None:
    """ "rtn off 10": a number at the end of the clause is minutes."""
    bare = bare_minutes(text, stop, inside)
    return Lasting(bare.bare, None, bare.used) if bare else None


def _because(text: Text, stop: int, inside: range) -> frozenset[int]:
    """ "... it was busted": why it was replaced belongs to the same event."""
    hits = [
        h
        for h in text.hits("words_machines", "state")
        if h.meaning == "broken" and stop < h.start and h.stop <= inside.stop
    ]
    good = hits and all(each in _BECAUSE for each in words(text, stop, hits[0].start))
    return frozenset(range(stop, hits[0].stop)) if good else frozenset()


_BECAUSE = around("machines", "because")
_FILLING = around("machines", "filling")


def _lasts(text: Text, used: frozenset[int], last: Lasting, subject: str, wait: str) -> Claim:
    item = Wait(wait, minutes=last.minutes, started=last.started, subject=subject)
    every = used | last.used
    return Claim((item,), every, weigh(text.tokens, every, 1.3))


def _alone(text: Text, state: Hit) -> Iterator[Claim]:
    """ "blackout 3 days", "leaking", "back on": no machine is named, but nothing else can be meant."""
    said = " ".join(words(text, state.start, state.stop))
    inside = clause(text, state.start)
    lone = past_small(text, inside.start, inside.stop, _BETWEEN) >= state.start and state.stop == inside.stop
    subject = text.typed(state.start, state.stop)
    if said in _ALONE:
        yield from _items(text, state.span, state.stop, inside, "off", subject)
    elif said in _ALONE_IN_CLAUSE and lone:
        yield from _items(text, state.span, state.stop, inside, state.meaning, subject)
    elif said in _ALONE_IN_CLAUSE and state.meaning == "broken" and word(text, state.stop) in _WHERE:
        where = frozenset(i for i in range(state.start, inside.stop) if not is_named(text, i))
        yield from _items(text, where, inside.stop, inside, "broken", text.typed(state.start, inside.stop))


_WHERE = frozenset(("in", "at", "under", "on", "from", "behind", "near", "around"))
