"""Courses on an order: the clock, the level, the sums; and that nothing is worked out that the order does not state."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from bot.items import Quantity
from bot.rules import treatments as rules
from bot.rules.treatments import Course, Level

DAY0 = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)
COPPER = {"treatment": "copper", "target": {"value": 0.18, "unit": "mg/L"}, "days": 21, "date": "2026-03-01"}
PRAZI = {"treatment": "praziquantel", "target": {"value": 2, "unit": "mg/L"}, "days": 7, "date": "2026-03-01"}


def level(day, value):
    return Level(DAY0 + timedelta(days=day), value)


def stands(levels, order=COPPER, doses=(), newcomers=(), day=10.0):
    return rules.course(order, levels, doses, newcomers, DAY0 + timedelta(days=day))


@pytest.mark.parametrize(
    ("levels", "day"),
    [
        ([], None),
        ([level(0, 0.05)], None),
        ([level(0, 0.05), level(1, 0.18)], 10),
        ([level(1, 0.18), level(4, 0.17), level(8, 0.19)], 10),  # copper courses count at level (handbook, 14 to 21 d)
        ([level(1, 0.18), level(4, 0.1), level(8, 0.18)], 3),  # it fell: from when it is reached again
        ([level(1, 0.18), level(9, 0.1)], None),  # it has fallen: the clock stands
    ],
)
def test_the_clock_runs_from_when_the_level_was_reached(levels, day):
    assert stands(levels) == Course(day, 21, 0.18)


def test_a_newcomer_starts_the_clock_again_for_all():
    assert stands([level(1, 0.18)], newcomers=[DAY0 + timedelta(days=7)]).day == 4


def test_one_that_no_test_shows_counts_from_its_first_dose():
    assert stands([], PRAZI).day is None
    assert stands([], PRAZI, doses=[DAY0 + timedelta(days=2), DAY0 + timedelta(days=5)]).day == 9


def test_the_dose_is_counted_by_the_strength_of_the_order_or_not_at_all():
    """5 mL of 3 mg/mL are 15 mg (arithmetic)."""
    assert rules.given_mg(5, "mL", COPPER | {"strength": {"value": 3, "unit": "mg/mL"}}) == pytest.approx(15)
    assert rules.given_mg(5, "mL", COPPER) is None
    assert rules.given_mg(5, "g", COPPER | {"strength": {"value": 3, "unit": "mg/mL"}}) is None


def test_an_order_counts_from_its_day_to_its_last_and_not_once_it_is_ended():
    order = COPPER | {"until": "2026-03-22"}
    found = [rules.running([order], date(2026, 3, day)) for day in (1, 22, 23)]
    assert found == [order, order, None]
    assert rules.running([order | {"ended": "2026-03-10"}], date(2026, 3, 11)) is None
    assert rules.running([order, PRAZI], date(2026, 3, 2), "copper") == order


def test_an_unusual_target_is_asked_about_and_a_usual_one_is_not():
    assert rules.above_ceiling("copper", Quantity(2, "mg/L")) is not None
    assert rules.above_ceiling("copper", Quantity(0.18, "mg/L")) is None
    assert rules.above_ceiling("praziquantel", Quantity(2, "mg/L")) is None
    assert rules.above_ceiling("copper", None) is None


def test_clearly_over_and_clearly_missing():
    assert rules.is_over(0.3, 0.18) and not rules.is_over(0.19, 0.18) and not rules.is_over(9, None)
    assert rules.is_missing(0.05, 0.2) and not rules.is_missing(0.15, 0.2)
