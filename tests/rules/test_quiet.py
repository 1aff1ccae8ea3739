"""Quiet hours: 19:00 to 06:30 unless a person has other ones; days off only where they are set."""

from datetime import datetime

from bot.rules import quiet
from bot.team import Person

ANA = Person("ana")


def at(clock: str) -> datetime:
    return datetime.fromisoformat(f"2026-03-03T{clock}:00-05:00")


def test_the_night_is_quiet_and_the_day_is_not():
    assert [quiet.is_quiet(ANA, at(c)) for c in ("06:29", "06:30", "12:00", "18:59", "19:00")] == [
        True, False, False, False, True,
    ]  # fmt: skip


def test_a_person_has_hours_of_their_own():
    late = Person("ben", data={"quiet": {"from": "22:00", "to": "08:00"}})
    assert not quiet.is_quiet(late, at("19:30"))
    assert quiet.is_quiet(late, at("07:30"))


def test_a_day_off_counts_only_where_it_is_set():
    off = Person("cleo", data={"days_off": ["tue"]})
    assert quiet.is_quiet(off, at("12:00"))
    assert not quiet.is_quiet(ANA, at("12:00"))


def test_the_card_comes_next_morning_on_a_day_that_is_not_off():
    assert quiet.card_after(ANA, at("20:00")).isoformat() == "2026-03-04T06:45:00-05:00"
    assert quiet.card_after(Person("d", data={"days_off": ["wed"]}), at("20:00")).day == 5
