"""Which sum a question asks for: the topic whose words are there and whose slots the numbers fill best."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from bot.facts.load import table
from bot.items import Quantity
from bot.understanding.lexicon import Lexicon, phrases
from bot.understanding.questions_amounts import Amount, amounts_in, loose_units
from bot.understanding.questions_measures import Context
from bot.understanding.questions_slots import Filling, filled, placed
from bot.understanding.questions_words import forms_in, no_numbers, parameter_in, wanted_unit
from bot.understanding.text import Text
from bot.understanding.units import Unit

TOPICS: tuple[str, ...] = tuple(
    "salt_mix salinity_change top_off dilution dose bleach_solution dechlorination rinse free_ammonia heating "
    "temperature_blend float_time drip_rate volume turnover treatment oxygen co2 convert".split()
)
_WEIGHTS = {"strong": (3.0, 5.0), "fair": (0.8, 2.4), "against": (-1.5, 4.5)}
"""What one word of the group is worth, and the most that all of them together are."""
_LEAST = 2.0


@dataclass(frozen=True)
class Found:
    """A topic with its evidence in words and its numbers in their slots."""

    topic: str
    words: float
    filling: Filling

    @property
    def score(self) -> float:
        return self.words + self.filling.score


@dataclass(frozen=True)
class Parts:
    """What every topic looks at: the numbers, the units said alone, the context."""

    amounts: tuple[Amount, ...]
    loose: tuple[tuple[int, Unit], ...]
    context: Context
    reported_anew: bool = False


def parts_of(text: Text, taken: frozenset[int] = frozenset()) -> Parts:
    """The numbers and units of a question; `taken` are tokens that are none (a tank's name)."""
    amounts = amounts_in(text, taken | no_numbers(text))
    loose = loose_units(text, amounts)
    anew = len(amounts) == 1 and forms_in(text, amounts[0])[1] is not None
    return Parts(amounts, loose, _context(text, amounts, loose), anew)


def best_topic(text: Text, parts: Parts) -> Found | None:
    """The topic that explains the question best; None where nothing speaks for any."""
    numbers = placed(text, parts.amounts)
    evidence = {topic: evidence_for(topic, text) + _conversion(topic, parts) for topic in TOPICS}
    likely = [topic for topic in TOPICS if evidence[topic] > 0]
    found = [Found(topic, evidence[topic], filled(topic, numbers, parts.context)) for topic in likely]
    best = max(found, key=lambda each: each.score, default=None)
    return best if best and best.words >= _LEAST_WORDS else None


_LEAST_WORDS = 0.5


def evidence_for(topic: str, text: Text) -> float:
    """What the words alone say for the topic."""
    return sum(_capped(text, topic, group, *worth) for group, worth in _WEIGHTS.items())


def is_strong(topic: str, text: Text) -> bool:
    """Whether one of the topic's own words occurs."""
    return bool(_words_of("strong", topic).find(text.tokens))


def _capped(text: Text, topic: str, group: str, one: float, most: float) -> float:
    hits = {tuple(t.text for t in text.tokens[h.start : h.stop]) for h in _words_of(group, topic).find(text.tokens)}
    total = one * min(1, len(hits)) + one / 3 * max(0, len(hits) - 1)
    return max(-most, min(most, total))


@cache
def _words_of(group: str, topic: str) -> Lexicon:
    words = table("words_questions")[group].get(topic, "")
    return Lexicon({topic: phrases(words)})


def _context(text: Text, amounts: Sequence[Amount], loose: Sequence[tuple[int, Unit]]) -> Context:
    units = [unit for each in amounts for unit in each.units if len(each.units) == 1 or each.units[0] is unit]
    units += [unit for _, unit in loose]
    return Context(
        metric=text.metric,
        parameter=parameter_in(text),
        temperature=_only(units, "temperature", ("degF", "degC")),
        length=_only(units, "length", ("in", "cm", "ft", "m", "mm")),
        volume=_only(units, "volume", ("gal", "L")),
    )


def _only(units: Sequence[Unit], measures: str, names: Sequence[str]) -> str | None:
    return next((unit.name for unit in units if unit.measures == measures and unit.name in names), None)


def _conversion(topic: str, parts: Parts) -> float:
    """A unit said alone that measures the same as a number is a conversion."""
    if topic != "convert":
        return 0.0
    if parts.reported_anew:
        return 3.0
    if not parts.loose:
        return 0.0
    wanted = {unit.measures for _, unit in parts.loose}
    given = {unit.measures for each in parts.amounts for unit in each.units}
    given |= {"salinity"} if any(each.bare and 1 < each.value < 1.3 for each in parts.amounts) else set()
    same = any(wanted & (given & group) or (wanted & group and given & group) for group in _SAME)
    return 2.0 if same and len(parts.amounts) <= 2 else 0.0


_SAME = (
    {"volume"},
    {"mass"},
    {"salinity", "conductivity"},
    {"temperature"},
    {"alkalinity", "hardness", "concentration"},
    {"flow"},
    {"length"},
    {"pressure"},
    {"power"},
    {"energy"},
)


def answer_unit(topic: str, text: Text, loose: Sequence[tuple[int, Unit]]) -> Unit | None:
    """The unit that the answer is asked in, where the topic can answer in such a unit."""
    return wanted_unit(text, loose, frozenset(table("question_slots")[topic]["answers"]))


def asked_for(topic: str, slots: frozenset[str], cues: frozenset[str], wanted: str | None) -> str | None:
    """Which unknown is wanted: the first rule of the topic that holds; None where that is the topic's default."""
    for rule in table("question_slots")[topic]["ask"]:
        if _holds(rule, slots, cues, wanted):
            return str(rule["ask"])
    return None


def _holds(rule: Mapping[str, Any], slots: frozenset[str], cues: frozenset[str], wanted: str | None) -> bool:
    return (
        set(rule.get("has", ())) <= slots
        and not set(rule.get("lacks", ())) & slots
        and ("words" not in rule or rule["words"] in cues)
        and ("unit" not in rule or rule["unit"] == (wanted or "none"))
    )


def in_order(topic: str, values: Mapping[str, Quantity]) -> dict[str, Quantity]:
    """The values with pairs that can only rise put in order (`order` of the topic)."""
    done = dict(values)
    for low, high in table("question_slots")[topic].get("order", ()):
        pair = done.get(low), done.get(high)
        if pair[0] and pair[1] and pair[0].unit == pair[1].unit and pair[0].value > pair[1].value:
            done[low], done[high] = pair[1], pair[0]
    return done


def without(found: Found, slot: str) -> Found:
    """The same without a slot."""
    filling = found.filling
    slots = {k: v for k, v in filling.slots.items() if k != slot}
    values = {k: v for k, v in filling.values.items() if k != slot}
    return replace(found, filling=Filling(filling.score, slots, values))
