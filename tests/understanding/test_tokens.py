"""A message cut into tokens: nothing lost, nothing invented."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.understanding.tokens import LONGEST, tokenise


def texts(message: str) -> list[str]:
    return [token.text for token in tokenise(message)]


@given(st.text(max_size=300))
def test_what_lies_between_the_tokens_is_space_or_cannot_be_seen(message):
    place = start = 0
    for token in tokenise(message):
        assert message[token.start : token.end] == token.typed
        assert token.start >= start  # one sign may be several in plain form, all at its place: "‥"
        start = token.start
        assert not any(char.isalnum() for char in message[place : token.start])
        place = token.end
    assert not any(char.isalnum() for char in message[place:])


@pytest.mark.parametrize(
    ("message", "wanted"),
    [
        ("ca420 30g 78f", ["ca", "420", "30", "g", "78", "f"]),
        ("no3:12 NO₂ po40.05", ["no3", ":", "12", "no2", "po4", "0.05"]),
        ("1,350 8,1 .5 1.0.25 8..2", ["1,350", "8,1", ".5", "1.0.25", "8..2"]),
        ("78.4,8.2,1.025", ["78.4", ",", "8.2", ",", "1.025"]),
        ("what's 1½ ℃ µS м³", ["what's", "1", "½", "°", "c", "us", "m3"]),
        ("рН ８．２ café —", ["ph", "8.2", "cafe", "-"]),
        ("p\u200bh \u202e8.2\u202c", ["ph", "8.2"]),
    ],
)
def test_each_spelling_is_cut_where_a_person_would(message, wanted):
    assert texts(message) == wanted


def test_glued_tells_what_stood_together():
    assert [token.glued for token in tokenise("q7 ph 8")] == [False, True, False, False]


def test_no_more_than_the_longest_message_is_cut():
    assert len(tokenise("a " * LONGEST)) == LONGEST // 2
