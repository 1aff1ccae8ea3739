"""Salt mixes and changes of salinity: there and back, the right way, the same in both habits, and owned up to."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.items import Quantity
from bot.science.working import Known
from tests.science.asking import first, refused, value, worked

LITRES_IN_GALLON = 3.785411784
LITRES = st.floats(1, 5000)
PURE = {"yield": (100.0, "%")}


@settings(max_examples=20)
@given(LITRES, st.floats(1, 55))
def test_the_salt_of_a_mix_gives_back_its_salinity(litres, ppt):
    salt = first("salt_mix", volume=(litres, "L"), to=(ppt, "ppt"), **PURE)
    assert first("salt_mix", volume=(litres, "L"), added=(salt, "g"), **PURE) == pytest.approx(ppt, rel=1e-6)


@settings(max_examples=20)
@given(LITRES, st.floats(1, 55))
def test_the_salt_of_a_mix_gives_back_its_volume(litres, ppt):
    salt = first("salt_mix", volume=(litres, "L"), to=(ppt, "ppt"), **PURE)
    back = worked("salt_mix", added=(salt, "g"), to=(ppt, "ppt"), **PURE)
    assert value(back, "water", "L") == pytest.approx(litres, rel=1e-6)


@settings(max_examples=20)
@given(LITRES, st.floats(1, 50))
def test_more_water_and_a_higher_target_take_more_salt(litres, ppt):
    salt = first("salt_mix", volume=(litres, "L"), to=(ppt, "ppt"))
    assert first("salt_mix", volume=(litres * 1.1, "L"), to=(ppt, "ppt")) > salt
    assert first("salt_mix", volume=(litres, "L"), to=(ppt + 1, "ppt")) > salt


@settings(max_examples=20)
@given(LITRES, st.floats(1, 55))
def test_gallons_and_litres_take_the_same_salt(litres, ppt):
    metric = first("salt_mix", volume=(litres, "L"), to=(ppt, "ppt"))
    us = first("salt_mix", volume=(litres / LITRES_IN_GALLON, "gal"), to=(ppt, "ppt"))
    assert us == pytest.approx(metric, rel=1e-9)


def test_a_target_in_sg_and_the_same_in_ppt_take_the_same_salt():
    by_sg = first("salt_mix", volume=(40, "L"), to=(1.02661, "SG"), reference="20/20")
    assert by_sg == pytest.approx(first("salt_mix", volume=(40, "L"), to=(35, "ppt")), rel=5e-4)


def test_35_grams_in_a_litre_of_fresh_water_stay_under_34_ppt():
    assert first("salt_mix", volume=(1, "L"), added=(35, "g"), **PURE) == pytest.approx(33.8, abs=0.1)


def test_finished_litres_take_a_little_less_salt_than_litres_of_fresh_water():
    fresh = first("salt_mix", volume=(100, "L"), to=(35, "ppt"), basis="into_fresh")
    assert 0.98 * fresh < first("salt_mix", volume=(100, "L"), to=(35, "ppt"), basis="finished") < fresh


def test_the_measured_yield_of_the_team_is_used_and_named():
    got = worked("salt_mix", Known(salt_g_per_L_at_35=38), volume=(60, "L"), to=(35, "ppt"))
    assert got.figures[0].value == pytest.approx(60 * 38)
    assert any("38 g/L" in each for each in got.assumed)


def test_a_yield_scales_with_the_salinity():
    got = first("salt_mix", volume=(60, "L"), to=(30, "ppt"), **{"yield": (38.0, "g/L")})
    assert got == pytest.approx(60 * 38 * 30 / 35, rel=0.01)


def test_an_unknown_mix_is_owned_up_to_as_dry_salt():
    assert any("dry salt" in each for each in worked("salt_mix", volume=(60, "L"), to=(35, "ppt")).assumed)


def test_a_missing_target_is_the_tanks_or_the_customary_one_and_named():
    assert any("35 ppt" in each for each in worked("salt_mix", volume=(40, "L")).assumed)
    reef = Known(tank="Oak Street", targets={"salinity": Quantity(34, "ppt")})
    got = worked("salt_mix", reef, volume=(40, "L"))
    assert any("34 ppt" in each and "Oak Street" in each for each in got.assumed)


def test_level_cups_stand_beside_the_grams_with_their_mass_named():
    got = worked("salt_mix", volume=(10, "gal"), to=(35, "ppt"))
    assert got.figures[0].unit == "g"
    assert value(got, "salt, level cups") == pytest.approx(got.figures[0].value / 272)
    assert any("272 g" in each for each in got.assumed)


def test_cups_come_first_where_cups_are_asked_for():
    assert worked("salt_mix", volume=(10, "gal"), to=(35, "ppt"), to_unit="cup").figures[0].unit == "cup"


def test_salt_never_goes_dry_into_a_tank_with_animals():
    for topic in ("salt_mix", "salinity_change"):
        got = worked(topic, volume=(90, "gal"), from_=(31, "ppt"), to=(34, "ppt"))
        assert any("never dry salt" in each for each in got.cautions), topic


@settings(max_examples=20)
@given(st.floats(50, 2000), st.floats(20, 40), st.floats(0.1, 0.9))
def test_an_exchange_ends_where_it_was_meant_to(litres, now, towards):
    wanted = now * (1 - towards)
    ways = {"volume": (litres, "L"), "from_": (now, "ppt"), "source": (0.0, "ppt")}
    share = value(worked("salinity_change", to=(wanted, "ppt"), **ways), "share of the water")
    assert first("salinity_change", change=(share, "%"), **ways) == pytest.approx(wanted, rel=1e-6)


@settings(max_examples=20)
@given(st.floats(50, 2000), st.floats(20, 34))
def test_salt_put_in_ends_where_it_was_meant_to(litres, now):
    ways = {"volume": (litres, "L"), "from_": (now, "ppt")} | PURE
    salt = first("salinity_change", to=(now + 2, "ppt"), **ways)
    assert first("salinity_change", added=(salt, "g"), **ways) == pytest.approx(now + 2, rel=1e-6)


def test_a_larger_fall_takes_more_water_and_more_days():
    ways = {"volume": (100.0, "gal"), "from_": (38.0, "ppt"), "source": "fresh"}
    small, large = (worked("salinity_change", to=(to, "ppt"), **ways) for to in (37.0, 34.0))
    assert large.figures[0].value > small.figures[0].value
    assert value(large, "days") > value(small, "days")


def test_the_same_exchange_in_both_habits():
    us = first("salinity_change", volume=(100, "gal"), from_=(38, "ppt"), to=(35, "ppt"), source="fresh")
    metric = first("salinity_change", volume=(378.5411784, "L"), from_=(38, "ppt"), to=(35, "ppt"), source="fresh")
    assert us * LITRES_IN_GALLON == pytest.approx(metric)


def test_without_a_stronger_source_salinity_is_raised_with_salt():
    assert worked("salinity_change", volume=(90, "gal"), from_=(31, "ppt"), to=(34, "ppt")).figures[0].name == "salt"


def test_the_needed_source_makes_the_exchange_end_at_the_target():
    ways = {"volume": (300.0, "L"), "from_": (30.0, "ppt"), "change": (25.0, "%")}
    source = first("salinity_change", ask="source", to=(33, "ppt"), **ways)
    assert first("salinity_change", ask="end", source=(source, "ppt"), **ways) == pytest.approx(33, abs=1e-6)


def test_a_rise_in_sg_points_is_a_target():
    got = first("salinity_change", volume=(90, "gal"), from_=(1.023, "SG"), change=(0.002, "SG"))
    assert got == pytest.approx(first("salinity_change", volume=(90, "gal"), from_=(1.023, "SG"), to=(1.025, "SG")))


def test_the_days_follow_the_tanks_own_limit_before_the_customary_one():
    own = Known(most_per_day={"salinity": Quantity(0.5, "ppt")})
    question = {"from_": (31.0, "ppt"), "to": (34.0, "ppt"), "ask": "days"}
    assert first("salinity_change", own, **question) == 6
    assert first("salinity_change", **question) == 3


def test_a_time_that_is_too_short_is_warned_of_and_still_answered():
    got = worked("salinity_change", volume=(90, "gal"), from_=(31, "ppt"), to=(34, "ppt"), time=(1, "day"))
    assert any("too fast" in each and "3 days" in each for each in got.cautions)


def test_going_far_down_from_sea_water_points_to_the_veterinarian():
    got = worked("salinity_change", volume=(40, "gal"), from_=(33, "ppt"), to=(15, "ppt"), source="fresh")
    assert any("veterinarian" in each for each in got.cautions)


def test_the_tanks_record_fills_in_and_is_named():
    tank = Known(
        tank="Oak Street", volume_L=340, readings={"salinity": Quantity(1.027, "SG")}, hydrometer="refractometer"
    )
    got = worked("salinity_change", tank, to=(1.025, "SG"), source="fresh")
    named = " ".join(got.assumed)
    assert "Oak Street" in named
    assert "1.027" in named
    assert "20/20" not in named


def test_impossible_targets_are_refused_with_the_reason():
    assert "cannot raise" in refused(
        "salinity_change", volume=(90, "gal"), from_=(31, "ppt"), to=(34, "ppt"), source="ro"
    )
    assert "only raises" in refused("salt_mix", volume=(40, "L"), from_=(35, "ppt"), to=(30, "ppt"))
    assert "1.0xx" in refused("salt_mix", volume=(40, "L"), to=(1.25, "SG"))
