"""Chemicals and medicine put in: "dosed 20 ml alk", "added 9 g buffer", "2 tsp baking soda in", "ferts 5 ml"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from bot.items import Clarify, Event, Item
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import (
    SMALL,
    amount_at,
    clause,
    found_with_plurals,
    past_small,
    small_between,
    timed,
    word,
)  # fmt: skip
from bot.understanding.lexicon import Hit, around, lexicon
from bot.understanding.text import Text
from bot.understanding.units import Measure

_BESIDE_DEED = around("clauses", "beside_deed")
_AMOUNTS = ("volume", "mass", "drops")
_BEHIND = around("doses", "behind")
_NOT_A_PRODUCT = around("doses", "not_a_product")


def claims(text: Text) -> Iterator[Claim]:
    """Each dose, with its amount and what was dosed where they are said; gallons of salt are salt water."""
    filled = (clause(text, m.start) for m in text.mentions if m.vat)
    vats = frozenset(i for c in filled if any(m.unit("volume") and m.start in c for m in text.measures) for i in c)
    doses = list(_doses(text))
    told = (
        claim for claim in (*doses, *_put_right(text, doses)) if not any(_is_salt_water(item) for item in claim.items)
    )
    return (claim for claim in told if not (vats & claim.used and any(_is_bare(item) for item in claim.items)))


def _put_right(text: Text, doses: Sequence[Claim]) -> Iterator[Claim]:
    """ "dosed 15 ml kalk paste? no 50 ml": the amount put right behind what was dosed."""
    words = [lexicon("words_times", group) for group in ("mend", "mend_alike")]
    for claim in doses:
        item, stop = claim.items[0], max(claim.used) + 1
        place = stop + (word(text, stop) in ("?", ",", ".", "-"))
        hits = [hit for each in words for hit in each.at(text.tokens, place)]
        measure = text.measure_at(max(hit.stop for hit in hits)) if hits else None
        quantity = measure.quantity("volume", "mass", "drops") if measure else None
        ends = measure is not None and measure.stop >= clause(text, measure.start).stop
        if isinstance(item, Event) and item.amount is not None and measure and quantity and ends:
            used = claim.used | frozenset(range(stop, measure.stop))
            right = replace(item, amount=quantity.value, unit=quantity.unit)
            yield Claim((right,), used, weigh(text.tokens, used, 1.4))


def _is_bare(item: Item) -> bool:
    """Nothing but "salt in", which beside water in a vat mixes it."""
    return isinstance(item, Event) and item.amount is None and (item.subject or "salt").lower() == "salt"


def _is_salt_water(item: Item) -> bool:
    salt = isinstance(item, Event) and (item.subject or "").lower() in ("salt", "sea salt", "marine salt")
    return salt and getattr(item, "unit", None) in ("gal", "L", "m3")


def _doses(text: Text) -> Iterator[Claim]:
    products = [hit for hit in found_with_plurals(text, "words_events", "thing") if hit.meaning == "dose"]
    for verb in text.hits("words_events", "head"):
        if verb.meaning == "dose" and word(text, verb.start - 1) not in _BESIDE_DEED:
            yield from _by_verb(text, verb, products, sure=True)
    for verb in text.hits("words_events", "verb"):
        if verb.meaning == "dose" and word(text, verb.start) != "in":
            yield from _by_verb(text, verb, products, sure=False)
    for product in products:
        yield from _without_verb(text, product)


def _by_verb(text: Text, verb: Hit, products: list[Hit], sure: bool) -> Iterator[Claim]:
    """The verb, then amount and product in either order; "added" alone needs a mass, a product or a spoon."""
    inside = clause(text, verb.start)
    place = _past_pinch(text, verb.stop, inside)
    measure = None if _product(products, place, inside) else _measure(text, place)
    product = _product(products, past_small(text, measure.stop if measure else place, inside.stop), inside)
    if product and measure is None:
        measure = _measure(text, past_small(text, product.stop, inside.stop))
    if sure and (product is None or word(text, verb.start) == "dose"):
        product = next((p for p in products if p.stop == verb.start and p.start >= inside.start), product)
    if sure and product is None:
        product = _product(products, verb.start, inside)  # "salt in"
    subject = (product.start, product.stop) if product else _unknown(text, verb, measure, inside) if sure else None
    if sure or product or (measure and measure.unit("mass", "drops")):
        yield _claim(text, verb, measure, subject, inside, 1.1 if product or sure else 0.9)
    if sure and (measure or subject):
        yield _claim(text, verb, None, None, inside, 0.8)


def _past_pinch(text: Text, place: int, inside: range) -> int:
    """Past small words; "a pinch of" is no amount that could be kept."""
    place = past_small(text, place, inside.stop)
    vague = word(text, place) in ("pinch", "dash", "handful", "squirt", "splash", "bit", "little", "scoop", "capful")
    return past_small(text, place + 1, inside.stop) if vague and not text.measure_at(place) else place


def _measure(text: Text, place: int) -> Measure | None:
    measure = amount_at(text, place)
    return measure if measure and (not measure.units or measure.unit(*_AMOUNTS, "unsized")) else None


def _product(products: list[Hit], place: int, inside: range) -> Hit | None:
    return next((p for p in products if p.start == place and p.stop <= inside.stop), None)


def _unknown(text: Text, verb: Hit, measure: Measure | None, inside: range) -> tuple[int, int] | None:
    """A product that no table knows: the words after "dosed" or after its amount."""
    start = past_small(text, measure.stop if measure and measure.start >= verb.stop else verb.stop, inside.stop)
    stop = start
    while stop < inside.stop and stop - start < 3 and _may_name(text, stop):
        stop += 1
    return (start, stop) if stop > start else None


def _may_name(text: Text, place: int) -> bool:
    token = text.tokens[place]
    named = any(m.start <= place < m.stop and m.plausible >= 1 for m in text.mentions)
    return token.is_word and not named and token.text not in _NOT_A_PRODUCT and place not in timed(text)


def _without_verb(text: Text, product: Hit) -> Iterator[Claim]:
    """ "2 tsp baking soda in", "40ml cacl2", "kalk 2 L dosed": an amount beside it that is no concentration."""
    inside = clause(text, product.start)
    after = _measure(text, past_small(text, product.stop, inside.stop))
    before = next((m for m in text.measures if m.stop == _back(text, product.start, inside.start)), None)
    for measure, plausible in ((after, 0.9), (before, 1.0)):
        if (
            measure
            and measure.unit(*_AMOUNTS, "unsized")
            and measure.start not in timed(text)
            and measure.start >= inside.start
        ):
            yield _claim(text, None, measure, (product.start, product.stop), inside, plausible)
    if inside.start == product.start and _ends(text, product.stop, inside):
        yield _claim(text, None, None, (product.start, product.stop), inside, 0.5)


def _back(text: Text, place: int, start: int) -> int:
    while place > start and word(text, place - 1) in ("of", "the"):
        place -= 1
    return place


def _ends(text: Text, place: int, inside: range) -> bool:
    return place >= inside.stop or (word(text, place) in _BEHIND and place + 1 >= inside.stop)


def _claim(
    text: Text,
    verb: Hit | None,
    measure: Measure | None,
    subject: tuple[int, int] | None,
    inside: range,
    plausible: float,
) -> Claim:
    spans = [(verb.start, verb.stop)] if verb else []
    spans += [(measure.start, measure.stop)] if measure else []
    spans += [subject] if subject else []
    start, stop = min(s for s, _ in spans), max(e for _, e in spans)
    used = frozenset(i for s, e in spans for i in range(s, e)) | small_between(text, start, stop, SMALL | {"in"})
    used |= _tail(text, stop, inside)
    item = _item(text, measure, text.typed(*subject) if subject else None)
    return Claim((item,), used, weigh(text.tokens, used, plausible))


def _tail(text: Text, place: int, inside: range) -> frozenset[int]:
    stop = place
    while stop < inside.stop and word(text, stop) in _BEHIND and not _leads_on(text, stop, inside):
        stop += 1
    return frozenset(range(place, stop))


def _leads_on(text: Text, place: int, inside: range) -> bool:
    """The "in" of "in goldfish" names a tank."""
    return word(text, place) in ("in", "added", "put", "dosed") and any(
        m.start in (place, place + 1) for m in text.mentions
    )


def _may_be_gallons(text: Text, measure: Measure) -> bool:
    """ "added 10g", as a volume of water is typed, where gallons are the habit."""
    glued = text.tokens[measure.number.stop].glued if measure.units else False
    return glued and not text.metric and bool(measure.unit("mass") and measure.unit("volume"))


def _item(text: Text, measure: Measure | None, subject: str | None) -> Item:
    if measure is None:
        return Event("dose", subject=subject)
    quantity = measure.quantity("mass", "volume", "drops")
    said = text.typed(measure.start, measure.stop)
    value = quantity.value if quantity else measure.number.value
    made = Event("dose", amount=value, unit=quantity.unit if quantity else None, subject=subject)
    if quantity is None:
        return Clarify("which_unit", said, value=value, options=("mL", "g", "drop"), about=made)
    if subject is None and _may_be_gallons(text, measure):
        return Clarify("which_unit", said, value=value, options=("g", "gal"), about=replace(made, unit=None))
    if value <= 0:
        return Clarify("unlikely_value", said, value=value, unit=quantity.unit, about=made)
    return made
