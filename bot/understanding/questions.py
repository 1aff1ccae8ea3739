"""What is asked: text -> Question(topic, inputs, tank).

The inputs are named as contract section 2 names them; the whole convention, with the words that an input may be
(`ask`, `to_unit`, `reference`, `model`, `strength_basis`, `form` ...), stands at the head of facts/topics.toml.
Each number stays in the unit it was said in; nothing is converted, guessed or refused here: that is the work of science.
"""

from __future__ import annotations

from collections.abc import Mapping

from bot.items import Quantity, Question
from bot.understanding.questions_topic import Found, Parts, answer_unit, asked_for, best_topic, in_order, parts_of
from bot.understanding.questions_words import (
    chemical_in,
    forms_in,
    parameter_in,
    word_inputs,
)
from bot.understanding.text import Text

Inputs = dict[str, Quantity | str]


def question_in(text: Text) -> Question:
    """The text taken as one question; `other` where no sum is meant."""
    parts = parts_of(text, _names(text))
    found = best_topic(text, parts)
    if found is None:
        return Question("other", {}, text=text.raw)
    return Question(found.topic, _inputs(found, text, parts), tank=text.situation.tank, text=text.raw)


def _names(text: Text) -> frozenset[int]:
    return frozenset(i for mention in text.mentions if mention.plausible >= 1 for i in mention.span)


def _inputs(found: Found, text: Text, parts: Parts) -> Inputs:
    inputs: Inputs = {**in_order(found.topic, found.filling.values)}
    inputs |= word_inputs(found.topic, text)
    inputs |= _more(found, text, parts, inputs)
    wanted = answer_unit(found.topic, text, parts.loose)
    given = frozenset(inputs) | {f"{name}:{q.unit}" for name, q in inputs.items() if isinstance(q, Quantity)}
    ask = asked_for(found.topic, given, _said(text), wanted.measures if wanted else None)
    if ask:
        inputs["ask"] = ask
    if wanted:
        inputs["to_unit"] = wanted.name
    return inputs


def _said(text: Text) -> frozenset[str]:
    return frozenset(hit.meaning for hit in text.hits("words_questions", "cues"))


def _more(found: Found, text: Text, parts: Parts, inputs: Mapping[str, Quantity | str]) -> Inputs:
    more: Inputs = {}
    parameter = parameter_in(text)
    if found.topic in ("dose", "dilution", "convert") and parameter:
        more["parameter"] = parameter
    chemical = chemical_in(text)
    if found.topic in ("dose", "dechlorination", "treatment", "bleach_solution", "convert") and chemical:
        more["chemical"] = chemical
    if found.topic == "convert":
        given, wanted = forms_in(text, found.filling.slots.get("value"))
        more |= {name: form for name, form in (("form", given), ("to_form", wanted)) if form}
    return more
