"""The order of the stops: against every possible order, and what must hold in any."""

from __future__ import annotations

from itertools import permutations
from random import Random

import pytest

from bot.rules.stops import Stop, arrivals, distance_m, drive_min, in_order

# Worked examples of the haversine formula from published coordinates; kilometres as commonly quoted (from memory).
CITIES = [
    ((51.5074, -0.1278), (48.8566, 2.3522), 343_500),  # London to Paris
    ((40.7128, -74.0060), (34.0522, -118.2437), 3_936_000),  # New York to Los Angeles
    ((0.0, 0.0), (0.0, 1.0), 111_195),  # one degree of the equator of that sphere: 2 pi R / 360
    ((0.0, 0.0), (0.0, 180.0), 20_015_115),  # half round it
]


@pytest.mark.parametrize("one, other, metres", CITIES)
def test_distances_are_great_circles(one, other, metres):
    assert distance_m(one, other) == pytest.approx(metres, rel=0.002)
    assert distance_m(one, other) == pytest.approx(distance_m(other, one))


def test_a_drive_takes_longer_the_farther_it_is_and_something_even_where_nothing_is_known():
    home, near, far = (40.0, -74.0), (40.02, -74.0), (40.2, -74.0)
    assert drive_min(home, near) < drive_min(home, far)
    assert drive_min(None, far) == drive_min(home, None) > 0


def around(random: Random) -> tuple[float, float]:
    return 40 + random.uniform(-0.2, 0.2), -74 + random.uniform(-0.2, 0.2)


def home_min(route, base) -> float:
    _, home = arrivals(route, 510, base)
    return home + drive_min(base, route[0].place)


@pytest.mark.parametrize("seed", range(25))
def test_the_order_is_nearly_as_short_as_the_best_of_all(seed):
    random = Random(seed)
    base = around(random)
    stops = [Stop(f"s{i}", random.randint(20, 60), around(random)) for i in range(random.randint(2, 7))]
    best = min(home_min(route, base) for route in permutations(stops))
    assert home_min(in_order(stops, 510, base), base) <= best * 1.03


def test_ill_tanks_come_last_however_near_they_are():
    stops = [Stop("ill", 20, (40.0, -74.0), rank=2), Stop("reef", 30, (40.2, -74.2)), Stop("bar", 30, (40.3, -74.1))]
    assert in_order(stops, 510, (40.0, -74.0))[-1].name == "ill"


def test_a_tank_with_an_alarm_comes_first_among_the_healthy_ones():
    stops = [Stop("near", 20, (40.0, -74.0)), Stop("alarm", 30, (40.2, -74.2), alarm=True), Stop("ill", 9, rank=2)]
    assert [s.name for s in in_order(stops, 510, (40.0, -74.0))] == ["alarm", "near", "ill"]


def test_an_agreed_hour_is_kept():
    stops = [Stop("any", 60, (40.0, -74.0)), Stop("nine", 30, (40.2, -74.2), at_min=540)]
    route = in_order(stops, 510, (40.0, -74.0))
    reached = dict(zip([s.name for s in route], arrivals(route, 510)[0], strict=True))
    assert reached["nine"] == 540


def test_a_soak_is_come_back_for_on_the_way_home():
    soak, east, west = (40.0, -74.0), (40.1, -73.9), (40.1, -74.1)
    stops = [
        Stop("soak", 30, soak),
        Stop("soak again", 10, soak, after="soak", least_min=120, most_min=240),
        Stop("east", 45, east),
        Stop("west", 45, west),
    ]
    route = in_order(stops, 510, soak)
    assert (route[0].name, route[-1].name) == ("soak", "soak again")
    reached = dict(zip([s.name for s in route], arrivals(route, 510, soak)[0], strict=True))
    assert 510 + 30 + 120 <= reached["soak again"] <= 510 + 30 + 240


@pytest.mark.parametrize("seed", range(15))
def test_with_a_soak_the_order_is_as_good_as_the_best_that_keeps_its_times(seed):
    random = Random(seed)
    base = around(random)
    stops = [Stop(f"s{i}", random.randint(20, 60), around(random)) for i in range(random.randint(2, 5))]
    stops.append(Stop("again", 10, stops[0].place, after="s0", least_min=random.randint(20, 150), most_min=300))
    kept = [r for r in permutations(stops) if in_time(r, base)]
    best = min(home_min(route, base) for route in kept)
    found = in_order(stops, 510, base)
    assert in_time(found, base) and home_min(found, base) <= best * 1.03


def in_time(route, base) -> bool:
    reached = dict(zip([s.name for s in route], arrivals(route, 510, base)[0], strict=True))
    left = reached["s0"] + next(s.minutes for s in route if s.name == "s0")
    again = next(s for s in route if s.after)
    return reached["s0"] < reached["again"] and again.least_min <= reached["again"] - left <= again.most_min


def test_where_no_place_is_known_the_order_is_the_usual_one():
    stops = [Stop("late", 30, usual=800), Stop("early", 30, usual=520), Stop("noon", 30, usual=700)]
    assert [s.name for s in in_order(stops, 510)] == ["early", "noon", "late"]


def test_each_stop_stands_in_the_route_once():
    random = Random(7)
    stops = [Stop(f"s{i}", 30, around(random), rank=i % 3) for i in range(12)]
    route = in_order(stops, 510)
    assert sorted(s.name for s in route) == sorted(s.name for s in stops)
    assert [s.rank for s in route] == sorted(s.rank for s in stops)
