"""Which sum a question asks for: the topic whose words are there and whose slots the numbers fill best."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from bot.facts.load import table
from bot.items import Quantity
from bot.understanding.lexicon import Lexicon, phrases
from bot.understanding.questions_amounts import Amount, amounts_in, looks_like_sg, loose_units
from bot.understanding.questions_measures import Context
from bot.understanding.questions_slots import Filling, filled, placed
from bot.understanding.questions_words import (
    chemical_in,
    forms_in,
    no_numbers,
    parameter_in,
    raised_by,
    wanted_unit,
    word_inputs,
)
from bot.understanding.text import Text
from bot.understanding.units import Unit

OTHER = "other"


@cache
def topics() -> tuple[str, ...]:
    """The topics that are sums."""
    return tuple(topic for topic in table("topics") if topic != OTHER)


_NOT_OWN = 3.0
"""What a topic loses that has none of its own words, where another has them and its numbers too."""
_OWN = 1.3
_WEIGHTS = {"strong": (3.0, 5.0), "fair": (0.8, 2.4), "against": (-1.5, 4.5)}
"""What one word of the group is worth, and the most that all of them together are."""


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
    evidence = {t: evidence_for(t, text) + _conversion(t, parts) + _by_numbers(t, parts) for t in topics()}
    likely = {topic: words for topic, words in evidence.items() if words > 0}
    found = [Found(t, words, filled(t, numbers, parts.context, _barred(t, text))) for t, words in likely.items()]
    own = {each.topic for each in found if each.filling.whole and is_told(each)}
    best = max(found, key=lambda each: each.score - (_NOT_OWN if own and each.topic not in own else 0), default=None)
    return _rather(best, found) if best and not _is_judgement(text, best) else None


def _rather(best: Found, found: Sequence[Found]) -> Found:
    """Salt for water that has a salinity already is a change of it (`rather`), where that explains as much."""
    rather = table("question_slots")[best.topic].get("rather", {})
    if not rather or not set(rather["has"]) <= set(best.filling.slots):
        return best
    other = next((each for each in found if each.topic == rather["topic"]), best)
    return other if len(other.filling.slots) >= len(best.filling.slots) else best


def _is_judgement(text: Text, found: Found) -> bool:
    """ "is nitrate 40 too high", "can i add fish": no sum, unless the topic's own words ask for one."""
    if is_strong(found.topic, text):
        return False
    asks_amount = bool(text.hits("words_questions", "asking_amount"))
    return not found.filling.slots or (bool(text.hits("words_questions", "judging")) and not asks_amount)


def _barred(topic: str, text: Text) -> frozenset[str]:
    """Slots that a word rules out: a cylinder has no width."""
    barred = table("question_slots")[topic].get("barred", {})
    said = {word for word in word_inputs(topic, text).values() if word in barred} if barred else set()
    return frozenset(slot for word in said for slot in barred[word])


def is_told(found: Found) -> bool:
    """Whether the words alone tell the topic."""
    return found.words >= _OWN


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
        parameter=_parameter(text, amounts, loose),
        temperature=_only(units, "temperature", ("degF", "degC")),
        length=_only(units, "length", ("in", "cm", "ft", "m", "mm")),
        volume=_only(units, "volume", ("gal", "L")),
    )


def _parameter(text: Text, amounts: Sequence[Amount], loose: Sequence[tuple[int, Unit]]) -> str | None:
    """What the question is about: named, else told by a unit that only it has."""
    units = {i for each in amounts for i in range(each.start + 1, each.stop)} | {place for place, _ in loose}
    named = parameter_in(text, frozenset(units))
    kinds = {unit.measures for each in amounts for unit in each.units}
    return (
        named
        or next((kind for kind in ("alkalinity", "hardness") if kind in kinds), None)
        or raised_by(chemical_in("dose", text))
    )


def _by_numbers(topic: str, parts: Parts) -> float:
    """Two specific gravities speak for a change of salinity and against a concentration; a ratio for bleach."""
    salty = sum(looks_like_sg(each.value) or each.unit("salinity") is not None for each in parts.amounts)
    worth = {"salinity_change": 1.0, "dose": -2.0, "dilution": -2.0}.get(topic, 0.0)
    diluted = 1.5 if topic == "bleach_solution" and any(each.ratio for each in parts.amounts) else 0.0
    return (worth if salty >= 2 else 0.0) + diluted


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
    if {unit.name for _, unit in parts.loose} & {unit.name for each in parts.amounts for unit in each.units}:
        return 0.0
    same = any(wanted & (given & group) or (wanted & group and given & group) for group in _SAME)
    if same:
        return 2.0 if len(parts.amounts) <= 2 else 0.0
    return 0.0 if wanted & {"mass"} and given & {"volume"} else -4.0


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
    return wanted_unit(text, loose, table("question_slots")[topic]["answers"])


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


def renamed(topic: str, ask: str | None, values: Mapping[str, Quantity]) -> dict[str, Quantity]:
    """The values with names that only the question wanted tells: "med at 4 ppm" is where it starts (`rename`)."""
    done = dict(values)
    for old, new in table("question_slots")[topic].get("rename", {}).get(ask or "", {}).items():
        if old in done and new not in done:
            done[new] = done.pop(old)
    return done
