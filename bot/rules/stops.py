"""The order of the stops of a day: short drives, agreed hours kept, ill and quarantined tanks last, an alarm first.

A soak or rest that outlasts its visit is a stop of its own at the same place: it is come back for on the way.

Nearest neighbour from the start of the day, then improved by moving a stop and by turning a stretch round, until
neither helps. Distances are great circles on a sphere: no map service is asked.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import asin, cos, radians, sin, sqrt

from bot.facts.load import table

Place = tuple[float, float]
INFINITE = float("inf")


@dataclass(frozen=True)
class Stop:
    """A site with what is to be done there.

    minutes  how long it takes          place   latitude and longitude in degrees, None where not known
    rank     disease order: lower first  at_min  agreed hour, in minutes of the day; None: any
    usual    when it is usually reached, in minutes of the day: decides where no place is known
    alarm    something there was out of its limits at the last visit
    after    the stop at which a wait begins that ends here, `least_min` to `most_min` after it was left
    from_min, until_min   not before, and not after, in minutes of the day
    """

    name: str
    minutes: float
    place: Place | None = None
    rank: int = 0
    at_min: float | None = None
    usual: float = 0.0
    alarm: bool = False
    after: str | None = None
    least_min: float = 0.0
    most_min: float = INFINITE
    from_min: float = 0.0
    until_min: float = INFINITE


def in_order(stops: Sequence[Stop], start_min: float, base: Place | None = None) -> list[Stop]:
    """The stops in the order in which they should be driven, beginning at `start_min` minutes of the day."""
    route = _nearest_first(stops, start_min, base)
    cost = _cost(route, start_min, base)
    better = True
    while better:
        better = False
        for other in _neighbours(route):
            if (other_cost := _cost(other, start_min, base)) < cost:
                route, cost, better = other, other_cost, True
                break
    return route


def arrivals(route: Sequence[Stop], start_min: float, base: Place | None = None) -> tuple[list[float], float]:
    """When each stop is reached and when the technician is home, in minutes of the day.

    The day begins at the first stop and ends with the drive from the last one.
    """
    now, here, reached = start_min, base, list[float]()
    left: dict[str, float] = {}
    for stop in route:
        drive = drive_min(here, stop.place) if reached else 0.0
        begun = left.get(stop.after, 0.0) + stop.least_min if stop.after else 0.0
        now = max(now + drive, stop.at_min or 0.0, stop.from_min, begun)
        reached.append(now)
        now, here = now + stop.minutes, stop.place
        left[stop.name] = now
    return reached, now + (drive_min(here, base) if route else 0.0)


def drive_min(one: Place | None, other: Place | None) -> float:
    """Minutes from place to place, parked and unloaded; the usual drive where one of them is not known."""
    told = table("round")["drive"]
    if one is None or other is None:
        return float(told["value"])
    road_m = distance_m(one, other) * float(told["detour"]["value"])
    return road_m / float(told["speed"]["value"]) + float(told["parking"]["value"])


def distance_m(one: Place, other: Place) -> float:
    """The great circle between two places on a sphere, m; latitudes and longitudes in degrees (haversine formula)."""
    lat, lon, lat_2, lon_2 = map(radians, (*one, *other))
    half = sin((lat_2 - lat) / 2) ** 2 + cos(lat) * cos(lat_2) * sin((lon_2 - lon) / 2) ** 2
    return float(2 * table("round")["earth"]["value"] * asin(min(1.0, sqrt(half))))


def _nearest_first(stops: Sequence[Stop], start_min: float, base: Place | None) -> list[Stop]:
    left, here, route = sorted(stops, key=_standing), base, list[Stop]()
    while left:
        first = min(left, key=lambda s: (s.rank, not s.alarm, _due(s), drive_min(here, s.place), _standing(s)))
        left.remove(first)
        route.append(first)
        here = first.place
    return route


def _due(stop: Stop) -> float:
    return stop.at_min if stop.at_min is not None else 0.0


def _standing(stop: Stop) -> tuple[float, str]:
    return stop.usual, stop.name


def _neighbours(route: list[Stop]) -> Iterator[list[Stop]]:
    """Every route that differs by one stop in another place, or by one stretch turned round."""
    size = len(route)
    for i in range(size):
        rest = [*route[:i], *route[i + 1 :]]
        yield from ([*rest[:j], route[i], *rest[j:]] for j in range(size) if j != i)
    for i in range(size - 1):
        yield from ([*route[:i], *reversed(route[i:j]), *route[j:]] for j in range(i + 2, size + 1))


def _cost(route: Sequence[Stop], start_min: float, base: Place | None) -> tuple[float, float, float, float]:
    """What a route costs, the worst first: disease order broken, minutes late, the end of the day, the usual order."""
    reached, home = arrivals(route, start_min, base)
    pairs = [(a, b) for i, a in enumerate(route) for b in route[i + 1 :]]
    broken = sum(a.rank > b.rank or a.after == b.name for a, b in pairs)
    alarms = sum(i for i, stop in enumerate(route) if stop.alarm and not stop.rank)
    late = sum(max(0.0, at - _latest(stop, route, reached)) for at, stop in zip(reached, route, strict=True))
    there = drive_min(base, route[0].place) if base and route else 0.0
    turned = sum(a.usual > b.usual for a, b in pairs)
    return (float(broken), round(late, 3), round(alarms * 1e4 + home + there, 3), float(turned))


def _latest(stop: Stop, route: Sequence[Stop], reached: Sequence[float]) -> float:
    """When it must be reached at the latest: the agreed hour, or the longest time of what stands there."""
    begun = next((at + s.minutes for at, s in zip(reached, route, strict=True) if s.name == stop.after), 0.0)
    return min(stop.until_min, stop.at_min if stop.at_min is not None else INFINITE, begun + stop.most_min)
