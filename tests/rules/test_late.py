"""Bursts after silence: several messages at once whose time of writing nobody knows."""

from datetime import UTC, datetime, timedelta

from bot.rules import late

NOW = datetime(2026, 3, 3, 10, 31, tzinfo=UTC)


def ago(*seconds: float) -> list[datetime]:
    return [NOW - timedelta(seconds=s) for s in seconds]


def test_three_within_ten_seconds_after_ten_minutes_of_silence_are_a_burst():
    assert late.burst(ago(0, 2, 5, 1000)) == 3
    assert late.burst(ago(0, 1, 2, 3, 9, 700)) == 5


def test_two_are_none_and_neither_are_three_in_the_middle_of_talk():
    assert late.burst(ago(0, 2, 1000)) == 0
    assert late.burst(ago(0, 2, 5, 60)) == 0
    assert late.burst(ago(0, 8, 20, 1000)) == 0


def test_the_first_messages_of_all_are_none():
    assert late.burst(ago(0, 2, 5)) == 0


def test_two_minutes_old_is_late():
    assert late.is_late(NOW - timedelta(minutes=2), NOW)
    assert not late.is_late(NOW - timedelta(seconds=20), NOW)
