"""Codes of labels: short ones that are no other word, tokens that nobody guesses."""

from hypothesis import given
from hypothesis import strategies as st

from bot.rules.labels import Labelled, free_codes, meaning, token_from, token_in
from bot.team import Tank, Team, Vat


@given(st.binary(min_size=16, max_size=32))
def test_a_token_is_letters_that_a_scan_gives_back(random):
    token = token_from(random)
    assert token_in(f"/start {token}") == token


@given(st.binary(min_size=16, max_size=16), st.binary(min_size=16, max_size=16))
def test_other_bytes_give_another_token(one, other):
    assert one == other or token_from(one) != token_from(other)


def test_other_messages_are_no_scan():
    assert [token_in(t) for t in ("/start", "/start abc", "start pump off", "ph 8.2", "/start " + "a" * 15)] == [
        None
    ] * 5


def test_a_code_is_given_once_and_never_reads_as_a_name():
    team = Team(
        tanks=(Tank("Quarantine 3", data={"label": "Q2"}), Tank("Oak", nicknames=("j2",))), vats=(Vat("Vat 4"),)
    )
    codes = list(free_codes(team))
    assert len(codes) == len(set(codes))
    assert not {"Q2", "J2", "Q3"} & set(codes)


def test_a_token_leads_to_what_it_is_stuck_to():
    team = Team(
        tanks=(Tank("Oak", data={"label_token": "a" * 14}),), vats=(Vat("Vat 1", data={"label_token": "b" * 14}),),
        data={"tools": {"net 3": "c" * 14}},
    )  # fmt: skip
    assert meaning(team, "a" * 14) == Labelled("tank", "Oak")
    assert meaning(team, "b" * 14) == Labelled("vat", "Vat 1")
    assert meaning(team, "c" * 14) == Labelled("tool", "net 3")
    assert meaning(team, "d" * 14) is None
