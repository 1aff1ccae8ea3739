"""Which number of a question goes where: the weights of facts/question_slots.toml over the words around each number.

A number pulls towards a slot by what it can measure, by the cue words before and behind it (the nearer, the stronger)
and by what stands beside it; the assignment with the greatest sum wins.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from math import inf
from typing import Any

from bot.facts.load import table
from bot.items import Quantity
from bot.understanding.lexicon import Hit, lexicon
from bot.understanding.questions_amount import Amount
from bot.understanding.questions_context import Context
from bot.understanding.questions_measures import measured
from bot.understanding.questions_sense import sensible
from bot.understanding.text import Text

_UNUSED = 1.3
_UNUSED_BARE = 0.7
_PAIR = 1.2
_CORE = 1.5
_NO_CORE = -2.0
_CORE_MORE = 0.3


@dataclass(frozen=True)
class Placed:
    """An amount with the cue words before and behind it, each with its pull (1 beside the number); `joined`: how near
    the number before it stands; `named`: the parameter right before it."""

    amount: Amount
    joined: float
    named: str | None
    before: Mapping[str, float]
    after: Mapping[str, float]


@dataclass(frozen=True)
class Filling:
    """Amounts put into the slots of a topic; `score` says how well they fit, `whole` that the sum can live on them."""

    score: float
    slots: Mapping[str, Amount]
    values: Mapping[str, Quantity]
    whole: bool = False


def placed(text: Text, amounts: Sequence[Amount]) -> tuple[Placed, ...]:
    """Each amount with its surroundings."""
    hits = _cues(text, amounts)
    edges = [0, *(a.stop for a in amounts)]
    starts = [*(a.start for a in amounts[1:]), len(text.tokens)]
    return tuple(
        Placed(
            a,
            _nearness(text, edges[i], a.start) if i else 0.0,
            _named(text, a.start),
            _before(text, hits, edges[i], amounts, i),
            _after(text, hits, starts[i], amounts, i),
        )
        for i, a in enumerate(amounts)
    )


def filled(topic: str, numbers: Sequence[Placed], context: Context, barred: frozenset[str] = frozenset()) -> Filling:
    """The best assignment of the numbers to the slots of the topic but the `barred` ones."""
    table_of = _topic(topic)
    open_slots = {name: slot for name, slot in table_of["slots"].items() if name not in barred}
    choices = [_choices(open_slots, each, context) for each in numbers]
    chosen, score = _best(choices, numbers, table_of)
    slots = {slot: numbers[i].amount for i, slot in chosen.items()}
    values = {slot: choices[i][slot].value for i, slot in chosen.items()}
    return Filling(score, slots, values, _wholeness(table_of["core"], frozenset(slots)) > 0)


def _wholeness(cores: Sequence[Sequence[str]], slots: frozenset[str]) -> float:
    """What it is worth that the numbers the sum lives on are there: the more of them, the more."""
    return max((_CORE + _CORE_MORE * len(core) for core in cores if set(core) <= slots), default=_NO_CORE)


@cache
def _topic(topic: str) -> dict[str, Any]:
    found: dict[str, Any] = table("question_slots")[topic]
    return found


def _cues(text: Text, amounts: Sequence[Amount]) -> list[Hit]:
    inside = {i for each in amounts for i in range(each.start, each.stop) if not each.word}
    return [hit for hit in lexicon("words_questions", "cues").find(text.tokens) if not hit.span & inside]


def _before(text: Text, hits: Sequence[Hit], edge: int, amounts: Sequence[Amount], i: int) -> dict[str, float]:
    """Cues between the number before and this one."""
    start = amounts[i].start
    pulls: dict[str, float] = {}
    for hit in hits:
        if edge <= hit.start and hit.stop <= start:
            pulls[hit.meaning] = max(pulls.get(hit.meaning, 0.0), _nearness(text, hit.stop, start))
    if amounts[i].dim:
        pulls[f"@dim{amounts[i].dim}"] = 1.0
    if i and start > edge and text.tokens[edge].text == "of" and amounts[i - 1].unit("volume"):
        pulls["@out_of"] = 1.0
    if i and start - edge <= 3:
        pulls |= _beside(amounts[i - 1], _nearness(text, edge, start))
    return pulls


def _after(text: Text, hits: Sequence[Hit], edge: int, amounts: Sequence[Amount], i: int) -> dict[str, float]:
    """Cues between this number and the next."""
    stop = amounts[i].stop
    pulls: dict[str, float] = {}
    for hit in hits:
        if stop <= hit.start and hit.stop <= edge:
            pulls[hit.meaning] = max(pulls.get(hit.meaning, 0.0), _nearness(text, stop, hit.start))
    if i + 1 < len(amounts) and edge - stop <= 1 and "," not in (t.text for t in text.tokens[stop:edge]):
        pulls |= _beside(amounts[i + 1], _nearness(text, stop, edge))
    return pulls


def _beside(neighbour: Amount, nearness: float) -> dict[str, float]:
    kinds = {unit.measures for unit in neighbour.units}
    kinds |= {"yield"} if neighbour.per and neighbour.unit("mass") else set()
    kinds |= {"fold"} if neighbour.word and not neighbour.units else set()
    return {f"@{kind}": nearness for kind in kinds}


def _nearness(text: Text, start: int, stop: int) -> float:
    """1 side by side, less with each word between; a comma halves it, the end of a sentence leaves little."""
    near = max(0.35, 1.0 - 0.12 * (stop - start))
    if any(start <= hit.start < stop for hit in text.hits("words_questions", "asking_amount")):
        near *= 0.25
    for token in text.tokens[start:stop]:
        if token.kind == "line" or token.text in (".", "?", "!", ";", ":"):
            near *= 0.3
        elif token.text in (",", "and", "then"):
            near *= 0.5
    return near


@dataclass(frozen=True)
class _Fit:
    """How well a number fits a slot, and what it measures there."""

    score: float
    value: Quantity


def _choices(slots: Mapping[str, Any], number: Placed, context: Context) -> dict[str, _Fit]:
    """How well the number fits each slot that it can stand in."""
    fits = {name: _fit(slot, number, context) for name, slot in slots.items()}
    return {name: fit for name, fit in fits.items() if fit is not None}


def _fit(slot: Mapping[str, Any], number: Placed, context: Context) -> _Fit | None:
    pull = sum(weight * number.before.get(cue, 0.0) for cue, weight in slot.get("before", {}).items())
    pull += sum(weight * number.after.get(cue, 0.0) for cue, weight in slot.get("after", {}).items())
    fits = []
    for kind, plain in slot["measures"].items():
        value = measured(number.amount, kind, context)
        if value and not (number.amount.bare and value.value > slot.get("most", inf)):
            likely = context.likely(number.amount, kind, pull) - _MISNAMED * _is_misnamed(number, kind)
            fits.append(_Fit(plain + pull + likely, value))
    return max(fits, key=lambda fit: fit.score, default=None)


def _is_misnamed(number: Placed, kind: str) -> bool:
    """Whether the word right before a number says that it is something else: "ph 6.5" is no nitrate, "kh 70 ppm" no
    CO2."""
    dissolved = number.amount.unit("concentration") and kind in ("concentration", "alkalinity", "hardness")
    other = number.named and kind not in _NAMED.get(number.named, _CONCENTRATION)
    return bool(other and (dissolved or (number.amount.bare and number.named != "co2")))


_MISNAMED = 3.0
_CONCENTRATION = ("concentration", "parameter", "rate")
_NAMED = {
    "ph": ("ph",),
    "temperature": ("temperature", "difference"),
    "alkalinity": ("alkalinity", "parameter", "rate"),
    "hardness": ("hardness", "parameter", "rate"),
    "salinity": ("salinity", "conductivity"),
    "co2": ("concentration",),
}


def _named(text: Text, start: int) -> str | None:
    """The parameter whose name stands right before the number, or before its "at"."""
    hits = [h for h in text.hits("words_questions", "cues") if h.meaning in ("ph", "temperature", "salinity", "co2")]
    hits += text.hits("words_questions", "parameter")
    places = (start, start - 1) if start and text.tokens[start - 1].text in ("at", "is", "of") else (start,)
    return next((hit.meaning for hit in hits if hit.stop in places), None)


def _left_out(amount: Amount) -> float:
    if amount.word:
        return 0.0
    return -_UNUSED_BARE if amount.bare else -_UNUSED


_State = tuple[float, dict[int, str]]
_States = dict[tuple[frozenset[str], str], _State]


def _best(
    choices: Sequence[Mapping[str, _Fit]], numbers: Sequence[Placed], topic: Mapping[str, Any]
) -> tuple[dict[int, str], float]:
    """Goes through the numbers once; keeps the best choice for each set of slots taken and the slot taken last."""
    states: _States = {(frozenset(), ""): (0.0, {})}
    pairs = {frozenset(pair) for pair in topic["pairs"]}
    for i, fits in enumerate(choices):
        grown: _States = {}
        for (used, last), (score, chosen) in states.items():
            _keep(grown, (used, ""), (score + _left_out(numbers[i].amount), chosen))
            for slot, fit in fits.items():
                if slot not in used:
                    pair = _PAIR * numbers[i].joined if frozenset((last, slot)) in pairs else 0.0
                    _keep(grown, (used | {slot}, slot), (score + fit.score + pair, {**chosen, i: slot}))
        states = _likeliest(grown)
    whole = {key: state[0] + _wholeness(topic["core"], key[0]) for key, state in states.items()}
    best = max(whole, key=lambda key: whole[key])
    plain = [{slot: (fit.score, fit.value) for slot, fit in each.items()} for each in choices]
    gain, chosen = sensible(states[best][1], plain, topic)
    return chosen, whole[best] + gain


_WIDTH = 48
"""How many half-made assignments are kept beside one another; a message of many numbers would have thousands."""


def _likeliest(states: _States) -> _States:
    if len(states) <= _WIDTH:
        return states
    return dict(sorted(states.items(), key=lambda entry: -entry[1][0])[:_WIDTH])


def _keep(states: _States, key: tuple[frozenset[str], str], state: _State) -> None:
    if key not in states or states[key][0] < state[0]:
        states[key] = state
