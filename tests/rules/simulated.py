"""Simulated tanks: a true value that does as told, read weekly with the instrument's error and scale."""

import random
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from bot.items import Reading
from bot.rules.judged import Record
from bot.rules.ranges import error_of
from bot.rules.readings import judge
from bot.rules.usual import Seen
from bot.team import Tank

START = datetime(2026, 1, 6, 9, 0, tzinfo=UTC)
REEF = Tank("Reef", kind="reef", invertebrates=True)


@dataclass(frozen=True)
class Life:
    """How one value of a reef lives: its level, the scale it is read on, what happens to it and from which week on."""

    parameter: str
    unit: str
    level: float
    step: float
    drift_a_week: float = 0.0
    jump: float = 0.0
    from_week: int = 10**6


LIVES = (
    Life("alkalinity", "dKH", 8.6, 0.1),
    Life("nitrate", "mg/L", 8.0, 1.0),
    Life("ph", "pH", 8.2, 0.05),
    Life("temperature", "degC", 25.5, 0.1),
    Life("salinity", "ppt", 35.0, 0.5),
    Life("calcium", "mg/L", 425.0, 5.0),
)


def readings(life: Life, weeks: int, chance: random.Random, noise: float) -> list[float]:
    """What is read each week; `noise` is the share of the instrument's usual error taken as standard deviation."""
    return [_read(life, week, chance, noise) for week in range(weeks)]


def _read(life: Life, week: int, chance: random.Random, noise: float) -> float:
    since = week - life.from_week
    truth = life.level + (life.jump + life.drift_a_week * since if since >= 0 else 0.0)
    seen = truth + chance.gauss(0, noise * error_of(life.parameter, truth))
    return max(round(round(seen / life.step) * life.step, 6), 0.0)


def verdicts(life: Life, values: list[float], tank: Tank = REEF) -> list[set[str]]:
    """What is said at each week's reading, where every unlike one is confirmed and stays on record."""
    past: list[Seen] = []
    said = []
    for week, value in enumerate(values):
        at = START + timedelta(weeks=week)
        reading = Reading(life.parameter, value, life.unit, tank="Reef")
        found = judge(reading, at, tank, Record({life.parameter: past}))
        said.append({verdict.kind for verdict in found})
        past = [Seen(at, reading), *past]
    return said


def changed(life: Life, **what: float) -> Life:
    """The same life with a drift or a jump."""
    return replace(life, **what)
