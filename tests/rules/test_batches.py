"""Batches folded from what was said: what stands where, what went out, what suits which tank."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.items import Batch, Event
from bot.rules import batches as rules
from bot.rules.batches import Entry, NewWater, fold

START = datetime(2026, 3, 10, 9, tzinfo=UTC)
TANKS = {"Elm": 400.0, "Fir": 300.0}


def made(
    number: int, litres: float, hour: float, vat: str = "Vat A", subject: str = "salt", salt_g: float = 0.0
) -> Entry:
    item = Batch(subject, vat, litres, "L", number=number, salinity=35.0, salinity_unit="ppt", salt_g=salt_g or None)
    return entry(item, hour)


def drawn(
    tank: str, amount: float, hour: float, batch: int | None = None, unit: str = "L", vat: str | None = "Vat A"
) -> Entry:
    return entry(Event("water_change", tank, vat, amount, unit, batch=batch), hour)


def entry(item: Batch | Event, hour: float) -> Entry:
    return Entry(START + timedelta(hours=hour), "ana", item)


def folded(*entries: Entry, room: float | None = 500.0) -> tuple[NewWater, ...]:
    return fold(entries, lambda tank: TANKS.get(tank or ""), lambda vat: room)


def test_per_cent_are_of_the_tank_that_takes_it():
    (water,) = folded(made(1, 200, 0), drawn("Elm", 20, 1, unit="%"), drawn("Fir", 30, 2))
    assert water.left_L == pytest.approx(200 - 80 - 30)
    assert [(d.tank, d.litres) for d in water.draws] == [("Elm", 80), ("Fir", 30)]


def test_topping_up_a_vat_starts_a_new_batch_of_all_of_it():
    old, new = folded(made(1, 200, 0), drawn("Elm", 150, 1), made(2, 100, 2))
    assert (old.left_L, old.closed) == (0.0, START + timedelta(hours=2))
    assert (new.added_L, new.carried_L, new.left_L) == (100, 50, 150)


def test_a_draw_that_names_no_batch_is_from_what_stands_in_its_vat_then():
    first, second = folded(made(1, 100, 0), drawn("Elm", 40, 1), made(2, 100, 2), drawn("Elm", 30, 3))
    assert (sum(d.litres for d in first.draws), sum(d.litres for d in second.draws)) == (40, 30)


def test_a_draw_told_late_counts_at_its_own_time():
    first, second = folded(made(1, 100, 0), made(2, 100, 4), drawn("Elm", 40, 2))
    assert [d.litres for d in first.draws] == [40]
    assert second.left_L == 160


def test_more_than_the_vat_holds_was_never_left_in_it():
    *_, water = folded(made(1, 400, 0), made(2, 300, 1), room=500)
    assert (water.carried_L, water.made_L) == (200, 500)


def test_what_is_dumped_is_carried_into_nothing():
    *_, water = folded(made(1, 200, 0), entry(Batch("dumped", "Vat A", number=1), 1), made(2, 100, 2))
    assert (water.carried_L, water.left_L) == (0, 100)


def test_a_level_by_eye_goes_before_what_was_reckoned():
    (water,) = folded(
        made(1, 200, 0), drawn("Elm", 50, 1), entry(Batch("level", "Vat A", 120, "L", number=1), 2), drawn("Elm", 20, 3)
    )
    assert water.left_L == 100


def test_vats_do_not_mix():
    a, b = folded(made(1, 200, 0), made(2, 100, 0, "Vat B", "fresh"), drawn("Elm", 50, 1, batch=2, vat="Vat B"))
    assert (a.left_L, b.left_L) == (200, 50)


def test_the_salt_of_what_was_left_stays_in_the_water():
    *_, water = folded(made(1, 200, 0, salt_g=7500), drawn("Elm", 100, 1), made(2, 100, 2, salt_g=3000))
    assert water.salt_g_L == pytest.approx((3750 + 3000) / 200)


@settings(max_examples=25)
@given(st.lists(st.tuples(st.booleans(), st.integers(1, 120)), max_size=12))
def test_no_water_comes_from_nowhere(steps):
    """Whatever is mixed and drawn: what is left is what was mixed less what was drawn, and never below 0."""
    entries, mixed, number = [made(1, 100, 0)], 100.0, 1
    for hour, (mixes, litres) in enumerate(steps, 1):
        number += mixes
        mixed += litres if mixes else 0
        entries.append(made(number, litres, hour) if mixes else drawn("Elm", litres, hour))
    waters = folded(*entries, room=None)
    left, out = sum(w.left_L for w in waters), sum(d.litres for w in waters for d in w.draws)
    assert 0 <= left <= mixed
    assert left >= mixed - out - 1e-6
    assert sum(w.is_there for w in waters) <= 1


# Source: common practice, no source: fresh and salt water are never confused, evaporation is replaced by fresh water.
@pytest.mark.parametrize(
    ("subject", "kind", "event", "fits"),
    [
        ("salt", "reef", "water_change", True),
        ("sea", "cold marine", "water_change", True),
        ("fresh", "reef", "water_change", False),
        ("fresh", "reef", "top_off", True),
        ("salt", "reef", "top_off", False),
        ("salt", "rift lake", "water_change", False),
        ("fresh", "goldfish or pond", "water_change", True),
        ("salt", "brackish", "water_change", None),
        ("fresh", "brackish", "water_change", None),
        ("salt", "quarantine", "water_change", None),
    ],
)
def test_each_water_goes_into_its_own_kind_of_tank(subject, kind, event, fits):
    assert rules.suits(subject, kind, event) is fits


# Source: the trade's handbook, section 2: salt water a day, sea water in the dark, tap water aged, RO needs no rest.
def test_each_source_rests_in_its_own_way():
    assert rules.step_of("salt", "ro") == "mix_rest"
    assert rules.step_of("sea", "sea") == "sea_rest"
    assert rules.step_of("fresh", "tap") == "tap_rest"
    assert rules.step_of("fresh", "ro") is None


# Source: the trade's handbook, section 2: made-up water at most two weeks, natural sea water two to four.
def test_salt_water_keeps_two_weeks_and_sea_water_four():
    salt, sea = folded(made(1, 100, 0), made(2, 100, 0, "Sea barrel", "sea"))
    assert (salt.use_by - START, sea.use_by - START) == (timedelta(days=14), timedelta(days=28))
