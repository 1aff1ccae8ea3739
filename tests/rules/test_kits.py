"""A suspect lot, measured on simulated years: how soon a bad one is named, how often a good one is."""

from __future__ import annotations

import random
from datetime import UTC, date, datetime, timedelta

import pytest

from bot.facts.load import table
from bot.rules.kits import ByLot, Kit, is_expired, suspect
from bot.rules.usual import usual

START = datetime(2026, 1, 5, 9, 0, tzinfo=UTC)
NOISE = 0.2  # one standard deviation of a nitrate kit, as a share of the value (KITS, common practice)


def a_year(seed: int, bad_from: int | None = None, tanks: int = 20, bias: float = 1.7):
    """Fortnightly tests of every tank; lots change each quarter, half the tanks some weeks before the others. The lot
    that is new at visit `bad_from` reads too high. Yields (visit, tank, suspicion or None, whether it was the bad lot).
    """
    chance = random.Random(seed)
    true = {t: chance.uniform(5, 40) for t in range(tanks)}
    past: dict[int, list[float]] = {t: [] for t in range(tanks)}
    tests: list[ByLot] = []
    for visit in range(26):
        for tank in range(tanks):
            lot = f"lot {(visit + (0 if tank % 2 else 3)) // 7}"
            is_bad = bad_from is not None and visit >= bad_from and lot == f"lot {(bad_from + 3) // 7}"
            value = true[tank] * chance.gauss(1, NOISE) * (bias if is_bad else 1)
            expected = usual("nitrate", past[tank][::-1])
            way = _way(value, expected)
            at = START + timedelta(days=14 * visit, minutes=tank)
            tests.append(ByLot(f"tank {tank}", lot, at, way != 0, way > 0))
            past[tank].append(value)
            recent = [t for t in tests if at - t.at <= timedelta(days=30)]
            yield visit, tank, suspect(recent, lot), is_bad


def _way(value, expected):
    times = table("kits")["suspect"]["jump"]["value"] / table("judging")["unlike"]["times"]["value"]
    if expected is None or abs(value - expected.value) <= expected.within * times:
        return 0
    return 1 if value > expected.value else -1


def test_good_lots_are_hardly_ever_suspected():
    """At most one false claim in a simulated year (brief W7), each lot being named once."""
    false = [len({s.lot for *_, s, _ in a_year(seed) if s}) for seed in range(20)]
    assert max(false) <= 1
    assert sum(false) <= 3


def test_a_bad_lot_is_named_within_its_first_round():
    """A lot that reads 70 % high is named before the second round with it is over, in nine years of ten."""
    first = []
    for seed in range(20):
        hits = [visit for visit, _, s, bad in a_year(seed, bad_from=18) if s and bad]
        first.append(hits[0] - 18 if hits else 99)
    assert sum(rounds <= 1 for rounds in first) >= 18


@pytest.mark.parametrize(("odd", "named"), [(2, False), (3, True), (4, True)])
def test_three_tanks_the_same_way_make_a_suspicion(odd, named):
    tests = [ByLot(f"t{i}", "27", START, i < odd, True) for i in range(5)] + [ByLot("t9", "26", START, False)]
    found = suspect(tests, "27")
    assert (found is not None) is (named and odd / 5 >= 0.6)
    if found:
        assert (found.odd, found.tested, found.others) == (odd, 5, ("26",))


def test_tanks_that_jump_with_every_lot_are_no_matter_of_the_kit():
    tests = [ByLot(f"t{i}", "27", START, True, True) for i in range(4)]
    tests += [ByLot(f"u{i}", "26", START, True, True) for i in range(4)]
    assert suspect(tests, "27") is None


def test_tanks_that_jump_both_ways_are_no_matter_of_the_kit():
    assert suspect([ByLot(f"t{i}", "27", START, True, i % 2 == 0) for i in range(4)], "27") is None


def test_a_kit_counts_until_its_month_begins():
    kit = Kit("nitrate", "27", date(2026, 6, 1))
    assert not is_expired(kit, date(2026, 5, 31))
    assert is_expired(kit, date(2026, 6, 1))
    assert not is_expired(Kit("nitrate", "27"), date(2099, 1, 1))
