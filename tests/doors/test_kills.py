"""Killed at random moments under load and injected faults: nothing lost, nothing stored twice (short form)."""

from tests.kills import sweep


def test_a_dozen_kills_lose_nothing_and_store_nothing_twice():
    tally = sweep(kills=12, seed=7)
    assert tally.is_good, tally
    assert tally.said > 40 and tally.pings > 0
