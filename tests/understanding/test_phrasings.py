"""Facts written in many ways come back as they were; noise stores nothing.

How many of each: BUCKETBELL_EXAMPLES, 120 unless said. The full run, with five times as much noise:
BUCKETBELL_EXAMPLES=20000 python -m pytest tests/understanding/test_phrasings.py
"""

import os
from dataclasses import replace
from datetime import datetime
from math import isclose

from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from bot.items import Clarify, Correction, Reading, Situation, Understood
from bot.understanding.lexicon import lexicon, vocabulary
from bot.understanding.read import read
from bot.understanding.tokens import tokenise
from tests.understanding.phrasings import TANKS, corrections, messages

NOW = datetime.fromisoformat("2026-04-14T10:20:00-04:00")
EXAMPLES = int(os.environ.get("BUCKETBELL_EXAMPLES", "120"))
OURS = settings(deadline=None, suppress_health_check=list(HealthCheck))


def same_but_for_rounding(one, other) -> bool:
    if type(one) is not type(other):
        return False
    values = [(getattr(one, name), getattr(other, name)) for name in one.__dataclass_fields__]
    return all(a == b or (isinstance(a, float) and isinstance(b, float | int) and isclose(a, b)) for a, b in values)


def as_said(item):
    """Without the words of a wait or an event: how much of them a subject takes is told by the fixtures."""
    return replace(item, subject=None) if hasattr(item, "subject") else item


@settings(OURS, max_examples=EXAMPLES)
@given(messages(NOW))
def test_the_facts_that_were_written_are_read(message):
    found = [as_said(item) for item in read(message.text, message.situation).items]
    wanted = [as_said(item) for item in message.items]
    assert len(found) == len(wanted), (message.text, found)
    assert all(any(same_but_for_rounding(a, b) for b in found) for a in wanted), (message.text, found, wanted)


@settings(OURS, max_examples=max(30, EXAMPLES // 10))
@given(corrections())
def test_a_correction_in_words_is_one(fact):
    (found,) = read(fact.words, Situation(NOW, tank="Q7", tanks=TANKS)).items
    assert isinstance(found, Correction)
    assert same_but_for_rounding(replace(found, tank=None), fact.item), fact.words


NUMBER_WORDS = frozenset(
    word for group in ("cardinal", "scale", "share", "crowd", "point") for word in lexicon("words_times", group).words()
)
LIMITS = lexicon("words_readings", "limit").words()
SALAD = sorted(vocabulary() - NUMBER_WORDS - LIMITS - {"a", "an"})


@settings(OURS, max_examples=5 * EXAMPLES)
@given(st.text(max_size=120))
@example("9**9**9")
@example("ph \u202e8.2")
@example("½½½ ph ½")
@example("1" * 5000)
@example("\ud800 ph 8.2")
def test_noise_raises_nothing_and_is_lost_nowhere(text):
    understood = read(text, Situation(NOW, tank="Q7", tanks=TANKS, vats=("Vat A",), panel=("ph", "temperature")))
    assert isinstance(understood, Understood)
    assert not has_value(understood) or any(
        token.is_number or token.text in NUMBER_WORDS | LIMITS for token in tokenise(text)
    )


@settings(OURS, max_examples=EXAMPLES)
@given(st.lists(st.sampled_from(SALAD), max_size=14).map(" ".join))
def test_words_without_a_number_give_no_reading(text):
    understood = read(text, Situation(NOW, tank="Q7", tanks=TANKS, people=("ana",)))
    assert not any(isinstance(item, Reading) for item in understood.items), understood


@settings(OURS, max_examples=EXAMPLES)
@given(
    st.lists(st.sampled_from([*SALAD, "8.2", "1.025", "78", "20", "ph", ",", "/", "\n", "not", "?"]), max_size=14).map(
        " ".join
    )
)
def test_every_value_that_is_stored_was_typed(text):
    typed = {float(word) for word in text.split() if word.replace(".", "").isdigit()}
    for item in read(text, Situation(NOW, tank="Q7", tanks=TANKS)).items:
        if isinstance(item, Reading) and item.low is None:
            assert item.value in typed | {0.0}, (text, item)


def has_value(understood: Understood) -> bool:
    return any(
        isinstance(item, Reading) or (isinstance(item, Clarify) and item.value is not None) for item in understood.items
    )
