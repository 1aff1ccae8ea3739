"""A simulated month of water and supplies, against a tally kept by hand."""

from __future__ import annotations

from datetime import timedelta

import pytest

from bot.items import Event
from bot.store.database import rows
from tests.assistant.team import Chat
from tests.assistant.water_month import (
    BEGINNING,
    DAYS,
    DELIVERY_DAYS,
    FIRST_DAY,
    OPENING_KG,
    YIELD_G_L,
    ZONE,
    Month,
    tanks,
    team,
)

WARM_UP = FIRST_DAY + timedelta(days=14)


@pytest.fixture(scope="module")
def month() -> Month:
    found = tanks()
    played = Month(Chat(team(found), BEGINNING), found)
    played.run()
    return played


def test_the_line_of_the_evening_is_within_five_per_cent_of_what_is_drawn_the_next_day(month: Month) -> None:
    judged = [day for day in month.drawn if day >= WARM_UP]
    assert len(judged) >= 20
    off = {day: (month.forecast.get(day, 0.0), month.drawn[day]) for day in judged}
    assert {d: o for d, o in off.items() if abs(o[0] - o[1]) > 0.05 * o[1]} == {}


def test_every_change_of_salt_water_names_its_batch(month: Month) -> None:
    changes = [i for i in month.chat.in_force() if isinstance(i, Event) and i.event == "water_change"]
    reefs = {t.name for t in month.tanks if t.is_salt}
    salt = [c for c in changes if c.tank in reefs]
    assert len(salt) == sum(
        t.is_due(FIRST_DAY + timedelta(days=n)) for t in month.tanks if t.is_salt for n in range(DAYS)
    )
    assert [c for c in salt if c.batch is None] == []


def test_stock_equals_the_hand_count_after_fifty_and_more_uses(month: Month) -> None:
    assert month.uses > 50
    told = month.chat.say("petra", "no3 kits?")
    for who in ("ines", "tomasz"):
        assert f"van {who.capitalize()} {month.kits[who]}" in told
    assert f"salt: shop {month.salt_kg:.1f}".rstrip("0").rstrip(".") in month.chat.say("petra", "salt?")


def test_no_run_out_comes_unannounced_or_later_than_a_delivery_takes(month: Month) -> None:
    assert min(month.salt_low.values()) > 0
    warned = [at for at, to, text in month.said if to == "petra" and "Runs out" in text and "salt" in text]
    assert warned
    assert month.mixed_kg > OPENING_KG, "without a delivery it would have run out"
    spent_a_day = sum(t.change_L / t.every_weeks for t in month.tanks if t.is_salt) * YIELD_G_L / 1000 / 7
    left = [month.salt_low[at.astimezone(ZONE).date()] for at in warned]
    assert [kg for kg in left if kg / spent_a_day < DELIVERY_DAYS] == []


def test_nobody_is_asked_which_water_it_was_where_only_one_fits(month: Month) -> None:
    asked = rows(month.chat.db, "select text from outbox where text like '%From which water%'")
    assert asked == []
