"""Water changes and rinses: there and back, the right way, never past what the water holds."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.items import Quantity
from bot.science.working import Known
from tests.science.asking import first, refused, value, worked

STARTS = st.floats(20, 200)
SHARES = st.floats(5, 90)
TIMES = st.integers(1, 8)


@settings(max_examples=30)
@given(STARTS, st.floats(0, 15), SHARES, TIMES)
def test_the_end_of_changes_gives_back_the_start(start, source, share, times):
    plan = {"source": (source, "mg/L"), "change": (share, "%"), "times": (float(times), "")}
    end = first("dilution", from_=(start, "mg/L"), **plan)
    assert first("dilution", to=(end, "mg/L"), ask="from", **plan) == pytest.approx(start, rel=1e-6)


@settings(max_examples=30)
@given(STARTS, st.floats(0, 15), SHARES, TIMES)
def test_the_end_of_changes_gives_back_the_change(start, source, share, times):
    plan = {"source": (source, "mg/L"), "times": (float(times), ""), "from_": (start, "mg/L")}
    end = first("dilution", change=(share, "%"), **plan)
    if end - source > 1e-6:
        assert first("dilution", to=(end, "mg/L"), **plan) == pytest.approx(share, rel=1e-4)


@settings(max_examples=30)
@given(STARTS, st.floats(5, 60), st.floats(0.2, 0.9))
def test_the_number_of_changes_is_enough_and_one_less_is_not(start, share, left):
    target = start * left
    plan = {"from_": (start, "mg/L"), "change": (share, "%"), "source": (0.0, "mg/L")}
    number = first("dilution", to=(target, "mg/L"), **plan)
    assert first("dilution", times=(number, ""), **plan) <= target * (1 + 1e-6)
    if number > 1:
        assert first("dilution", times=(number - 1, ""), **plan) > target * (1 - 1e-6)


@settings(max_examples=30)
@given(STARTS, SHARES)
def test_larger_and_more_changes_leave_less(start, share):
    plan = {"from_": (start, "mg/L"), "source": (0.0, "mg/L")}
    once = first("dilution", change=(share, "%"), **plan)
    assert first("dilution", change=(share + 5, "%"), **plan) < once
    assert first("dilution", change=(share, "%"), times=(2.0, ""), **plan) < once


@settings(max_examples=20)
@given(st.floats(20, 500), STARTS)
def test_gallons_and_litres_change_the_same_share(gallons, start):
    ways = {"from_": (start, "mg/L"), "to": (start / 2, "mg/L"), "source": (0.0, "mg/L")}
    us = worked("dilution", volume=(gallons, "gal"), **ways)
    metric = worked("dilution", volume=(gallons * 3.785411784, "L"), **ways)
    assert value(us, "water to change", "L") == pytest.approx(value(metric, "water to change", "L"))
    assert (us.figures[0].unit, metric.figures[0].unit) == ("gal", "L")


@settings(max_examples=20)
@given(st.floats(1, 20), st.floats(5, 60), st.floats(0, 10))
def test_the_settled_peak_is_where_many_changes_end(rise, share, source):
    plan = {"production": (rise, "mg/L"), "change": (share, "%"), "source": (source, "mg/L")}
    after = first("dilution", ask="after", **plan)
    assert first("dilution", ask="end", from_=(source, "mg/L"), times=(500.0, ""), **plan) == pytest.approx(after)
    assert first("dilution", ask="peak", **plan) == pytest.approx(after + rise)


def test_the_change_that_holds_a_peak_settles_at_that_peak():
    share = first("dilution", production=(6, "mg/L"), to=(30, "mg/L"), source=(5, "mg/L"))
    settled = first("dilution", ask="peak", production=(6, "mg/L"), change=(share, "%"), source=(5, "mg/L"))
    assert settled == pytest.approx(30)


def test_four_quarters_leave_a_third_and_not_nothing():
    assert first("dilution", from_=(100, "mg/L"), change=(25, "%"), times=(4, "")) == pytest.approx(31.64, abs=0.01)


def test_one_full_volume_run_through_slowly_leaves_more_than_a_third():
    got = first("dilution", from_=(100, "mg/L"), change=(100, "%"), model="continuous", ask="end")
    assert got == pytest.approx(36.79, abs=0.01)


def test_a_slow_exchange_turns_back():
    plan = {"volume": (400.0, "L"), "from_": (50.0, "mg/L"), "model": "continuous", "source": (0.0, "mg/L")}
    volume = first("dilution", to=(20, "mg/L"), ask="change", **plan)
    assert first("dilution", change=(volume, "L"), ask="end", **plan) == pytest.approx(20)


def test_a_slow_exchange_at_a_flow_takes_its_time():
    hours = first("dilution", volume=(400, "L"), from_=(50, "mg/L"), to=(20, "mg/L"), flow=(20, "L/h"), ask="time")
    assert hours == pytest.approx(18.326, abs=0.001)


def test_weekly_changes_are_counted_in_weeks():
    got = worked("dilution", from_=(80, "mg/L"), to=(20, "mg/L"), change=(20, "%"), interval=(1, "week"), ask="time")
    assert got.figures[0].value == pytest.approx(7)
    assert got.figures[0].unit == "week"


def test_two_plans_stand_side_by_side():
    got = worked("dilution", from_=(80, "mg/L"), change=(10, "%"), times=(3, ""), change_2=(30, "%"), times_2=(1, ""))
    assert [each.value for each in got.figures] == pytest.approx([80 * 0.9**3, 80 * 0.7])


def test_the_water_of_the_tank_and_its_last_reading_are_named():
    tank = Known(tank="Oak Street", volume_L=340, readings={"nitrate": Quantity(60, "mg/L")}, habit="metric")
    got = worked("dilution", tank, parameter="nitrate", to=(20, "mg/L"))
    assert got.figures[0].value == pytest.approx(340 * 2 / 3)
    assert sum("Oak Street" in each for each in got.assumed) == 2


def test_new_water_that_was_not_described_is_owned_up_to():
    assert any("new water" in each for each in worked("dilution", from_=(80, "mg/L"), to=(20, "mg/L")).assumed)


def test_a_large_change_at_once_is_warned_of_except_in_an_emergency():
    nitrate = worked("dilution", from_=(80, "mg/L"), to=(20, "mg/L"), parameter="nitrate")
    ammonia = worked("dilution", from_=(2, "mg/L"), to=(0.5, "mg/L"), parameter="ammonia")
    assert any("in one go" in each for each in nitrate.cautions)
    assert not any("in one go" in each for each in ammonia.cautions)


def test_the_sum_works_on_any_scale_that_mixes():
    assert first(
        "dilution", from_=(12, "dKH"), to=(8, "dKH"), source=(4, "dKH"), parameter="alkalinity"
    ) == pytest.approx(50)
    assert first("dilution", from_=(500, "ug/L"), change=(50, "%"), source=(0.1, "mg/L")) == pytest.approx(300)


def test_purified_water_holds_no_salts_and_fresh_water_no_sea_salt():
    kh = {"from_": (12.0, "dKH"), "to": (8.0, "dKH"), "parameter": "alkalinity"}
    assert first("dilution", source="rodi", **kh) == pytest.approx(100 / 3)
    assert "missing" in refused("dilution", source="tap", **kh)
    assert first("dilution", from_=(36, "ppt"), to=(18, "ppt"), source="fresh") == pytest.approx(50)


@settings(max_examples=20)
@given(st.floats(10, 1000), st.floats(0.05, 5), st.floats(1, 50), st.integers(1, 6))
def test_rinses_give_back_their_number(start, held, fresh, times):
    vessel = {"from_": (start, "mg/L"), "held": (held, "L"), "volume": (fresh, "L")}
    left = first("rinse", times=(float(times), ""), **vessel)
    assert first("rinse", to=(left * (1 + 1e-9), "mg/L"), **vessel) == times


@settings(max_examples=20)
@given(st.floats(10, 1000), st.floats(0.05, 5), st.floats(1, 50))
def test_two_small_rinses_beat_one_large(start, held, fresh):
    once = first("rinse", from_=(start, "mg/L"), held=(held, "L"), volume=(fresh, "L"), times=(1, ""))
    twice = first("rinse", from_=(start, "mg/L"), held=(held, "L"), volume=(fresh / 2, "L"), times=(2, ""))
    assert twice < once


def test_a_rinse_is_the_same_in_gallons():
    litres = first("rinse", from_=(200, "mg/L"), held=(1, "L"), volume=(10, "L"), times=(2, ""))
    gallons = first("rinse", from_=(200, "mg/L"), held=(1, "gal"), volume=(10, "gal"), times=(2, ""))
    assert gallons == pytest.approx(litres)


def test_a_rinse_sends_back_to_the_test_strip():
    got = worked("rinse", from_=(200, "mg/L"), held=(5, "%"))
    assert any("total chlorine" in each for each in got.cautions)
    assert any("strip" in each for each in got.assumed)


def test_water_changes_never_pass_what_the_new_water_holds():
    assert "never past it" in refused("dilution", from_=(60, "mg/L"), to=(10, "mg/L"), source=(20, "mg/L"))
