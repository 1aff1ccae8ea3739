"""Which sum a question asks for: the topic whose words are there and whose slots the numbers fill best."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from bot.facts.load import table
from bot.items import Quantity
from bot.understanding.questions_evidence import Parts, evidence_for, is_strong
from bot.understanding.questions_slots import Filling, filled, placed
from bot.understanding.questions_units import wanted_unit
from bot.understanding.questions_words import word_inputs
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


@dataclass(frozen=True)
class Found:
    """A topic with its evidence in words and its numbers in their slots; `near`: one that explains nearly as much."""

    topic: str
    words: float
    filling: Filling
    near: str | None = None

    @property
    def score(self) -> float:
        return self.words + self.filling.score


def best_topic(text: Text, parts: Parts) -> Found | None:
    """The topic that explains the question best; None where nothing speaks for any."""
    numbers = placed(text, parts.amounts)
    evidence = {topic: evidence_for(topic, text, parts) for topic in topics()}
    likely = {topic: words for topic, words in evidence.items() if words}
    found = [Found(t, words, filled(t, numbers, parts.context, _barred(t, text))) for t, words in likely.items()]
    own = {each.topic for each in found if each.filling.whole and is_told(each)}
    best = max(found, key=lambda each: each.score - (_NOT_OWN if own and each.topic not in own else 0), default=None)
    return _with_near(_rather(best, found), found) if best and not _is_judgement(text, best) else None


_NEAR = 1.0


def _with_near(best: Found, found: Sequence[Found]) -> Found:
    """Told, where another topic that is no kin of it comes so near that a word more or less would have decided."""
    kin = {best.topic} if "rather" not in table("question_slots")[best.topic] else {best.topic, "salinity_change"}
    kin |= {"salt_mix"} if best.topic == "salinity_change" else set()
    others = [each for each in found if each.topic not in kin and each.filling.whole]
    rival = max(others, key=lambda each: each.score, default=None)
    return replace(best, near=rival.topic) if rival and rival.score > best.score - _NEAR else best


def _rather(best: Found, found: Sequence[Found]) -> Found:
    """Salt for water that has a salinity already is a change of it (`rather`), where that explains as much."""
    rather = table("question_slots")[best.topic].get("rather", {})
    values = best.filling.values
    if not rather or not set(rather["has"]) <= set(values):
        return best
    if rather.get("falls") and values["to"].value >= values["from"].value:
        return best
    other = next((each for each in found if each.topic == rather["topic"]), best)
    return other if len(other.filling.slots) >= len(best.filling.slots) else best


def _is_judgement(text: Text, found: Found) -> bool:
    """ "is nitrate 40 too high", "can i add fish": no sum, unless the topic's own words ask for one."""
    if is_strong(found.topic, text):
        return False
    asks_amount = bool(text.hits("words_questions", "asking_amount")) or {"from", "to"} <= set(found.filling.slots)
    return not found.filling.slots or (bool(text.hits("words_questions", "judging")) and not asks_amount)


def _barred(topic: str, text: Text) -> frozenset[str]:
    """Slots that a word rules out: a cylinder has no width."""
    barred = table("question_slots")[topic].get("barred", {})
    said = {word for word in word_inputs(topic, text).values() if word in barred} if barred else set()
    cube = ("width", "height") if topic == "volume" and text.hits("words_questions", "cube") else ()
    return frozenset((*cube, *(slot for word in said for slot in barred[word])))


def is_told(found: Found) -> bool:
    """Whether the words alone tell the topic."""
    return found.words >= _OWN


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
