"""The day of one person on the road: the stops in order, when each is reached, and when the last is done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, time, timedelta
from statistics import median

from bot.assistant import going_back, watch
from bot.assistant.calendar import Calendar, Planned, site_of
from bot.assistant.going_back import Back
from bot.assistant.turn import Turn
from bot.facts.load import table
from bot.rules import stops as rules
from bot.rules.stops import Place, Stop
from bot.team import Client, Tank


@dataclass(frozen=True)
class Halt:
    """A site with the visits there, reached at `at_min` (minutes of the day); `back`: only for what ends there."""

    site: str
    visits: tuple[Planned, ...]
    at_min: float
    back: str | None = None

    @property
    def at(self) -> time:
        """The time of day at which it is reached."""
        return clock(self.at_min)


@dataclass(frozen=True)
class Route:
    """The stops of a day in order."""

    halts: tuple[Halt, ...]
    home_min: float

    @property
    def tanks(self) -> int:
        """How many tanks there are on it."""
        return sum(len(h.visits) for h in self.halts)


def route(calendar: Calendar, who: str, day: date) -> Route:
    """What is left of the person's day, or the whole of it where the day is still to come."""
    found: dict[str, list[Planned]] = {}
    for planned in calendar.planned(day):
        if planned.who == who:
            found.setdefault(planned.site, []).append(planned)
    return _in_order(calendar, found, _begins(calendar, day), _backs(calendar, who, day, found))


def load_min(calendar: Calendar, who: str, visits: Sequence[Planned]) -> float:
    """The minutes of hands and wheels that the person's visits take."""
    own = [p for p in visits if p.who == who]
    return sum(p.minutes for p in own) + len({(p.site, p.day) for p in own}) * drive_min()


def drive_min() -> float:
    """The usual drive."""
    return float(table("round")["drive"]["value"])


def clock(minutes: float) -> time:
    """A minute of the day as a time, on the next five minutes."""
    whole = min(int(5 * -(-minutes // 5)), 24 * 60 - 1)
    return time(whole // 60, whole % 60)


def _in_order(calendar: Calendar, found: dict[str, list[Planned]], start_min: float, backs: Sequence[Back]) -> Route:
    base, named = base_of(calendar.turn), {b.stop.name: b for b in backs}
    stops = [_not_before(_stop(calendar, site, visits), backs) for site, visits in found.items()]
    order = rules.in_order([*stops, *(b.stop for b in backs if b.stop.after or b.site not in found)], start_min, base)
    reached, home = rules.arrivals(order, start_min, base)
    halts = (
        Halt(named[s.name].site, (), at, named[s.name].what)
        if s.name in named
        else Halt(s.name, tuple(found[s.name]), at)
        for s, at in zip(order, reached, strict=True)
    )
    return Route(tuple(halts), home)


def _not_before(stop: Stop, backs: Sequence[Back]) -> Stop:
    """A site still to be visited where something runs already is best reached when that ends."""
    running = [b.stop for b in backs if b.site == stop.name and not b.stop.after]
    until = min((s.until_min for s in running), default=stop.until_min)
    return replace(stop, from_min=max((s.from_min for s in running), default=0.0), until_min=until)


def _backs(calendar: Calendar, who: str, day: date, found: dict[str, list[Planned]]) -> list[Back]:
    """Where the day comes by again; what runs already only counts today."""
    where = {site_of(t): place_of(calendar.turn, t) for t in calendar.turn.team.tanks}
    visits = [p for each in found.values() for p in each]
    running = going_back.running(calendar, who, where) if day == calendar.today else []
    return [*going_back.planned(calendar, visits, where), *running]


def _begins(calendar: Calendar, day: date) -> float:
    """When the day begins; now, where it has begun."""
    told = str(calendar.turn.team.data.get("day_start") or table("round")["day"]["start"])
    start = _minutes(time.fromisoformat(told))
    now = calendar.turn.local(calendar.turn.now)
    return max(start, _minutes(now.time())) if day == now.date() else start


def _stop(calendar: Calendar, site: str, visits: Sequence[Planned]) -> Stop:
    turn = calendar.turn
    agreed = [_minutes(p.visit.at) for p in visits if p.visit.at]
    return Stop(
        site,
        sum(p.minutes for p in visits),
        place_of(turn, visits[0].tank),
        max(_rank(turn, p.tank) for p in visits),
        min(agreed) if agreed else None,
        _usual(calendar, visits[0].tank),
        any(watch.is_alarm(watch.points(turn, p.tank.name)) for p in visits),
    )


def place_of(turn: Turn, tank: Tank) -> Place | None:
    """Where a tank stands, as far as is known."""
    client = turn.team.client_of(tank)
    return _place(client.data if client else tank.data)


def base_of(turn: Turn) -> Place | None:
    """Where the day begins and ends: the team's own coordinates, or those of the client that it names as its base."""
    named = next((c for c in turn.team.clients if c.name == turn.team.data.get("base")), Client(""))
    return _place(turn.team.data) or _place(named.data)


def _place(data: object) -> Place | None:
    lat, lon = (data.get(k) for k in ("lat", "lon")) if hasattr(data, "get") else (None, None)
    return (float(lat), float(lon)) if lat is not None and lon is not None else None


def _rank(turn: Turn, tank: Tank) -> int:
    """Disease order: healthy tanks, then those under treatment, then quarantine."""
    if tank.kind == "quarantine":
        return 2
    today = turn.local(turn.now).date().isoformat()
    return int(any(str(order.get("until", "")) >= today for order in tank.orders))


def _usual(calendar: Calendar, tank: Tank) -> float:
    """When the tank is usually reached, in minutes of the day; noon where nobody knows."""
    began = [calendar.turn.local(s.first) for s in calendar.seen.get(tank.name, [])[:5]]
    return float(median(_minutes(b.time()) for b in began)) if began else 720.0


def _minutes(at: time) -> float:
    return timedelta(hours=at.hour, minutes=at.minute) / timedelta(minutes=1)
