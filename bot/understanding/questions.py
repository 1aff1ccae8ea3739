"""What is asked: text -> Question(topic, inputs, tank).

The inputs are named as contract section 2 names them; the whole convention, with the words that an input may be
(`ask`, `to_unit`, `reference`, `model`, `strength_basis`, `form` ...), stands at the head of facts/topics.toml.
Each number stays in the unit it was said in; nothing is converted, guessed or refused here: that is the work of science.
"""

from __future__ import annotations

from bot.items import Quantity, Question
from bot.understanding.questions_topic import (
    Found,
    Parts,
    answer_unit,
    asked_for,
    best_topic,
    in_order,
    parts_of,
    renamed,
)
from bot.understanding.questions_words import chemical_in, forms_in, word_inputs
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
    wanted = answer_unit(found.topic, text, parts.loose)
    values = in_order(found.topic, {**found.filling.values, **_completed(found, text)})
    words = word_inputs(found.topic, text) | _more_words(found, text, parts)
    given = frozenset((*values, *words, *(f"{name}:{each.unit}" for name, each in values.items())))
    ask = asked_for(found.topic, given, _said(text), wanted.measures if wanted else None)
    inputs: Inputs = {**renamed(found.topic, ask, values), **words}
    inputs |= {name: word for name, word in (("ask", ask), ("to_unit", wanted and wanted.name)) if word}
    return inputs


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
