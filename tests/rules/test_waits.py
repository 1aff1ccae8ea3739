"""Lengths and ends of waits. The figures are the table of the team's contract with its technicians (section 5)."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from bot.rules import waits

NEW_YORK = ZoneInfo("America/New_York")
# kind, step, default, shortest, longest (minutes), class
TABLE = [
    ("bleach_soak", None, 30, 10, 120, "hurt"),
    ("rinse_soak", "rinse", 15, 10, None, "plain"),
    ("rinse_soak", "neutralise", 15, 10, None, "plain"),
    ("mix_rest", None, 24 * 60, 12 * 60, 7 * 24 * 60, "spoil"),
    ("float", None, 20, 15, 60, "hurt"),
    ("drip", None, 60, 30, 120, "hurt"),
    ("settle", None, 120, 30, 24 * 60, "plain"),
    ("pump_off", None, 15, 0, 60, "hurt"),
    ("dip", None, None, 0, None, "hurt"),
    ("quarantine", None, 30 * 24 * 60, 21 * 24 * 60, None, "plain"),
    ("other", None, None, 0, None, "plain"),
]


@pytest.mark.parametrize(("wait", "step", "default", "shortest", "longest", "cls"), TABLE)
def test_each_kind_has_the_lengths_and_the_class_agreed(wait, step, default, shortest, longest, cls):
    kind = waits.kind_of(wait, step)
    assert (kind.default, kind.shortest, kind.longest, kind.cls) == (default, shortest, longest, cls)


@pytest.mark.parametrize(("wait", "step"), [(row[0], row[1]) for row in TABLE])
def test_more_time_never_goes_past_the_longest(wait, step):
    kind = waits.kind_of(wait, step)
    start = datetime(2026, 3, 3, 10, tzinfo=UTC)
    due = waits.extended(kind, start, waits.after(start, 5), waits.after(start, 30), 10_000)
    assert kind.longest is None or waits.minutes_between(start, due) <= kind.longest


def test_a_team_sets_its_own_lengths():
    kind = waits.kind_of("float", own={"float": {"default": 25, "longest": 40}})
    assert (kind.default, kind.shortest, kind.longest) == (25, 15, 40)


def test_a_dip_and_a_course_have_no_length_of_their_own():
    assert waits.length(waits.kind_of("dip"), None) is None
    assert waits.length(waits.kind_of("other", subject="copper course"), None) is None
    assert waits.length(waits.kind_of("dip"), None, (4.0, "Dr Fenn's order")).minutes == 4.0


def test_too_long_is_cut_to_the_longest_and_too_short_is_marked():
    kind = waits.kind_of("bleach_soak")
    assert waits.length(kind, 180.0) == waits.Length(120.0, "longest")
    assert waits.length(kind, 5.0) == waits.Length(5.0, "shortest")
    assert waits.length(kind, 20.0) == waits.Length(20.0)


def test_nobody_ends_a_soak_before_its_shortest():
    kind = waits.kind_of("bleach_soak")
    start = datetime(2026, 3, 3, 10, tzinfo=UTC)
    assert not waits.may_end(kind, start, waits.after(start, 9.99))
    assert waits.may_end(kind, start, waits.after(start, 10))


@pytest.mark.parametrize(
    ("start", "end"),
    [
        # Clocks go forward on 8 March 2026 and back on 1 November 2026 in New York (tz database).
        (datetime(2026, 3, 7, 20, 0, tzinfo=NEW_YORK), "2026-03-08T09:00:00-04:00"),
        (datetime(2026, 10, 31, 20, 0, tzinfo=NEW_YORK), "2026-11-01T07:00:00-05:00"),
    ],
)
def test_twelve_hours_over_a_clock_change_are_twelve_hours(start, end):
    assert waits.after(start, 12 * 60) == datetime.fromisoformat(end)


@pytest.mark.parametrize(
    ("subject", "name", "cls"),
    [
        ("check on me", "check on me", "hurt"),
        ("tap running", "water running", "hurt"),
        ("siphoning to bucket", "draining", "hurt"),
        ("silicone on the sump", "cure", "plain"),
        ("nitrate kit", "kit", "plain"),
        ("copper course", "course", "plain"),
        ("call the desk", "timer", "plain"),
    ],
)
def test_other_waits_get_their_class_from_what_they_are(subject, name, cls):
    kind = waits.kind_of("other", subject=subject)
    assert (kind.name, kind.cls) == (name, cls)


def test_a_course_leads_from_bleach_to_the_neutraliser_and_from_float_to_drip():
    assert waits.leads_to(waits.kind_of("bleach_soak"), "rinse")
    assert waits.leads_to(waits.kind_of("bleach_soak"), "neutralise")
    assert waits.leads_to(waits.kind_of("float"), "drip")
    assert not waits.leads_to(waits.kind_of("drip"), "float")
