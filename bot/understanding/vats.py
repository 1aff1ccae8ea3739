"""Water at the shop beside its mixing: "filled vat b with ro", "fetched 60 gal nsw", "dumped vat a", "vat a clear",
"30 gal left in vat a", "what's in vat a", "water for thursday?", "20% wc from batch 3".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from bot.items import Batch, Event, Item, Reading
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import clause, hits_in, sentence, word
from bot.understanding.lexicon import Hit, around, lexicon
from bot.understanding.names import Mention
from bot.understanding.text import Text
from bot.understanding.units import Measure

TABLE = "words_vats"
_SMALL = around("vats", "small")
_ASKING = around("vats", "asking")
_FROM = ("from", "with", "using", "out")
_SURE = 1.35


def claims(text: Text) -> Iterator[Claim]:
    """What was filled, fetched, emptied or seen at a vat."""
    for vat in _vats(text):
        yield from _filled(text, vat)
        yield from _run_in(text, vat)
        yield from _gone(text, vat)
        yield from _left(text, vat)
        yield from _seen(text, vat)
    yield from _fetched(text)
    for number, place in _numbered(text):
        yield from _seen_of(text, place, number)


def asked(text: Text) -> Iterator[Claim]:
    """What is asked about the water, and the numbers of batches that other words speak of."""
    for vat in _vats(text):
        yield from _asked_of(text, vat)
    yield from _asked_of_all(text)
    yield from _numbers(text)


def numbered(text: Text, items: Sequence[Item]) -> list[Item]:
    """The items with the batch whose number the message names: a change's water, a reading's water.

    What was mixed into a vat just now is no source of a change beside it, unless it is said to be.
    """
    items = [_not_from_mix(text, item, items) for item in items]
    found = list(_numbered(text))
    if len(found) != 1 or any(isinstance(item, Batch) and item.amount is not None for item in items):
        return list(items)
    number, place = found[0]
    head = sentence(text, place).start == place
    return [_of_batch(item, number, head) for item in items]


def _not_from_mix(text: Text, item: Item, items: Sequence[Item]) -> Item:
    """ "mixed 40 gal in vat a, 20% wc brindlemoor": the change is not from vat a."""
    if not isinstance(item, Event) or item.event not in ("water_change", "top_off") or item.vat is None:
        return item
    mixed = any(isinstance(i, Batch) and i.vat == item.vat and i.amount is not None for i in items)
    drawn = any(item.vat in vat.options and _is_source(text, vat) for vat in text.mentions)
    return replace(item, vat=None) if mixed and not drawn else item


def _of_batch(item: Item, number: int, head: bool) -> Item:
    if isinstance(item, Event) and item.event in ("water_change", "top_off"):
        return replace(item, batch=number)
    if isinstance(item, Reading) and (head or item.of == "batch"):
        return replace(item, batch=number, of="batch", tank=None)
    return item


def _vats(text: Text) -> list[Mention]:
    """The vats named; not a part of a name that is only the word for its water ("added 3 L of fresh water")."""
    waters = frozenset(i for hit in lexicon(TABLE, "water").find(text.tokens) for i in hit.span)
    found = (m for m in text.mentions if m.vat and len(m.options) == 1)
    return [m for m in found if m.whole or not {i for i in m.span if word(text, i) not in _SMALL} <= waters]


def _is_source(text: Text, vat: Mention) -> bool:
    """ "topped off 3 gal from vat b": the vat gave water, and took none."""
    return word(text, vat.start) in _FROM or word(text, vat.start - 1) in _FROM


def _filled(text: Text, vat: Mention) -> Iterator[Claim]:
    """ "filled vat b with ro", "topped up vat a with 20 gal", "fetched 60 gal nsw into the barrel"."""
    inside, around_it = clause(text, vat.start), sentence(text, vat.start)
    for verb in hits_in(text, inside, TABLE, "made"):
        waters = _waters(text, around_it)
        water = _water(text, inside)
        lacks = {"fetched": not waters, "added": water is None}
        if not _is_source(text, vat) and not lacks.get(verb.meaning, False):
            yield _made(text, vat.options[0], (verb, *waters), water, vat.span)


def _run_in(text: Text, vat: Mention) -> Iterator[Claim]:
    """ "vat b 55 gal ro in", "60 gal salt water into vat a": nothing but the water and where it went."""
    inside = clause(text, vat.start)
    water, waters = _water(text, inside), _waters(text, inside)
    told = frozenset(i for hit in waters for i in hit.span) | vat.span | (water.span if water else frozenset())
    into = {word(text, vat.start), word(text, inside.stop - 1)} & {"in", "into"}
    if water and waters and into and not _is_source(text, vat) and _only(text, inside, told, _SMALL | _STARTED):
        yield _made(text, vat.options[0], waters, water, vat.span)


_STARTED = around("vats", "started")


def _fetched(text: Text) -> Iterator[Claim]:
    """ "fetched 60 gal nsw": sea water without a vat named."""
    for verb in text.hits(TABLE, "made"):
        inside = clause(text, verb.start)
        sea = [h for h in _waters(text, inside) if h.meaning == "sea"]
        water = _water(text, inside)
        if verb.meaning == "fetched" and sea and water and not any(v.start in inside for v in _vats(text)):
            yield _made(text, None, (verb, *sea), water, frozenset())


def _made(text: Text, vat: str | None, told: Sequence[Hit], water: Measure | None, named: frozenset[int]) -> Claim:
    subject, source = _kind(told)
    quantity = water.quantity("volume") if water else None
    item = Batch(subject, vat, quantity.value if quantity else None, quantity.unit if quantity else None, source=source)
    used = frozenset(i for hit in told for i in hit.span) | (water.span if water else frozenset())
    used |= _small_inside(text, used | named) - named
    return Claim((item,), used, weigh(text.tokens, used, _SURE))


def _kind(told: Sequence[Hit]) -> tuple[str, str | None]:
    """What the water is, by the words used; "water" where only the vat can tell."""
    said = [hit.meaning for hit in told]
    source = next((s for s in ("ro", "tap", "sea") if s in said), None)
    if "sea" in said:
        return "sea", "sea"
    if "salt" in said:
        return "salt", source
    return ("fresh", source) if source or "fresh" in said else ("water", None)


def _gone(text: Text, vat: Mention) -> Iterator[Claim]:
    """ "dumped vat a", "vat a is empty"."""
    inside = clause(text, vat.start)
    for verb in hits_in(text, inside, TABLE, "gone"):
        if not _is_source(text, vat) and _only(text, inside, verb.span | vat.span):
            yield _of_vat(text, "dumped", vat, verb.span | _small_inside(text, frozenset(inside)) - vat.span)


def _left(text: Text, vat: Mention) -> Iterator[Claim]:
    """ "30 gal left in vat a", "vat a has 30 gal left"."""
    inside = clause(text, vat.start)
    water = _water(text, inside)
    hits = hits_in(text, inside, TABLE, "left")
    quantity = water.quantity("volume") if water else None
    if not water or not quantity or not hits or word(text, inside.stop) == "?":
        return
    used = hits[0].span | water.span
    if _only(text, inside, used | vat.span):
        used |= _small_inside(text, frozenset(inside)) - vat.span
        item = Batch("level", vat.options[0], quantity.value, quantity.unit)
        yield Claim((item,), used, weigh(text.tokens, used, _SURE))


def _seen(text: Text, vat: Mention) -> Iterator[Claim]:
    """ "vat a clear", "vat a: 77f, total chlorine 0, clear"."""
    for hit in _looks(text, vat.start):
        yield _of_vat(text, hit.meaning, vat, hit.span)


def _seen_of(text: Text, place: int, number: int) -> Iterator[Claim]:
    """ "batch 3 is clear"."""
    for hit in _looks(text, place):
        yield Claim((Batch(hit.meaning, number=number),), hit.span, weigh(text.tokens, hit.span, _SURE))


def _looks(text: Text, place: int) -> list[Hit]:
    """What is said of how the water looks, and what its strip showed, in the sentence around a place."""
    inside = sentence(text, place)
    if word(text, inside.stop) == "?":
        return []
    strips = hits_in(text, inside, TABLE, "strip")
    taken = frozenset(i for hit in strips for i in hit.span)
    return [*strips, *(h for h in hits_in(text, inside, TABLE, "looks") if not h.span & taken)]


def _of_vat(text: Text, subject: str, vat: Mention, used: frozenset[int]) -> Claim:
    return Claim((Batch(subject, vat.options[0]),), used, weigh(text.tokens, used, _SURE))


def _asked_of(text: Text, vat: Mention) -> Iterator[Claim]:
    """ "vat a", "is vat a ready", "what's in vat a"."""
    inside = clause(text, vat.start)
    mark = word(text, inside.stop) == "?"
    told = hits_in(text, inside, TABLE, "asked")
    alone = vat.whole and vat.stop - vat.start == len(text.tokens)
    if alone or ((mark or told) and _only(text, inside, vat.span, _ASKING) and (mark or _opens(text, inside, told))):
        used = frozenset(range(inside.start, inside.stop + mark))
        yield Claim((Batch("asked", vat.options[0]),), used, weigh(text.tokens, used, _SURE))


def _opens(text: Text, inside: range, told: Sequence[Hit]) -> bool:
    """Without a question mark it is asked where the words of asking come first."""
    return bool(told) and (told[0].start == inside.start or word(text, inside.start) in ("is", "does", "can"))


def _asked_of_all(text: Text) -> Iterator[Claim]:
    """ "water", "how much water do we have", "water for thursday?", "what do i need to mix"."""
    inside = clause(text, 0)
    mark = word(text, inside.stop) == "?"
    for hit in hits_in(text, inside, TABLE, "asked", "all", "forecast"):
        lone = hit.start == inside.start and hit.stop == inside.stop
        days = [w for w in text.ahead if w.start in inside and not w.is_now]
        told = hit.span | {i for w in days for i in w.span}
        plain = (
            (lone and (len(hit.span) > 1 or len(inside) == len(text.tokens)))
            or (days and hit.start == inside.start)
            or len(hit.span) > 2
        )
        if not _only(text, inside, told, _ASKING) or not (mark or plain):
            continue
        used = frozenset(range(inside.start, inside.stop + mark))
        item = Batch("forecast" if hit.meaning == "forecast" or days else "asked", at=days[0].at if days else None)
        yield Claim((item,), used, weigh(text.tokens, used, _SURE))


def _numbers(text: Text) -> Iterator[Claim]:
    """ "from batch 3": the number of a batch; alone with a question mark it is asked about."""
    for number, place in _numbered(text):
        stop = next(m.stop for m in text.measures if m.start > place and m.number.value == number)
        inside = clause(text, place)
        mark = word(text, inside.stop) == "?"
        told = hits_in(text, inside, TABLE, "asked")
        if (mark or told) and _only(text, inside, frozenset(range(place, stop)), _ASKING):
            used = frozenset(range(inside.start, inside.stop + mark))
            yield Claim((Batch("asked", number=number),), used, weigh(text.tokens, used, 1.6))
        starts = {place, place - (word(text, place - 1) in (*_FROM, "of", "the"))}
        for used in (frozenset(range(start, stop)) for start in starts):
            yield Claim((), used, weigh(text.tokens, used, 1.5))


def _numbered(text: Text) -> Iterator[tuple[int, int]]:
    for hit in text.hits(TABLE, "numbered"):
        measure = text.measure_at(hit.stop)
        value = measure.number.value if measure else 0.0
        if value >= 1 and value == int(value):
            yield int(value), hit.start


def _waters(text: Text, inside: range) -> list[Hit]:
    return hits_in(text, inside, TABLE, "water")


def _water(text: Text, inside: range) -> Measure | None:
    """The amount of water in a clause: with a unit of volume that a vat is filled by."""
    found = (m for m in text.measures if m.start in inside and (unit := m.unit("volume")) and unit.name not in _BY_HAND)
    return next(found, None)


_BY_HAND = ("cup", "tsp", "tbsp", "mL", "fl oz")


def _only(text: Text, inside: range, told: frozenset[int], small: frozenset[str] = _SMALL) -> bool:
    """Whether nothing but small words stands beside what was told."""
    return all(i in told or word(text, i) in small or not text.tokens[i].is_word for i in inside)


def _small_inside(text: Text, used: frozenset[int]) -> frozenset[int]:
    """The small words between the first and the last of them."""
    return frozenset(i for i in range(min(used), max(used)) if word(text, i) in _SMALL) if used else used
