"""A value that is only asked about: "is ph 8.2 ok", "would nitrate of 40 harm them", "what does ph 7.8 mean".

The clause opens as a question that is no request to the bot, and holds the value: nothing of it was measured.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bot.items import Quantity, Question
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import clause, places, sentence, word, words
from bot.understanding.lexicon import around
from bot.understanding.pair import Pair
from bot.understanding.pairs import pairs_in
from bot.understanding.text import Text

_GREETINGS = around("asked_values", "greetings")
_VERBS = around("asked_values", "verbs")
_REQUESTS = around("asked_values", "requests")
_SURE = 1.15
"""More than readings and a judgement beside them, less than a sum of which nothing lacks."""


def claims(text: Text) -> Iterator[Claim]:
    """The clause that asks, with its values as inputs: un-ionised ammonia where they give it, else no sum."""
    pairs = [pair for pair in pairs_in(text) if pair.value.unit and not pair.value.why]
    for start in dict.fromkeys(_opening(text, pair) for pair in pairs):
        inside = range(start, clause(text, start).stop)
        asked = [pair for pair in pairs if pair.used <= frozenset(inside)]
        if asked and word(text, start) in _VERBS and not _is_told(text, inside):
            yield _claim(text, inside, asked)


def _is_told(text: Text, inside: range) -> bool:
    """ "can you note ph 8", "was 8.2 now ph 8.0", "is at 8.2": no question about the value."""
    said = words(text, inside.start, inside.stop)
    return said[1] in _REQUESTS or (said[0] == "was" and "now" in said)


def _opening(text: Text, pair: Pair) -> int:
    """The first word of the sentence that is no greeting; a tank's name is one that opens no question."""
    inside = sentence(text, pair.place)
    return next(i for i in inside if i == pair.place or word(text, i) not in _GREETINGS)


def _claim(text: Text, inside: range, asked: Sequence[Pair]) -> Claim:
    mark = word(text, inside.stop) == "?"
    used = frozenset(range(inside.start, inside.stop + mark)) - places(m for m in text.mentions if m.plausible >= 1)
    values: dict[str, Quantity | str] = {p.parameter: Quantity(p.value.value, p.value.unit or "") for p in asked}
    warm = next((q for m in text.measures if m.start in inside and (q := m.quantity("temperature"))), None)
    values = {"temperature": warm, **values} if warm else values
    topic = "free_ammonia" if {"ammonia", "ph"} <= values.keys() else "other"
    judged = {} if topic != "other" else {"about": "limits_of", "parameter": asked[0].parameter}
    return Claim((Question(topic, judged | values, text=text.raw),), used, weigh(text.tokens, used, _SURE))
