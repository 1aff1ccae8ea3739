"""Feeding: "fed", "fed 2 cubes", "fed em nori", "2 cubes mysis", "fish fed flake"."""

from __future__ import annotations

from collections.abc import Iterator

from bot.items import Event
from bot.understanding.animals import Animals, animals_in
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import clause, found_with_plurals, sentence, small_between, timed, word
from bot.understanding.lexicon import Hit, around
from bot.understanding.text import Text
from bot.understanding.units import Measure

_FILL = around("feeding", "fill")
_NOTHING_FED = ("no", "fasted", "fasting")
"""A feeding that was left out on purpose keeps its words as its subject."""

_NO_DEED = around("feeding", "no_deed")


def claims(text: Text) -> Iterator[Claim]:
    """Each feeding with what was fed and how much, where that is said."""
    foods = _foods(text)
    for head in text.hits("words_events", "head"):
        if head.meaning == "feeding" and word(text, head.start - 1) not in _NO_DEED:
            yield from _fed(text, head, foods)
    for food in foods:
        yield from _food_alone(text, food, foods)


def _foods(text: Text) -> list[Hit]:
    return [hit for hit in found_with_plurals(text, "words_events", "thing") if hit.meaning == "feeding"]


def _fed(text: Text, head: Hit, foods: list[Hit]) -> Iterator[Claim]:
    """The verb, and behind it foods, animals and their numbers up to the end of the clause or the next thing said;
    the animals before it ("2 clowns fed") only if nothing else needs them ("lost 2 clowns fed")."""
    used, subject, measure = _meal(text, head.stop, sentence(text, head.start), foods)
    before = frozenset(i for each in animals_in(text) if each.stop == head.start for i in each.span)
    if word(text, head.start) in _NOTHING_FED:
        subject = list(head.span)
    for every in {head.span | used, head.span | used | before}:
        yield Claim((_event(text, subject, measure),), every, weigh(text.tokens, every, 1.1))


def _meal(text: Text, place: int, inside: range, foods: list[Hit]) -> tuple[frozenset[int], list[int], Measure | None]:
    used: set[int] = set()
    subject: list[int] = []
    measure = None
    small: list[int] = []
    while place < inside.stop:
        named = [Animals(f.start, f.stop, f.start) for f in foods if f.start == place]
        named += [animals for animals in animals_in(text) if animals.start == place]
        amount = text.measure_at(place)
        if named:
            stop = max(hit.stop for hit in named)
            subject += range(named[0].named, stop)
            measure = measure or next((m for m in text.measures if m.start == place), None)
        elif amount and _is_portion(text, amount, foods):
            measure, stop = amount, amount.stop
        elif word(text, place) in _FILL:
            small.append(place)
            place += 1
            continue
        elif (past := _past_tank(text, place, foods)) > place:
            place = past
            continue
        else:
            break
        used |= {*small, *range(place, stop)}
        small, place = [], stop
    return frozenset(used), subject, measure


def _past_tank(text: Text, place: int, foods: list[Hit]) -> int:
    """Behind the tank that is fed, and its comma, where food or its number follows: "fed q2, brine shrimp"."""
    stop = next((m.stop for m in text.mentions if m.start == place), place)
    comma = stop == place and word(text, place) == ","
    if stop == place and not (comma and _only_food(text, clause(text, place + 1), foods)):
        return place
    after = stop + (word(text, stop) in (",", ":", "-"))
    measure = text.measure_at(after)
    food = any(hit.start == after for hit in foods) or bool(measure and _is_portion(text, measure, foods))
    return after if food else place


def _only_food(text: Text, inside: range, foods: list[Hit]) -> bool:
    known = {i for hit in foods for i in hit.span} | {i for m in text.measures for i in m.span}
    return bool(len(inside)) and all(i in known or word(text, i) in _FILL or word(text, i) == "and" for i in inside)


def _is_portion(text: Text, measure: Measure, foods: list[Hit]) -> bool:
    """A number is part of the meal with a mass or a spoon behind it, or with a food."""
    water = measure.unit("volume")
    if measure.start in timed(text) or (water and not measure.unit("mass") and water.name in ("gal", "L", "m3")):
        return False
    if measure.unit("mass", "volume", "unsized"):
        return True
    after = next((i for i in range(measure.stop, len(text.tokens)) if word(text, i) not in _FILL), None)
    starts = [*(food.start for food in foods), *(animals.start for animals in animals_in(text))]
    return not measure.units and after in starts


def _food_alone(text: Text, food: Hit, foods: list[Hit]) -> Iterator[Claim]:
    """ "2 cubes mysis", "nori": no verb, but nothing else in the clause."""
    inside = clause(text, food.start)
    number = next((m for m in text.measures if m.stop == food.start and m.start >= inside.start), None)
    start = number.start if number else food.start
    if start != inside.start and not number:
        return
    used, subject, measure = _meal(text, start, inside, foods)
    if used and (len(used) + len(small_between(text, inside.start, inside.stop)) >= len(inside) or number):
        whole = max(used) + 1 >= inside.stop
        yield Claim((_event(text, subject, measure),), used, weigh(text.tokens, used, 0.9 if whole else 0.7))


def _event(text: Text, subject: list[int], measure: Measure | None) -> Event:
    said = text.typed(subject[0], subject[-1] + 1) if subject else None
    quantity = measure.quantity("mass", "volume") if measure else None
    if quantity:
        return Event("feeding", amount=quantity.value, unit=quantity.unit, subject=said)
    whole = measure and measure.number.value.is_integer() and not measure.number.share
    return Event("feeding", count=int(measure.number.value) if measure and whole else None, subject=said)
