"""New water beside a tank: the mixture against outside sources, the limits of G2, and what to do first."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import gsw
import pytest

from bot.items import Reading
from bot.rules import matching
from bot.rules.matching import Gap, Sample

NOW = datetime(2026, 3, 10, 12, tzinfo=UTC)
LITRES_IN_GALLON = 3.785411784


def _mixed_by_teos10(first_L: float, first_PSU: float, second_L: float, second_PSU: float) -> float:
    """Salinity of a mixture by masses of water and salt, TEOS-10 densities at 25 degC."""
    absolute = [gsw.SR_from_SP(psu) for psu in (first_PSU, second_PSU)]
    kilograms = [
        litres / 1000 * gsw.rho_t_exact(sa, 25.0, 0.0) for litres, sa in zip((first_L, second_L), absolute, strict=True)
    ]
    mixed = sum(kg * sa for kg, sa in zip(kilograms, absolute, strict=True)) / sum(kilograms)
    return float(gsw.SP_from_SR(mixed))


# Source: TEOS-10 by the gsw library (densities and reference salinity).
@pytest.mark.parametrize(
    ("first_L", "first", "second_L", "second"),
    [(300, 35, 75, 33), (400, 30, 100, 37), (90, 12, 30, 0), (250, 36.5, 250, 33.2), (1000, 35, 5, 20)],
)
def test_the_salinity_of_a_mixture_is_that_of_all_salt_in_all_water(first_L, first, second_L, second):
    ours = matching.mixed_PSU(first_L, first, second_L, second)
    assert ours == pytest.approx(_mixed_by_teos10(first_L, first, second_L, second), abs=0.03)


# Source: TEOS-10 by the gsw library (enthalpy of sea water); the blend by volume is within 0.05 K of it (equations 10).
@pytest.mark.parametrize(("tank_C", "new_C", "share"), [(25.5, 18.0, 0.2), (25.0, 12.8, 0.2), (24.0, 27.0, 0.5)])
def test_the_temperature_of_a_mixture_keeps_the_heat(tank_C, new_C, share):
    tank, new = Sample(tank_C, 35.0, 8.1), Sample(new_C, 35.0, 8.1)
    ours = matching.mixture(tank, new, 100.0, 100.0 * share).temperature
    sa = gsw.SR_from_SP(35.0)
    parts = [(1 - share, tank_C), (share, new_C)]
    kilograms = [litres * gsw.rho_t_exact(sa, t, 0) for litres, t in parts]
    heat = sum(kg * gsw.enthalpy_t_exact(sa, t, 0) for kg, (_, t) in zip(kilograms, parts, strict=True))
    low, high = sorted((tank_C, new_C))
    while high - low > 1e-6:
        middle = (low + high) / 2
        too_warm = gsw.enthalpy_t_exact(sa, middle, 0) > heat / sum(kilograms)
        low, high = (low, middle) if too_warm else (middle, high)
    assert ours == pytest.approx(low, abs=0.05)


# Source: failure story 7 of the trade's handbook: 20 % of 55 F water into 77 F gives 72.6 F.
def test_twenty_per_cent_of_cold_water_takes_a_warm_tank_down_as_the_handbook_has_it():
    tank, new = Sample((77 - 32) / 1.8), Sample((55 - 32) / 1.8)
    mixed = matching.mixture(tank, new, 100.0, 20.0).temperature
    assert mixed * 1.8 + 32 == pytest.approx(72.6, abs=0.05)


# Source: Emerson 1975 with Bower & Bidwell's salt term, as tabled: sea of 35 at 25 degC, pH 8.2: 6.56 % is free.
def test_free_ammonia_after_a_change_is_at_worst_that_of_the_higher_ph():
    tank, new = Sample(25.0, 35.0, 7.8, ammonia=1.0), Sample(25.0, 35.0, 8.2, ammonia=0.0)
    after = matching.mixture(tank, new, 100.0, 50.0)
    assert after.free_after == pytest.approx(0.5 * 0.0656, rel=0.02)


# Source: failure story 25 of the trade's handbook: half changed against high-pH tap raises free ammonia 3 to 7 times.
def test_half_a_change_with_high_ph_water_frees_several_times_the_ammonia():
    tank, new = Sample(25.0, 0.0, 7.0, ammonia=1.0), Sample(25.0, 0.0, 8.0, ammonia=0.4)
    after = matching.mixture(tank, new, 100.0, 50.0)
    assert 3 < after.free_after / after.free_now < 7.5
    assert matching.raises_ammonia(after)


def test_new_water_of_the_same_ph_frees_none():
    tank = Sample(25.0, 35.0, 8.1, ammonia=0.5)
    assert not matching.raises_ammonia(matching.mixture(tank, Sample(25.0, 35.0, 8.1), 100.0, 20.0))


# Source: energy balance, worked: 40 US gal by 6 F with 200 W takes 2.92 h (equations 10).
def test_warming_new_water_takes_as_long_as_the_energy_balance_says():
    gap = Gap("temperature", (72 - 32) / 1.8, (78 - 32) / 1.8, 1.0)
    found = matching.remedy(gap, 40 * LITRES_IN_GALLON, 1.0, 200.0)
    assert found.kind == "heat"
    assert found.hours == pytest.approx(2.92, abs=0.03)


# Source: balance of salt and water (equations 3): 1 L of fresh water takes 36.34 g for 35 ppt.
def test_weak_water_is_made_stronger_by_the_balance_of_salt():
    found = matching.remedy(Gap("salinity", 0.0, 35.0, 1.0), 1.0, 1.0, 300.0)
    assert found.salt_g == pytest.approx(36.34, abs=0.05)


# Source: salt is conserved (equations 4): 37 ppt down to 35 by fresh water is 5.41 % of the mixture.
def test_strong_water_is_thinned_by_the_balance_of_salt():
    share = matching.fresh_share(37.0, 35.0)
    assert share / (1 + share) == pytest.approx(0.0541, abs=0.0025)


# Source: the team's gate G2, common practice: 1 degC, 1 ppt, pH 0.3.
@pytest.mark.parametrize(
    ("new", "off"),
    [
        (Sample(25.0, 35.0, 8.1), []),
        (Sample(24.0, 34.0, 7.8), []),
        (Sample(23.8, 35.0, 8.1), ["temperature"]),
        (Sample(25.0, 36.2, 8.1), ["salinity"]),
        (Sample(25.0, 35.0, 7.7), ["ph"]),
        (Sample(18.0, 33.0, 7.6), ["temperature", "salinity", "ph"]),
    ],
)
def test_more_than_a_degree_a_ppt_or_three_tenths_of_ph_is_too_far(new, off):
    assert [g.parameter for g in matching.gaps(new, Sample(25.0, 35.0, 8.1), matching.MATCHED)] == off


def test_pure_water_has_no_ph_to_match_and_fresh_water_no_salinity():
    assert matching.asked_of("salt", None) == ("temperature", "salinity", "ph")
    assert matching.asked_of("fresh", "tap") == ("temperature", "ph")
    assert matching.asked_of("fresh", "ro") == ("temperature",)


def test_a_reading_of_yesterday_does_not_stand_for_the_water_of_today():
    readings = [
        (NOW - timedelta(hours=30), Reading("temperature", 25.0, "degC", of="batch")),
        (NOW - timedelta(hours=30), Reading("salinity", 35.0, "ppt", of="batch")),
    ]
    found = matching.sample(readings, NOW, "batch")
    assert (found.temperature, found.salinity) == (None, 35.0)
    assert matching.sample(readings, NOW, "tank") == Sample()


def test_of_two_readings_at_one_moment_the_later_word_counts():
    readings = [(NOW, Reading("ph", 8.1, "pH")), (NOW, Reading("ph", 7.9, "pH"))]
    assert matching.sample(readings, NOW, "tank").ph == 7.9
