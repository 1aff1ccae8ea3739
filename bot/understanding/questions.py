"""What is asked: text -> Question(topic, inputs, tank).

The inputs are named as contract section 2 names them; the whole convention, with the words that an input may be
(`ask`, `to_unit`, `reference`, `model`, `strength_basis`, `form` ...), stands at the head of facts/topics.toml.
Each number stays in the unit it was said in; nothing is converted, guessed or refused here: science does that.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from bot.facts.load import table
from bot.items import Quantity, Question
from bot.understanding.claims import Claim
from bot.understanding.questions_claimed import claim_of, may_ask
from bot.understanding.questions_evidence import Parts, parts_of
from bot.understanding.questions_parts import Clause, clauses_in, part_of
from bot.understanding.questions_topic import OTHER, Found, answer_unit, asked_for, best_topic, in_order, renamed
from bot.understanding.questions_words import chemical_in, forms_in, word_inputs
from bot.understanding.text import Text

Inputs = dict[str, Quantity | str]


def claims(text: Text) -> Iterable[Claim]:
    """What of a message is asked; a value told in a sentence of its own is left to be stored as well."""
    if not may_ask(text):
        return
    for ask in _asks(text):
        claim = claim_of(text, ask.question, ask.part, ask.parts, ask.found, ask.clauses)
        if claim:
            yield claim


def asked(text: Text) -> tuple[Question, ...]:
    """The questions of a text that is nothing else; one of topic `other` where no sum is meant."""
    return tuple(ask.question for ask in _asks(text))


@dataclass(frozen=True)
class _Ask:
    """A question, the part of the text that it was read from, and the clauses that ask it."""

    question: Question
    part: Text
    parts: Parts
    found: Found | None
    clauses: tuple[Clause, ...]


def _asks(text: Text) -> list[_Ask]:
    """One for each asking clause that is a sum of its own, else one for the whole."""
    clauses = clauses_in(text)
    asking = [clause for clause in clauses if clause.asks]
    said = [clause for clause in clauses if not clause.asks]
    each = [_ask(text, [*said, clause], (clause,)) for clause in asking] if len(asking) > 1 else []
    if each and all(ask.found and _has_own(ask, text) for ask in each):
        return _of_one_water(each)
    return [_ask(text, clauses, tuple(asking) or clauses)]


def _ask(text: Text, seen: Sequence[Clause], asking: tuple[Clause, ...]) -> _Ask:
    part = part_of(text, seen)
    parts = parts_of(part, _names(part))
    found = best_topic(part, parts)
    question = Question(OTHER, {}, text=text.raw)
    if found:
        question = _of_new_water(Question(found.topic, _inputs(found, part, parts), text=text.raw))
    return _Ask(question, part, parts, found, asking)


def _of_new_water(question: Question) -> Question:
    """Salt for water that holds none is a mix, however it was asked: "salt for 250 L from 0 to 35 ppt"."""
    start = question.inputs.get("from")
    from_fresh = isinstance(start, Quantity) and start.value == 0 and question.inputs.get("ask") == "salt"
    return replace(question, topic="salt_mix") if question.topic == "salinity_change" and from_fresh else question


def _of_one_water(asks: list[_Ask]) -> list[_Ask]:
    """A further question about the same water takes its volume from the one before."""
    done: list[_Ask] = []
    volume: Quantity | str | None = None
    for ask in asks:
        same = ask.question.topic in table("question_slots")["same_water"]
        if same and volume and "volume" not in ask.question.inputs:
            ask = replace(ask, question=replace(ask.question, inputs={"volume": volume, **ask.question.inputs}))
        volume = ask.question.inputs.get("volume") if same else volume
        done.append(ask)
    return done


def _has_own(ask: _Ask, text: Text) -> bool:
    """Whether a number of the asking clause itself has a place in the sum."""
    clause = ask.clauses[0]
    start, end = text.tokens[clause.start].start, text.tokens[clause.stop - 1].end
    slots = ask.found.filling.slots.values() if ask.found else ()
    return any(start <= ask.part.tokens[amount.start].start < end for amount in slots)


def _names(text: Text) -> frozenset[int]:
    return frozenset(i for mention in text.mentions if mention.plausible >= 1 for i in mention.span)


def _inputs(found: Found, text: Text, parts: Parts) -> Inputs:
    wanted = answer_unit(found.topic, text, parts.loose)
    words = word_inputs(found.topic, text) | _more_words(found, text, parts)
    values = in_order(found.topic, {**_in_one_scale(found, text), **_completed(found, text)})
    given = frozenset((*values, *words, *(f"{name}:{each.unit}" for name, each in values.items())))
    ask = asked_for(found.topic, given, _said(text), wanted.measures if wanted else None)
    inputs: Inputs = {**renamed(found.topic, ask, values), **words}
    inputs = {
        name: each for name, each in inputs.items() if name in table("topics")[found.topic]["inputs"] or name in words
    }
    weighed = found.topic == "convert" and "heavy" in _said(text) and ("lb", "kg")[text.metric]
    more = {
        "ask": ask,
        "to_unit": (wanted and wanted.name) or weighed,
        "unused": _unused(found, text, parts),
        "near": found.near,
        "guessed": _guessed(found, parts),
    }
    inputs |= {name: word for name, word in more.items() if word}
    return inputs


def _guessed(found: Found, parts: Parts) -> str:
    """The values whose unit nobody said, where the habit alone gave it."""
    said = (parts.context.length, parts.context.volume)
    bare = [found.filling.values[name] for name, each in found.filling.slots.items() if each.bare and not each.word]
    return ", ".join(f"{each.value:g} {each.unit}" for each in bare if each.unit in _GUESSED and each.unit not in said)


_GUESSED = ("in", "cm", "gal", "L", "gal/h", "min", "W")


def _in_one_scale(found: Found, text: Text) -> dict[str, Quantity]:
    """Temperatures without a unit that would fall on two scales are all on that of the habit: hot tap 55, cold 12."""
    values = dict(found.filling.values)
    bare = [name for name, each in values.items() if each.unit in ("degF", "degC") and found.filling.slots[name].bare]
    if len({values[name].unit for name in bare}) > 1:
        habit = "degC" if text.metric else "degF"
        values |= {name: replace(values[name], unit=habit) for name in bare}
    return values


def _unused(found: Found, text: Text, parts: Parts) -> str:
    """The numbers that have no place in the sum, as typed."""
    placed = {amount.start for amount in found.filling.slots.values()}
    left = [amount for amount in parts.amounts if amount.start not in placed and not amount.word]
    return ", ".join(text.typed(amount.start, amount.stop) for amount in left)


def _said(text: Text) -> frozenset[str]:
    return frozenset(hit.meaning for hit in text.hits("words_questions", "cues"))


def _completed(found: Found, text: Text) -> dict[str, Quantity]:
    """What the words say without a number of its own: fresh water holds no salt, "10 % daily" comes every day."""
    slots, values = found.filling.slots, found.filling.values
    more: dict[str, Quantity] = {}
    if found.topic == "salinity_change" and "source" not in slots and text.hits("words_questions", "saltless"):
        more["source"] = Quantity(0.0, "ppt")
    changed = slots.get("change") or slots.get("production")
    if found.topic == "dilution" and changed and changed.per and "interval" not in slots:
        more["interval"] = Quantity(1.0, changed.per)
    if found.topic == "heating" and "times" in slots and "power" in slots:
        more["power"] = Quantity(values["power"].value * values["times"].value, values["power"].unit)
    if found.topic == "top_off" and "time" not in slots and "depth" in slots and slots["depth"].per:
        more["time"] = Quantity(1.0, slots["depth"].per)
    if found.topic == "volume" and "length" in slots and text.hits("words_questions", "cube"):
        more |= {side: values["length"] for side in ("width", "height") if side not in slots}
    return more


def _more_words(found: Found, text: Text, parts: Parts) -> dict[str, str]:
    more: dict[str, str | None] = {}
    if found.topic in ("dose", "dilution", "convert"):
        more["parameter"] = parts.context.parameter
    if found.topic in ("dose", "dechlorination", "treatment", "bleach_solution", "convert"):
        more["chemical"] = chemical_in(found.topic, text)
    if found.topic == "convert":
        more["form"], more["to_form"] = forms_in(text, found.filling.slots.get("value"))
    return {name: word for name, word in more.items() if word}
