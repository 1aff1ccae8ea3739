"""Supplies: "took 2 carbon", "4 bags of salt arrived", "van count strips 14, carbon 3", "salt?"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from bot.items import Stock
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import clause, found_with_plurals, line, past_small, places, word, words
from bot.understanding.lexicon import Hit, around, lexicon
from bot.understanding.text import Text
from bot.understanding.units import Measure

TABLE = "words_setup"
_LINK = around("stock", "link")
_HAVE = around("stock", "have")
_PACK = around("stock", "pack")


def claims(text: Text) -> Iterator[Claim]:
    """Every movement, count and question of supplies."""
    for verb in text.hits(TABLE, "stock"):
        if verb.meaning in ("took", "used", "arrived", "ordered"):
            yield from _moved(text, verb)
        elif verb.meaning == "count":
            yield from _counted(text, verb)
    yield from _asked(text)


def things_in(text: Text) -> list[Hit]:
    """Every supply named; words that stand together are one ("floss rolls"); not the bag that something comes in."""
    joined: list[Hit] = []
    found = found_with_plurals(text, TABLE, "thing")
    packs = [h for h in found if word(text, h.start) in _PACK and _holds(text, h, found)]
    for hit in (h for h in found if h not in packs):
        if joined and joined[-1].stop == hit.start:
            joined[-1] = Hit(joined[-1].start, hit.stop, hit.meaning)
        else:
            joined.append(hit)
    return joined


def _holds(text: Text, pack: Hit, found: Sequence[Hit]) -> bool:
    """ "3 boxes of strips", "salt arrived, 4 bags": the box holds the other thing."""
    behind = past_small(text, pack.stop, pack.stop + 2, ("of", "new"))
    others = [h for h in found if h is not pack and h.start in line(text, pack.start)]
    return any(h.start == behind for h in others) or (len(others) == 1 and not _beside(text, others[0]))


SINGLE = ("test", "tests")


def _packed(text: Text, thing: Hit, measure: Measure | None) -> str | None:
    """The box, bag or kit that is counted, None where single things are."""
    if measure is None:
        return None
    near = (*range(measure.stop, measure.stop + 1), *range(min(measure.stop, thing.start), thing.start))
    said = next((word(text, i) for i in near if word(text, i) in _PACK), None)
    if said or word(text, measure.stop) in SINGLE:
        return said or word(text, measure.stop)
    return "kit" if word(text, thing.stop - 1) in ("kit", "kits") else None


def _moved(text: Text, verb: Hit) -> Iterator[Claim]:
    """A verb with an amount of something: "took 2 carbon", "arrived: 2 no3 kits lot 27", "4 bags of salt arrived"."""
    inside = line(text, verb.start)
    for thing in things_in(text):
        if thing.start not in inside or not _alone(text, verb, thing):
            continue
        measure = _amount(text, thing)
        span = [verb.start, verb.stop - 1, thing.start, thing.stop - 1, *(measure.span if measure else ())]
        if measure is None and verb.meaning in ("took", "used"):
            continue
        stop = max(span) + 1
        used = _reach(text, verb, min(span), stop + (word(text, stop) in _PACK), thing)
        lot, expiry, told = _lot(text, thing, inside)
        used |= told
        yield _claim(text, used, verb.meaning, thing, measure, lot=lot, expiry=expiry)


def _reach(text: Text, verb: Hit, start: int, stop: int, thing: Hit) -> frozenset[int]:
    """The words of this thing; those of the verb only for the first thing beside it."""
    between = range(verb.stop, thing.start) if verb.stop <= thing.start else range(thing.stop, verb.start)
    others = [t for t in things_in(text) if t.start in between]
    if others:
        measure = _amount(text, thing)
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
    free = _LINK | {",", "and", "n", "&", "+", "just", "have", "has", "lot", "exp", "/", "expires", "expiry"}
    return all(i in known or word(text, i) in free for i in between) and not _of_a_tank(text, verb)


def _of_a_tank(text: Text, verb: Hit) -> bool:
    return word(text, verb.stop) in ("out", "off", "down", "it", "them", "over")


def _amount(text: Text, thing: Hit) -> Measure | None:
    """The number beside a thing, else that of its bags elsewhere in the line."""
    return _beside(text, thing) or _in_packs(text, thing)


def _beside(text: Text, thing: Hit) -> Measure | None:
    """The number before a thing ("2 bags of salt"), or behind it ("strips 14")."""
    end = thing.start
    while word(text, end - 1) in _LINK:
        end -= 1
    before = [m for m in text.measures if m.stop in (end, thing.start)]
    after = text.measure_at(past_small(text, thing.stop, thing.stop + 2, (":", "=", "x")))
    return before[0] if before else after


def _in_packs(text: Text, thing: Hit) -> Measure | None:
    """ "salt arrived, 4 bags": the number of bags elsewhere in the line."""
    inside = line(text, thing.start)
    found = [m for m in text.measures if m.start in inside and not m.units and word(text, m.stop) in _PACK]
    return found[0] if len(found) == 1 else None


def _lot(text: Text, thing: Hit, inside: range) -> tuple[str | None, date | None, frozenset[int]]:
    """ "lot 27 exp 2027-03" behind a thing."""
    lot, expiry, used = None, None, set[int]()
    following = [t.start for t in things_in(text) if t.start >= thing.stop]
    for place in range(thing.stop, min(inside.stop, thing.stop + 14, *following)):
        if word(text, place) in ("lot", "batch") and place + 1 < inside.stop:
            lot, used = text.typed(place + 1, place + 2), used | {place, place + 1}
        if word(text, place) in ("exp", "expires", "expiry", "expiring", "use"):
            expiry, stop = month_at(text, past_small(text, place + 1, inside.stop, ("date", ":", ".", "by", "in")))
            used |= set(range(place, stop)) if expiry else set()
    return lot, expiry, frozenset(used)


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
    counted = [(t, m) for t in things if (m := _amount(text, t))]
    for order, (thing, measure) in enumerate(counted):
        span = (thing.start, thing.stop - 1, *measure.span)
        stop = max(span) + 1 + (word(text, max(span) + 1) in (*_PACK, *SINGLE))
        used = frozenset(range(min(span), stop)) | (lead if order == 0 else frozenset())
        yield _claim(text, used, "count", thing, measure, place=place_name)


def _asked(text: Text) -> Iterator[Claim]:
    """ "salt?", "how much carbon do we have", "enough for thursday?"."""
    for thing in things_in(text):
        inside = clause(text, thing.start)
        rest = [i for i in inside if i not in thing.span]
        lone = not rest and word(text, inside.stop) == "?" and inside.start == 0 and inside.stop + 1 >= len(text.tokens)
        said = set(words(text, inside.start, inside.stop))
        have = (
            bool(rest) and all(word(text, i) in _HAVE for i in rest) and bool({"have", "left", "got", "stock"} & said)
        )
        asks = bool({"how", "any", "do", "have", "whats"} & set(words(text, inside.start, inside.start + 2)))
        if lone or (have and asks):
            used = frozenset(range(inside.start, inside.stop + (word(text, inside.stop) == "?")))
            yield Claim((Stock(text.typed(thing.start, thing.stop), "asked"),), used, weigh(text.tokens, used, 1.3))
    for place, token in enumerate(text.tokens):
        if (
            token.text == "enough"
            and word(text, place + 1) == "for"
            and any(w.start in (place + 1, place + 2) for w in text.ahead)
        ):
            inside = clause(text, place)
            used = frozenset(range(inside.start, inside.stop + (word(text, inside.stop) == "?")))
            day = next(w.day for w in text.ahead if w.start in (place + 1, place + 2))
            yield Claim((Stock("load", "asked", due=day),), used, weigh(text.tokens, used, 1.3))


def _claim(
    text: Text, used: frozenset[int], action: str, thing: Hit, measure: Measure | None,
    place: str | None = None, lot: str | None = None, expiry: date | None = None,
) -> Claim:  # fmt: skip
    quantity = measure.quantity("mass", "volume") if measure else None
    amount = quantity.value if quantity else measure.number.value if measure else None
    unit = quantity.unit if quantity else None
    pack = None if unit else _packed(text, thing, measure)
    item = Stock(
        text.typed(thing.start, thing.stop), action, amount, unit, place=place, lot=lot, expiry=expiry, pack=pack
    )
    return Claim((item,), used, weigh(text.tokens, used, 1.2))
