"""Supplies: "took 2 carbon", "4 bags of salt arrived", "van count strips 14, carbon 3", "salt?"."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from bot.items import Correction, Stock
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import line, past_small, places, word
from bot.understanding.lexicon import Hit, lexicon
from bot.understanding.stock_things import (
    LINK,
    PACK,
    SINGLE,
    TABLE,
    amount_of,
    behind,
    beside,
    one_pack,
    pack_of,
    things_in,
)
from bot.understanding.text import Text
from bot.understanding.units import Measure


def claims(text: Text) -> Iterator[Claim]:
    """Every movement, count and question of supplies."""
    for verb in text.hits(TABLE, "stock"):
        if verb.meaning in ("took", "used", "arrived", "ordered"):
            yield from _moved(text, verb)
        elif verb.meaning == "count":
            yield from _counted(text, verb)
    yield from _put_right(text)


def _put_right(text: Text) -> Iterator[Claim]:
    """ "it was 4 nitrate tests not 40": the number of an earlier entry."""
    for hit in text.hits("words_readings", "not"):
        thing = next((t for t in things_in(text) if hit.start - 2 <= t.stop <= hit.start), None)
        new, old = beside(text, thing) if thing else None, text.measure_at(hit.stop)
        if thing is None or new is None or old is None:
            continue
        quantity = new.quantity("mass", "volume")
        value, unit = (quantity.value, quantity.unit) if quantity else (new.number.value, None)
        item = Correction(
            event="stock", subject=text.typed(thing.start, thing.stop), value=value, unit=unit, old=old.number.value
        )
        start = line(text, thing.start).start
        used = frozenset(range(start if new.start - start <= 3 else min(new.start, thing.start), old.stop))
        yield Claim((item,), used, weigh(text.tokens, used, 1.3))


def _moved(text: Text, verb: Hit) -> Iterator[Claim]:
    """A verb with an amount of something: "took 2 carbon", "arrived: 2 no3 kits lot 27", "4 bags of salt arrived"."""
    inside = line(text, verb.start)
    for thing in things_in(text):
        if thing.start not in inside or not _alone(text, verb, thing):
            continue
        measure, one = amount_of(text, thing), one_pack(text, thing)
        if measure is None and one is None and verb.meaning in ("took", "used"):
            continue
        span = [verb.start, verb.stop - 1, thing.start, thing.stop - 1, *(measure.span if measure else one or ())]
        stop = max(span) + 1
        used = _reach(text, verb, min(span), stop + (word(text, stop) in PACK), thing)
        lot, expiry, told = _lot(text, thing, inside)
        used |= told
        made = claim(text, used, verb.meaning, thing, measure, lot=lot, expiry=expiry)
        each = _each(text, measure, inside)
        if each and measure:
            yield _in_all(text, made, measure.number.value, *each)
            continue
        yield _of_one(text, made, one) if one and measure is None else made


def _of_one(text: Text, made: Claim, one: range) -> Claim:
    """ "took a box of strips"."""
    item = made.items[0]
    assert isinstance(item, Stock)
    return replace(made, items=(replace(item, amount=1.0, pack=word(text, one.start)),))


def _in_all(text: Text, made: Claim, count: float, size: Measure, told: frozenset[int]) -> Claim:
    """So many packs of a size that is said."""
    item, quantity = made.items[0], size.quantity("mass", "volume")
    assert isinstance(item, Stock) and quantity
    used = made.used | told | frozenset(i for i in range(min(told), max(made.used)) if word(text, i) == ",")
    whole = replace(item, amount=count * quantity.value, unit=quantity.unit, pack=None)
    return Claim((whole,), used, weigh(text.tokens, used, 1.2))


def _reach(text: Text, verb: Hit, start: int, stop: int, thing: Hit) -> frozenset[int]:
    """The words of this thing; those of the verb only for the first thing beside it."""
    between = range(verb.stop, thing.start) if verb.stop <= thing.start else range(thing.stop, verb.start)
    others = [t for t in things_in(text) if t.start in between]
    if others:
        measure = amount_of(text, thing)
        first = measure.start if measure else thing.start
        joined = word(text, first - 1) in ("and", "n", "&", "+")
        return frozenset(range(first - joined, thing.stop))
    used = set(range(start, stop))
    tail = stop
    while word(text, tail) in ("from", "in", "the", "to", "shop", "van", "today", "into"):
        tail += 1
    return frozenset(used | set(range(stop, tail)))


def _alone(text: Text, verb: Hit, thing: Hit) -> bool:
    """Between the verb and the thing stand only numbers, other things and small words."""
    between = range(verb.stop, thing.start) if verb.stop <= thing.start else range(thing.stop, verb.start)
    known = places(things_in(text), text.numbers, text.measures)
    free = LINK | {",", "and", "n", "&", "+", "just", "have", "has", "lot", "exp", "/", "expires", "expiry"}
    return all(i in known or word(text, i) in free for i in between) and not _of_a_tank(text, verb)


def _of_a_tank(text: Text, verb: Hit) -> bool:
    return word(text, verb.stop) in ("out", "off", "down", "it", "them", "over")


def _lot(text: Text, thing: Hit, inside: range) -> tuple[str | None, date | None, frozenset[int]]:
    """ "lot 27 exp 2027-03" behind a thing."""
    lot, expiry, used = None, None, set[int]()
    following = [t.start for t in things_in(text) if t.start >= thing.stop]
    for place in range(thing.stop, min(inside.stop, thing.stop + 14, *following)):
        if word(text, place) in ("lot", "batch") and place + 1 < inside.stop:
            stop = _end_of_code(text, place + 1)
            lot, used = text.typed(place + 1, stop), used | set(range(place, stop))
        if word(text, place) in ("exp", "expires", "expiry", "expiring", "use"):
            expiry, stop = month_at(text, past_small(text, place + 1, inside.stop, ("date", ":", ".", "by", "in")))
            used |= set(range(place, stop)) if expiry else set()
    return lot, expiry, frozenset(used)


def _end_of_code(text: Text, place: int) -> int:
    """Where a code ends that is written in one: "N9", "27-B"."""
    stop = place + 1
    while stop < len(text.tokens) and text.tokens[stop].start == text.tokens[stop - 1].end and word(text, stop) != ",":
        stop += 1
    return stop


def _each(text: Text, count: Measure | None, inside: range) -> tuple[Measure, frozenset[int]] | None:
    """The size of each pack behind their number: "2 buckets of salt, 15 kg each"."""
    for size in text.measures:
        behind_it = word(text, size.stop) in ("each", "apiece", "ea")
        if (
            count
            and not count.unit("mass", "volume")
            and size.start in inside
            and size.unit("mass", "volume")
            and behind_it
        ):
            return size, size.span | {size.stop}
    return None


def month_at(text: Text, place: int) -> tuple[date | None, int]:
    """ "2027-03", "03/2027", "march 2027", or a full date."""
    day = next((w for w in text.ahead if w.start == place), None)
    numbers = [text.tokens[i].text for i in range(place, min(place + 3, len(text.tokens)))]
    if len(numbers) == 3 and numbers[1] in ("-", "/") and numbers[0].isdigit() and numbers[2].isdigit():
        pair = sorted((int(numbers[0]), int(numbers[2])))
        if 1 <= pair[0] <= 12 and pair[1] >= 2000:
            return date(pair[1], pair[0], 1), place + 3
    named = lexicon("words_times", "month").at(text.tokens, place)
    year = word(text, named[0].stop) if named else ""
    if named and year.isdigit() and len(year) == 4:
        return date(int(year), int(named[0].meaning), 1), named[0].stop + 1
    return (day.day, day.stop) if day else (None, place)


def _counted(text: Text, verb: Hit) -> Iterator[Claim]:
    """ "van count strips 14, carbon 3": each thing with its number."""
    inside = line(text, verb.start)
    if any(
        word(text, i) not in ("the", "a", "my", "monthly", ":", "van", "shop") for i in range(inside.start, verb.start)
    ):
        return
    place_name = next(
        (h.meaning for h in text.hits(TABLE, "place") if h.start in inside),
        "van" if word(text, verb.start) == "van" else None,
    )
    lead = frozenset(range(inside.start, verb.stop)) | frozenset(i for i in (verb.stop,) if word(text, i) == ":")
    things = [t for t in things_in(text) if t.start in inside and t.start >= verb.stop]
    numbers_first = text.measure_at(verb.stop + (word(text, verb.stop) == ":")) is not None
    how = amount_of if numbers_first else _behind_first
    counted = [(t, m) for t in things if (m := how(text, t))]
    for order, (thing, measure) in enumerate(counted):
        span = (thing.start, thing.stop - 1, *measure.span)
        stop = max(span) + 1 + (word(text, max(span) + 1) in (*PACK, *SINGLE))
        used = frozenset(range(min(span), stop)) | (lead if order == 0 else frozenset())
        yield claim(text, used, "count", thing, measure, place=place_name)


def _behind_first(text: Text, thing: Hit) -> Measure | None:
    """In a list that begins with a thing its numbers stand behind."""
    return behind(text, thing) or amount_of(text, thing)


def claim(
    text: Text, used: frozenset[int], action: str, thing: Hit, measure: Measure | None,
    place: str | None = None, lot: str | None = None, expiry: date | None = None,
) -> Claim:  # fmt: skip
    """What was done with a supply, from its words."""
    quantity = measure.quantity("mass", "volume") if measure else None
    amount = quantity.value if quantity else measure.number.value if measure else None
    unit = quantity.unit if quantity else None
    pack = None if unit else pack_of(text, thing, measure)
    item = Stock(
        text.typed(thing.start, thing.stop), action, amount, unit, place=place, lot=lot, expiry=expiry, pack=pack
    )
    return Claim((item,), used, weigh(text.tokens, used, 1.2))
