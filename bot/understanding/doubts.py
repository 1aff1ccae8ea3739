"""What the claims left over: bare numbers that the tank's panel makes certain, else a question; and small talk."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import permutations

from bot.items import Clarify, Item, Reading
from bot.understanding.claims import Claim, weigh
from bot.understanding.leftover import free_places, unread_in
from bot.understanding.lexicon import lexicon
from bot.understanding.pair import Pair
from bot.understanding.pairs import pair_of
from bot.understanding.parameters import Name
from bot.understanding.readings import as_item
from bot.understanding.text import Text
from bot.understanding.units import Measure

_MOST_SLOTS = 7


def with_bare_numbers(text: Text, chosen: Sequence[Claim]) -> list[Claim]:
    """The claims, and those on numbers without a name: readings if the panel leaves no other way, else Clarify."""
    left = _bare(text, chosen)
    if not (_is_all_numbers(text, chosen, left) or _has_reading(chosen)):
        left = [measure for measure in left if _is_of_now(text, measure)]
    if not left:
        return list(chosen)
    pairs = _by_panel(text, chosen, left)
    added = [_reading(text, pair) for pair in pairs] if pairs else _asked(text, left, _named(chosen))
    return sorted([*chosen, *added], key=lambda claim: claim.start)


def asked_once(items: Sequence[Item]) -> list[Item]:
    """The items as the bot asks about them: what lacks the same tank is one question, with all its words."""
    done: list[Item] = []
    for item in items:
        same = next((i for i, each in enumerate(done) if _same_question(each, item)), None)
        if same is None:
            done.append(item)
        else:
            done[same] = _merged(done[same], item)
    return done


def _same_question(one: Item, other: Item) -> bool:
    both = isinstance(one, Clarify) and isinstance(other, Clarify) and one.why == other.why == "which_tank"
    return both and getattr(one, "options", ()) == getattr(other, "options", ())


def _merged(one: Item, other: Item) -> Item:
    assert isinstance(one, Clarify) and isinstance(other, Clarify)
    return Clarify("which_tank", f"{one.part}, {other.part}", options=one.options)


def _bare(text: Text, chosen: Sequence[Claim]) -> list[Measure]:
    """Numbers that nobody used, without a unit (or with a unit that no reading took), and not beside an unread word."""
    free = free_places(text, chosen)
    found = [m for m in text.measures if m.number.span <= free and not m.units and not m.number.spoken]
    return [m for m in found if not any(_is_unread_word(text, i, free) for i in _neighbours(text, m))]


def _neighbours(text: Text, measure: Measure) -> tuple[int, int]:
    """The nearest words on either side in the same clause, small ones passed over."""
    small = lexicon("words_plain", "small").words()
    before, after = measure.start - 1, measure.stop
    while before >= 0 and text.tokens[before].text in small:
        before -= 1
    while after < len(text.tokens) and text.tokens[after].text in small:
        after += 1
    return before, after


def _is_unread_word(text: Text, place: int, free: frozenset[int]) -> bool:
    if place not in free or not text.tokens[place].is_word:
        return False
    return text.tokens[place].text not in lexicon("words_plain", "small").words()


def _is_all_numbers(text: Text, chosen: Sequence[Claim], left: Sequence[Measure]) -> bool:
    """Whether the message holds nothing but numbers, names of tanks and small words."""
    free = free_places(text, chosen)
    words = [i for i in free if _is_unread_word(text, i, free)]
    return not words and not any(claim.items for claim in chosen) and len(left) > 0


def _is_of_now(text: Text, measure: Measure) -> bool:
    """ "24.9 now", "now 24.9" beside something else was measured, whatever it is."""
    places = (measure.start - 1, measure.stop)
    return any(0 <= i < len(text.tokens) and text.tokens[i].text in ("now", "atm") for i in places)


def _has_reading(chosen: Sequence[Claim]) -> bool:
    return any(isinstance(item, Reading) or _is_doubted(item) for claim in chosen for item in claim.items)


def _is_doubted(item: Item) -> bool:
    return isinstance(item, Clarify) and item.parameter is not None


def _named(chosen: Sequence[Claim]) -> frozenset[str]:
    """The parameters that have a value already."""
    return frozenset(i.parameter for claim in chosen for i in claim.items if isinstance(i, Reading))


def _asked(text: Text, left: Sequence[Measure], named: frozenset[str]) -> list[Claim]:
    """One question for each run of numbers."""
    runs: list[list[Measure]] = []
    for measure in left:
        joined = runs and all(not t.is_word for t in text.tokens[runs[-1][-1].stop : measure.start])
        runs[-1:] = [[*runs[-1], measure]] if joined else [*runs[-1:], [measure]]
    return [_question(text, run, named) for run in runs]


def _question(text: Text, run: Sequence[Measure], named: frozenset[str]) -> Claim:
    value = run[0].number.value if len(run) == 1 else None
    used = frozenset(i for measure in run for i in measure.span)
    options = tuple(slot for slot in _slots(text, value) if slot not in named)
    item = Clarify("which_parameter", text.typed(run[0].start, run[-1].stop), value=value, options=options)
    return Claim((item,), used, weigh(text.tokens, used))


def _slots(text: Text, value: float | None) -> tuple[str, ...]:
    """What of the tank's panel the number could be."""
    if value is None:
        return ()
    measures = [m for m in text.measures if m.number.value == value]
    return tuple(slot for slot in text.situation.panel if _fits(text, slot, measures[0]))


