"""Jobs land on visits, come again by their rhythm, and are closed by the work itself."""

from __future__ import annotations

from datetime import date, timedelta

from bot.items import Event, Reading
from bot.rules.jobs import Job, due_day, is_due, lands, named, shown_by, shown_by_test

TUE = date(2026, 3, 10)
FORTNIGHT = timedelta(days=14)


def test_a_job_for_a_tank_without_a_day_lands_on_its_next_visit():
    assert lands(Job(1, "change carbon", TUE, "Elm"), TUE + FORTNIGHT, TUE + 2 * FORTNIGHT)


def test_a_recurring_job_lands_on_the_visit_nearest_to_its_day():
    lamp = Job(1, "lamp", TUE, "Elm", every_days=274)
    due = TUE + timedelta(days=274)
    assert not lands(lamp, due - timedelta(days=20), due - timedelta(days=6))
    assert lands(lamp, due - timedelta(days=6), due + timedelta(days=8))


def test_done_it_comes_again_after_its_rhythm_and_else_never():
    assert due_day(Job(1, "lamp", TUE, every_days=30, done=TUE)) == TUE + timedelta(days=30)
    assert due_day(Job(1, "call", TUE, done=TUE)) is None
    assert not is_due(Job(1, "lamp", TUE, every_days=30, done=TUE), TUE + timedelta(days=29))


def test_a_job_is_meant_by_its_words():
    jobs = [Job(1, "order salt", TUE), Job(2, "order 2 tube seals", TUE), Job(3, "change carbon", TUE, "Elm lobby")]
    assert [j.fact_id for j in named(jobs, "order salt")] == [1]
    assert [j.fact_id for j in named(jobs, "tube seal")] == [2]
    assert [j.fact_id for j in named(jobs, "carbon elm")] == [3]
    assert [j.fact_id for j in named(jobs, "order")] == [1, 2]
    assert named(jobs, "salt lamp") == [] == named(jobs, "")


def test_work_that_was_told_closes_the_job_that_it_is():
    job = Job(1, "change carbon", TUE, "Elm lobby")
    assert shown_by(Event("filter_service", "Elm lobby", subject="carbon"), job)
    assert not shown_by(Event("filter_service", "Fir bar", subject="carbon"), job)
    assert not shown_by(Event("filter_service", "Elm lobby", subject="skimmer cup"), job)
    assert not shown_by(Event("note", "Elm lobby", subject="carbon"), job)
    assert not shown_by(Event("equipment", "Elm lobby", subject="carbon", state="off"), job)


def test_a_test_that_was_asked_for_is_done_by_its_reading():
    job = Job(1, "retest alk after the dose", TUE, "Elm lobby")
    assert shown_by_test(Reading("alkalinity", 8.2, "dKH", "Elm lobby"), job)
    assert not shown_by_test(Reading("ph", 8.2, "pH", "Elm lobby"), job)
    assert not shown_by_test(Reading("alkalinity", 8.2, "dKH", "Fir bar"), job)
    assert not shown_by_test(
        Reading("alkalinity", 8.2, "dKH", "Elm lobby"), Job(2, "alk bottle empty", TUE, "Elm lobby")
    )
