"""I4, the sheet of all tanks: each week's worst test as a letter, the tanks in order of trouble."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from bot.facts.load import table
from bot.rules import readings_now
from bot.rules.judged import Case, Record
from bot.rules.scales import middle
from bot.rules.usual import Seen
from bot.team import Tank

FINE, OUTSIDE, ALARM = 1, 2, 3
_FADES = 0.8  # what a week ago counts beside this week


@dataclass(frozen=True)
class Cell:
    """A tank's week: the worst test with its letter, how bad (FINE, OUTSIDE, ALARM); 0 where nothing was tested."""

    letter: str = ""
    parameter: str = ""
    level: int = 0


@dataclass(frozen=True)
class Line:
    """A tank, its weeks from the oldest to this one."""

    tank: str
    cells: tuple[Cell, ...]

    @property
    def trouble(self) -> float:
        """The heavier, the more and the later it was outside its ranges."""
        return sum((cell.level - FINE) * _FADES**age for age, cell in enumerate(reversed(self.cells)) if cell.level)


def lines(tanks: Sequence[Tank], seen: Mapping[str, Sequence[Seen]], until: datetime, weeks: int) -> list[Line]:
    """The sheet: the tank with the most trouble first; `seen` are the confirmed readings of each tank."""
    found = [Line(tank.name, _cells(tank, seen.get(tank.name, ()), until, weeks)) for tank in tanks]
    return sorted(found, key=lambda line: -line.trouble)


def _cells(tank: Tank, seen: Sequence[Seen], until: datetime, weeks: int) -> tuple[Cell, ...]:
    cells = [Cell()] * weeks
    for each in seen:
        age = (until - each.at) // timedelta(weeks=1)
        if 0 <= age < weeks and middle(each.reading) is not None:
            here = _cell(tank, each)
            place = weeks - 1 - age
            cells[place] = max(cells[place], here, key=lambda cell: cell.level)
    return tuple(cells)


def _cell(tank: Tank, seen: Seen) -> Cell:
    case = Case(seen.reading, seen.at, tank, Record())
    wrong = readings_now.poison(case) or readings_now.alarm(case)
    level = ALARM if wrong else OUTSIDE if readings_now.outside(case) else FINE
    parameter = seen.reading.parameter
    return Cell(table("plots")["letters"].get(parameter, "?"), parameter, level)