def _by_panel(text: Text, chosen: Sequence[Claim], left: Sequence[Measure]) -> list[Pair]:
    """The bare numbers in the panel's empty slots, if they are as many and can stand in one way only."""
    slots = _empty_slots(text, chosen)
    if slots is None or len(slots) != len(left) or len(slots) > _MOST_SLOTS:
        return []
    fits = [[slot for slot in slots if _fits(text, slot, measure)] for measure in left]
    ways = [way for way in permutations(slots) if all(s in f for s, f in zip(way, fits, strict=True))]
    in_order = ways == [tuple(slots)] and len(slots) == len(text.situation.panel)
    if len(ways) != 1 or not (in_order or all(len(fit) == 1 for fit in fits)):
        return []
    return [pair for slot, m in zip(ways[0], left, strict=True) if (pair := _pair(text, slot, m))]


def _empty_slots(text: Text, chosen: Sequence[Claim]) -> list[str] | None:
    """The panel without what is named; None where the panel does not hold: another tank, or a reading outside it."""
    panel = list(text.situation.panel)
    named = [item.parameter for claim in chosen for item in claim.items if isinstance(item, Reading)]
    elsewhere = any(getattr(c.covers, "options", (text.situation.tank,)) != (text.situation.tank,) for c in chosen)
    if not panel or elsewhere or any(n not in panel for n in named) or len(set(named)) != len(named):
        return None
    return [slot for slot in panel if slot not in named]


def _fits(text: Text, slot: str, measure: Measure) -> bool:
    """Whether the number is a usual value of the slot, in the habit's unit for a temperature."""
    pair = _pair(text, slot, measure)
    if pair is None or pair.value.why or pair.value.plausible < 1:
        return False
    return slot != "temperature" or pair.value.unit == ("degC" if text.metric else "degF")


def _pair(text: Text, slot: str, measure: Measure) -> Pair | None:
    return pair_of(text, Name(measure.start, measure.start, slot), measure, measure.span)


def _reading(text: Text, pair: Pair) -> Claim:
    return Claim((as_item(text, pair),), pair.used, weigh(text.tokens, pair.used))


def is_small_talk(text: Text, chosen: Sequence[Claim]) -> bool:
    """Whether nothing was said but small words and words of small talk."""
    if not unread_in(text, chosen):
        return True
    talk = lexicon("words_plain", "small_talk")
    words = [token.text for token in text.tokens if token.is_word]
    hits = talk.find(text.tokens)
    told = {i for hit in hits for i in range(hit.start, hit.stop)}
    small = lexicon("words_plain", "small").words()
    rest = [
        t for i, t in enumerate(text.tokens) if i not in told and (t.is_number or (t.is_word and t.text not in small))
    ]
    return not rest or (bool(hits) and not any(t.is_number for t in rest) and len(rest) < len(words) / 2)
