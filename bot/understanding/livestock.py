"""Animals added, lost and moved: "added 2 clowns", "3 koi dead", "moved 3 chromis from den to frag"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from bot.items import Event
from bot.understanding.animals import Animals, animals_in, unknown_after, unknown_before
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import SMALL, clause, is_named, past_small, sentence, small_between, timed, word, words
from bot.understanding.lexicon import Hit, around
from bot.understanding.livestock_moves import TO, is_move, moved_to, with_tanks
from bot.understanding.pairs import is_value_of_name
from bot.understanding.text import Text
from bot.understanding.units import Measure

_KINDS = ("livestock_added", "livestock_lost", "livestock_moved")
_BEHIND = frozenset(SMALL | around("livestock", "behind"))
_OPENING = around("livestock", "opening")
_NEEDS_ANIMAL = around("livestock", "needs_animal")
_LONE_NOUNS = around("livestock", "lone_nouns")


def claims(text: Text) -> Iterator[Claim]:
    """Each group of animals with the verb that governs it, before or behind."""
    verbs = [hit for hit in text.hits("words_events", "verb") if hit.meaning in _KINDS]
    animals = animals_in(text)
    for each in animals:
        yield from _behind(text, each, verbs, animals)
        yield from _before(text, each, verbs, animals)
        yield from moved_to(text, each)
    for verb in verbs:
        yield from _without_animals(text, verb, animals)
    for hit in text.hits("words_events", "none"):
        yield Claim(
            (Event("note", subject=text.typed(hit.start, hit.stop)),), hit.span, weigh(text.tokens, hit.span, 1.4)
        )


def _listed_before(text: Text, animals: Animals, after: Animals, verbs: Sequence[Hit]) -> Iterator[Claim]:
    """ "3 turbos n 2 hermits added": the verb behind the second group governs the first too."""
    for verb in verbs:
        both = animals.count is not None and after.count is not None and word(text, verb.start) == "in"
        if verb.start == after.stop and (both or word(text, verb.start) not in _NO_TAIL):
            joined = frozenset(range(animals.stop, after.start))
            yield _claim(text, verb.meaning, animals, animals.span | joined, 1.0, shares=verb.span)


_NO_TAIL = around("livestock", "no_tail")


def _behind(text: Text, animals: Animals, verbs: Sequence[Hit], others: Sequence[Animals]) -> Iterator[Claim]:
    """The verb stands after: "3 koi dead", "goby jumped", "12 rummies went in"."""
    inside = clause(text, animals.start)
    place = past_small(text, animals.stop, inside.stop, _BEHIND - {"went", "out", "gone", "got"})
    gap = 1 if word(text, place) in ("and", "n", "&", "+") else 0
    after = next((other for other in others if other.start == place + gap), None)
    if after:
        yield from _listed_before(text, animals, after, verbs)
    for verb in verbs:
        counted_in = word(text, verb.start) == "in" and verb.stop == inside.stop and animals.count is not None
        if verb.start in (animals.stop, place) and (counted_in or word(text, verb.start) not in _NO_TAIL):
            used = (
                animals.span
                | verb.span
                | small_between(text, animals.stop, verb.start, _BEHIND)
                | _tail(text, verb, inside)
            )
            yield _claim(text, verb.meaning, animals, used, 1.1)


def _tail(text: Text, verb: Hit, inside: range) -> frozenset[int]:
    """What only colours a loss: "jumped out", "died overnight"."""
    place = verb.stop
    while place < inside.stop and word(text, place) in ("out", "overnight", "again", "sadly", "today", "already"):
        place += 1
    return frozenset(range(verb.stop, place))


def _before(text: Text, animals: Animals, verbs: Sequence[Hit], others: Sequence[Animals]) -> Iterator[Claim]:
    """The verb stands before, right there or before other animals that it governs as well."""
    here = sentence(text, animals.start)
    verb = next((v for v in reversed(verbs) if here.start <= v.start and v.stop <= animals.start), None)
    if (
        verb is None
        or _found_again(text, verb)
        or _taken_by(text, verb, here)
        or _broken_off(text, verb, animals, others)
    ):
        return
    first = not any(verb.stop <= other.start < animals.start for other in others)
    open_count = first and animals.count is None and verb.stop == animals.start
    counted = _count_before_verb(text, verb) if open_count else None
    animals = replace(animals, count=int(counted.number.value)) if counted else animals
    used = animals.span | (counted.span if counted else frozenset())
    if first:
        used |= verb.span | _led_in(text, verb.stop, animals.start) | _opening(text, verb)
    elif word(text, animals.start - 1) in ("and", "n", "&", "+", "plus"):
        used |= {animals.start - 1}
    yield _claim(text, verb.meaning, animals, used, 1.1 if first else 0.95, shares=verb.span)


def _taken_by(text: Text, verb: Hit, here: range) -> bool:
    """ "heron got one koi" is no arrival: something else than us or the tank got it."""
    inside = clause(text, verb.start)
    own = {"we", "i", "they", "just", "also", "you", "and", "n", "tank", "has", "have", "ve", "new", "finally", "today"}
    start = max([inside.start, *(i + 1 for i in range(inside.start, verb.start) if word(text, i) == ":")])
    free = SMALL | own | {token for name in text.situation.people for token in name.lower().split()}
    before = (i for i in range(start, verb.start) if not is_named(text, i) and i not in timed(text))
    return word(text, verb.start) == "got" and any(text.tokens[i].is_word and word(text, i) not in free for i in before)


def _found_again(text: Text, verb: Hit) -> bool:
    """ "found the missing wrasse" is no loss."""
    return word(text, verb.start) == "missing" and "found" in words(text, verb.start - 3, verb.start)


def _count_before_verb(text: Text, verb: Hit) -> Measure | None:
    """ "2 dead chromis", "4 DOA cardinals"."""
    found = [m for m in text.measures if m.stop == verb.start and not m.units and m.number.low is None]
    found = [m for m in found if not is_named(text, m.start) and not is_value_of_name(text, m)]
    return found[0] if found and found[0].number.value.is_integer() and 0 < found[0].number.value < 10000 else None


def _led_in(text: Text, start: int, stop: int) -> frozenset[int]:
    return small_between(text, start, stop, SMALL | {"in", ":", "-", "fish", "new", "out", "up", "off"})


def _opening(text: Text, verb: Hit) -> frozenset[int]:
    place = verb.start
    while place > 0 and word(text, place - 1) in _OPENING:
        place -= 1
    return frozenset(range(place, verb.start))


def _broken_off(text: Text, verb: Hit, animals: Animals, others: Sequence[Animals]) -> bool:
    """Something else stands between the verb and the animals, so that they are not its own."""
    between = range(verb.stop, animals.start)
    named = {i for other in others for i in other.span} | {i for m in text.mentions for i in m.span}
    free = SMALL | {
        ",",
        "and",
        "n",
        "&",
        "+",
        "plus",
        "to",
        "into",
        "in",
        "for",
        ":",
        "-",
        "new",
        "fish",
        "out",
        "up",
        "off",
        "from",
    }
    strange = [i for i in between if i not in named and word(text, i) not in free]
    return len(strange) > (0 if any(word(text, i) == "," for i in between) else 1) or any(
        text.tokens[i].is_number for i in strange
    )


def _without_animals(text: Text, verb: Hit, animals: Sequence[Animals]) -> Iterator[Claim]:
    """A verb of loss, adding or moving with something counted that no table knows, or with nothing at all."""
    inside = clause(text, verb.start)
    said = " ".join(words(text, verb.start, verb.stop))
    unknown = unknown_after(text, verb.stop, inside.stop)
    if (
        unknown
        and said not in _NEEDS_ANIMAL
        and not any(each.span & unknown.span for each in animals)
        and not _a_thing(text, unknown)
    ):
        yield _claim(text, verb.meaning, unknown, verb.span | unknown.span | _opening(text, verb), 0.8)
    before = unknown_before(text, verb.start, inside.start) if verb.start > inside.start else None
    goes = verb.meaning == "livestock_moved" and any(
        m.start == verb.stop and word(text, m.start) in TO for m in text.mentions
    )
    if (
        before
        and (goes or said not in _NEEDS_ANIMAL)
        and not any(each.span & before.span for each in animals)
        and (goes or not _a_thing(text, before))
    ):
        yield _claim(text, verb.meaning, before, before.span | verb.span, 0.8)
    if said in _LONE_NOUNS or said in ("dead", "died", "lost", "doa"):
        yield from _counted_noun(text, verb, inside, animals)


def _a_thing(text: Text, unknown: Animals) -> bool:
    """It is a machine, a dose or a filter that the words name."""
    groups = (("words_machines", "machine"), ("words_events", "thing"), ("words_animals", "sign"))
    hits = (hit for table, group in groups for hit in text.hits(table, group))
    return any(hit.start in unknown.span for hit in hits) or word(text, unknown.named) in _NO_ANIMALS


_NO_ANIMALS = around("livestock", "no_animals")


def _counted_noun(text: Text, verb: Hit, inside: range, animals: Sequence[Animals]) -> Iterator[Claim]:
    """ "2 morts", "jumper", "1 dead": the verb is all that names them."""
    stop = verb.start
    plain = [m for m in text.measures if m.stop in (stop, stop - 1) and not m.units and m.start >= inside.start]
    number = next((m for m in plain if not is_named(text, m.start) and not is_value_of_name(text, m)), None)
    lone = inside.start == verb.start and inside.stop == verb.stop and verb.stop - verb.start >= 1
    said = " ".join(words(text, verb.start, verb.stop))
    if number and number.number.value.is_integer() and 0 < number.number.value < 1000:
        used = frozenset(range(number.start, verb.stop))
        item = Event("livestock_lost", count=int(number.number.value), subject=text.typed(verb.start, verb.stop))
        yield Claim((item,), used, weigh(text.tokens, used, 0.8))
    elif lone and (told := _told_before(text, inside, animals)):
        yield _claim(text, verb.meaning, told, frozenset(range(told.start, verb.stop)), 0.9)
    elif lone or said in _LONE_NOUNS:
        item = Event("livestock_lost", subject=text.typed(verb.start, verb.stop))
        yield Claim((item,), verb.span, weigh(text.tokens, verb.span, 0.7))


def _told_before(text: Text, inside: range, animals: Sequence[Animals]) -> Animals | None:
    """ "eel escaped onto the floor, dead": the animal is named in the clause before."""
    if word(text, inside.start - 1) != ",":
        return None
    earlier = clause(text, inside.start - 2)
    found = [each for each in animals if each.start in earlier]
    return (
        found[0]
        if len(found) == 1 and not any(text.tokens[i].is_number for i in range(found[0].stop, earlier.stop))
        else None
    )


def _claim(
    text: Text,
    event: str,
    animals: Animals,
    used: frozenset[int],
    plausible: float,
    shares: frozenset[int] = frozenset(),
) -> Claim:
    item = Event(event, count=animals.count, subject=text.typed(animals.named, animals.stop))
    moved, ways = with_tanks(text, item, animals)
    if event == "livestock_moved" or (event == "livestock_added" and is_move(text, moved, animals)):
        item, used = moved, used | ways
    return Claim((item,), used, weigh(text.tokens, used, plausible), shares - used)
