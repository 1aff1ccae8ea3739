"""Instants and lengths of time against now, with the zone's own offsets."""

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from bot.items import Reading, Situation
from bot.understanding.read import read
from bot.understanding.text import Text

NEW_YORK = ZoneInfo("America/New_York")
TUESDAY = datetime(2026, 4, 14, 10, 20, tzinfo=NEW_YORK)


def behind(text: str, now=TUESDAY, units: str = "us"):
    (instant,) = Text(text, Situation(now, units)).past
    return instant


def ahead(text: str, now=TUESDAY, units: str = "us"):
    (instant,) = Text(text, Situation(now, units)).ahead
    return instant


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("yesterday 4p", "2026-04-13T16:00"), ("4pm yesterday", "2026-04-13T16:00"), ("an hr ago", "2026-04-14T09:20"),
        ("yesterday 18:30", "2026-04-13T18:30"), ("4/10 16:05", "2026-04-10T16:05"), ("mon 2pm", "2026-04-13T14:00"),
        ("since 0940", "2026-04-14T09:40"), ("at nine", "2026-04-14T09:00"), ("half past nine", "2026-04-14T09:30"),
        ("quarter to ten", "2026-04-14T09:45"), ("half an hour ago", "2026-04-14T09:50"),
        ("last night", "2026-04-13T21:00"),
    ],
)  # fmt: skip
def test_an_instant_of_the_past(text, wanted):
    assert behind(text).at == datetime.fromisoformat(wanted).replace(tzinfo=NEW_YORK)


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("tomorrow", "2026-04-15"), ("fri", "2026-04-17"), ("next tue", "2026-04-21"),
        ("on the twentieth", "2026-04-20"),
        ("in 2 days", "2026-04-16"), ("12/31", "2026-12-31"), ("march 5", "2027-03-05"), ("next week", "2026-04-21"),
    ],
)  # fmt: skip
def test_a_day_ahead(text, wanted):
    assert ahead(text).day.isoformat() == wanted


def test_a_date_is_read_in_the_order_of_the_habit():
    assert behind("11/05").day.isoformat() == "2025-11-05"
    assert behind("11/05", units="metric").day.isoformat() == "2025-05-11"
    assert behind("25/12").day.isoformat() == "2025-12-25"


def test_a_day_without_an_hour_is_not_exact():
    assert not behind("sunday").exact and behind("sunday 9am").exact


def test_an_hour_that_is_not_yet_today_is_doubted():
    assert behind("at 4pm").doubt and not behind("at 9am").doubt


def test_elapsed_time_crosses_the_change_of_the_clocks():
    after = datetime(2026, 3, 8, 3, 30, tzinfo=NEW_YORK)
    (item,) = read("an hour ago ph 8.1", Situation(after, tank="Bar", tanks=("Bar",))).items
    assert isinstance(item, Reading) and item.at is not None
    assert item.at.isoformat() == "2026-03-08T01:30:00-05:00"


def test_a_day_before_the_change_has_its_own_offset():
    at = behind("yesterday 4pm", datetime(2026, 3, 8, 12, 0, tzinfo=NEW_YORK)).at
    assert at.isoformat() == "2026-03-07T16:00:00-05:00"


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("90 min", 90), ("1h30", 90), ("1 hr 15 min", 75), ("2 hrs", 120), ("24h", 1440), ("30 days", 43200),
        ("half hour", 30), ("half an hour", 30), ("an hour and a half", 90), ("an hour", 60), ("20m", 20),
        ("2 wks", 20160),
        ("overnight", 840),
    ],
)  # fmt: skip
def test_a_length_of_time(text, minutes):
    (length,) = Text(text, Situation(TUESDAY)).durations
    assert length.minutes == minutes


def test_overnight_lasts_until_the_morning():
    late = datetime(2026, 4, 14, 19, 0, tzinfo=NEW_YORK)
    (length,) = Text("overnight", Situation(late)).durations
    assert length.overnight and length.minutes == 12 * 60
