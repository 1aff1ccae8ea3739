"""The water of the days ahead: earlier days draw first, new water has its rest, with a reserve."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from bot.rules import forecast as rules
from bot.rules.forecast import Draw, Ready, Rest

NOW = datetime(2026, 3, 10, 17, tzinfo=UTC)
TODAY = NOW.date()
REST = {"salt": Rest(24, 12, 0.1, 10), "fresh": Rest(0, 0, 0.1, 10)}


def _start(day: date) -> datetime:
    return datetime.combine(day, time(8, 30), UTC)


def _days(draws, ready=(), now=NOW):
    starts = {d.day: _start(d.day) for d in draws}
    return rules.days(draws, ready, starts, REST, now)


def _on(n: int) -> date:
    return TODAY + timedelta(days=n)


def _water(litres: float, since_h: float = 0, until_days: float = 14, number: int = 1) -> Ready:
    return Ready("salt", litres, NOW + timedelta(hours=since_h), NOW + timedelta(days=until_days), number)


# Source: brief V1, worked: 340 L needed, 210 there: 130 short and a reserve.
def test_what_is_short_is_mixed_with_a_reserve():
    (day,) = _days([Draw(_on(2), "Elm", "salt", 340)], [_water(210)])
    assert (day.need_L, day.ready_L, day.mix_L) == (340, 210, 170)
    assert day.by == _start(_on(2)) - timedelta(hours=24)


def test_tomorrow_leaves_only_the_short_rest():
    (day,) = _days([Draw(_on(1), "Elm", "salt", 100)])
    assert (day.by, day.rests_h) == (_start(_on(1)) - timedelta(hours=12), 12)


def test_where_even_that_is_too_late_no_time_is_named():
    (day,) = _days([Draw(_on(1), "Elm", "salt", 100)], now=_start(_on(1)) - timedelta(hours=3))
    assert day.is_short and day.by is None


def test_the_first_day_takes_the_water_of_the_next():
    first, second = _days([Draw(_on(1), "Elm", "salt", 80), Draw(_on(2), "Fir", "salt", 60)], [_water(100)])
    assert (first.is_short, second.ready_L, second.mix_L) == (False, 20, 50)


def test_water_that_still_rests_then_does_not_count():
    first, second = _days([Draw(_on(1), "Elm", "salt", 50), Draw(_on(2), "Elm", "salt", 50)], [_water(100, since_h=20)])
    assert (first.ready_L, second.ready_L) == (0, 100)


def test_water_past_its_use_by_does_not_count():
    (day,) = _days([Draw(_on(3), "Elm", "salt", 50)], [_water(100, until_days=2)])
    assert day.ready_L == 0


def test_fresh_and_salt_water_are_two_sums():
    found = _days([Draw(_on(1), "Elm", "salt", 50), Draw(_on(1), "Pond", "fresh", 70)], [_water(100)])
    assert {d.kind: (d.need_L, d.is_short) for d in found} == {"salt": (50, False), "fresh": (70, True)}


def test_a_tank_takes_the_middle_of_what_it_took():
    assert rules.usual_L([80, 82, 200]) == 82
    assert rules.usual_L([]) is None


@settings(max_examples=25)
@given(st.lists(st.tuples(st.integers(1, 6), st.floats(1, 300)), min_size=1, max_size=12), st.floats(0, 900))
def test_what_is_mixed_as_told_is_always_enough(needs, stock):
    """Ready water and all that each day's line says to mix cover the needs of all days."""
    draws = [Draw(_on(n), f"Tank {i}", "salt", litres) for i, (n, litres) in enumerate(needs)]
    found = _days(draws, [_water(stock)])
    assert all(d.ready_L + d.mix_L >= d.need_L * 0.99 for d in found)
    assert stock + sum(d.mix_L for d in found) >= sum(d.litres for d in draws) * 0.99
