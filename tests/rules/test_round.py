"""Visits by rule: from the last one, on their weekday, around moves, skips and closed days."""

from __future__ import annotations

from datetime import date, timedelta
from random import Random

import pytest

from bot.rules.round import Care, Change, Rule, after, grace_days, upcoming

TUE = date(2026, 3, 10)
FORTNIGHT = Rule(14, "tue")


def day(text: str) -> date:
    return date.fromisoformat(text)


def days(care: Care, today: date = TUE, weeks: int = 6) -> list[str]:
    return [str(v.day) for v in upcoming(care, today, today + timedelta(weeks=weeks))]


def test_the_next_visits_follow_the_last_one_by_the_rule():
    assert days(Care("a", FORTNIGHT, day("2026-03-03"), TUE)) == ["2026-03-17", "2026-03-31", "2026-04-14"]


def test_a_visit_on_another_day_does_not_drag_the_others_along():
    assert days(Care("a", FORTNIGHT, day("2026-03-05"), TUE))[0] == "2026-03-17"
    assert days(Care("a", Rule(7, "tue"), day("2026-03-06"), day("2026-03-06")), day("2026-03-07"))[0] == "2026-03-10"


def test_without_a_visit_on_record_the_first_is_on_the_next_such_weekday():
    assert days(Care("a", Rule(7, "thu"), None, TUE), weeks=1) == ["2026-03-12"]


def test_what_was_due_before_today_stands_today_and_is_late_once_its_grace_is_over():
    (first, *_) = upcoming(Care("a", FORTNIGHT, day("2026-02-17"), TUE), TUE, TUE)
    assert (first.due, first.day, first.is_late) == (day("2026-03-03"), TUE, True)
    (first, *_) = upcoming(
        Care("a", FORTNIGHT, day("2026-02-24"), TUE), TUE + timedelta(days=2), TUE + timedelta(days=3)
    )
    assert (first.due, first.day, first.is_late) == (TUE, TUE + timedelta(days=2), False)


def test_a_moved_visit_is_promised_for_its_new_day_and_the_rest_follow_their_rule():
    moved = Change(said=day("2026-03-09"), to=day("2026-03-12"))
    assert days(Care("a", FORTNIGHT, day("2026-02-24"), TUE, (moved,)))[:2] == ["2026-03-12", "2026-03-24"]


def test_a_word_about_a_visit_that_has_been_counts_no_more():
    moved = Change(said=day("2026-02-20"), to=day("2026-02-26"))
    assert days(Care("a", FORTNIGHT, day("2026-02-26"), TUE, (moved,)))[0] == "2026-03-10"


def test_the_last_word_about_a_visit_counts():
    words = (Change(day("2026-03-08"), to=day("2026-03-12")), Change(day("2026-03-09"), to=day("2026-03-13")))
    assert days(Care("a", FORTNIGHT, day("2026-02-24"), TUE, words))[0] == "2026-03-13"


def test_a_visit_left_out_leaves_the_next_one():
    assert days(Care("a", FORTNIGHT, day("2026-02-24"), TUE, (Change(day("2026-03-09")),)))[0] == "2026-03-24"


def test_a_word_about_a_later_visit_leaves_the_next_one_alone():
    later = Change(day("2026-03-09"), due=day("2026-03-24"), to=day("2026-03-26"))
    assert days(Care("a", FORTNIGHT, day("2026-02-24"), TUE, (later,)))[:2] == ["2026-03-10", "2026-03-26"]


def test_a_closed_day_is_gone_around_within_the_promise():
    care = Care("a", FORTNIGHT, day("2026-02-24"), TUE, is_open=lambda d: d.weekday() not in (1, 5, 6))
    (first, *_) = upcoming(care, day("2026-03-08"), day("2026-03-12"))
    assert first.day == day("2026-03-09")
    assert not first.is_late


def test_a_long_closure_puts_the_visit_behind_it_and_it_is_late():
    closed = range(day("2026-03-02").toordinal(), day("2026-03-20").toordinal() + 1)
    care = Care("a", FORTNIGHT, day("2026-02-24"), TUE, is_open=lambda d: d.toordinal() not in closed)
    (first, *_) = upcoming(care, TUE, day("2026-03-31"))
    assert (first.day, first.is_late) == (day("2026-03-21"), True)


def test_a_tank_without_a_rule_is_visited_when_somebody_says_so():
    assert days(Care("a", None, None, TUE)) == []
    assert days(Care("a", None, None, TUE, (Change(TUE, to=day("2026-03-13")),))) == ["2026-03-13"]


@pytest.mark.parametrize("every, late", [(1, 0), (7, 1), (14, 3), (28, 7)])
def test_a_promise_bears_so_many_days(every, late):
    assert grace_days(every) == late


@pytest.mark.parametrize("seed", range(40))
def test_over_a_year_no_gap_is_longer_than_the_rule_and_its_grace(seed):
    """Visits made on the planned day, or a day or two off it as happens: the rule is kept all the same."""
    random = Random(seed)
    rule = Rule(random.choice([7, 14, 28]), random.choice(["mon", "tue", "wed", "thu", "fri"]))
    today, last, gaps = TUE, TUE - timedelta(days=rule.every_days), []
    while today < TUE + timedelta(days=365):
        (first, *_) = upcoming(Care("a", rule, last, TUE), today, today + timedelta(days=60))
        came = first.day + timedelta(days=random.choice([0, 0, 0, 1, -1]))
        gaps.append((came - last).days)
        last = today = came
        today += timedelta(days=1)
    assert max(gaps) <= rule.every_days + max(grace_days(rule.every_days), 4)
    assert sum(gaps) / len(gaps) == pytest.approx(rule.every_days, rel=0.05)


def test_the_next_is_never_the_same_day():
    assert after(Rule(1), TUE) == TUE + timedelta(days=1)
    assert after(Rule(7, "tue"), TUE) == TUE + timedelta(days=7)
