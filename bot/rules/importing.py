"""An old log as a plan: which rows are fine, doubtful or unreadable, what each would store, what must be asked first.

Nothing here stores anything; the same text with the same choices gives the same plan.
"""

from __future__ import annotations

import csv
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from bot.items import Reading
from bot.rules.importing_columns import Column, columns_of, header_row
from bot.rules.importing_dates import stamp
from bot.rules.importing_rows import Choices, Line, Sheet, line_of
from bot.rules.importing_text import Row, rows_of
from bot.rules.scales import middle, scale
from bot.rules.usual import Usual, usual
from bot.team import Team

_FAR = 2.0  # times the distance at which a single reading is asked about: in a log of years only slips lie there
_LEAST = 5  # values of a tank, to tell a slip by
_SLIPS = 0.05  # the share of values up to which they can be slips


@dataclass(frozen=True)
class Question:
    """The one thing to ask first: `about` is dates or unit, `sample` a cell or a header, `options` the answers."""

    about: str
    sample: str
    options: tuple[str, ...]


@dataclass(frozen=True)
class Plan:
    """All rows, the columns as understood, tanks that are not on the list yet; the question, where one is open; the
    problem, where nothing can be read at all.
    """

    lines: tuple[Line, ...] = ()
    columns: tuple[Column, ...] = ()
    new_tanks: tuple[str, ...] = ()
    question: Question | None = None
    problem: str | None = None

    def count(self, fate: str) -> int:
        """How many rows have that fate."""
        return sum(1 for line in self.lines if line.fate == fate)

    @property
    def tanks(self) -> tuple[str, ...]:
        """Every tank that the rows name."""
        return tuple(dict.fromkeys(line.tank for line in self.lines if line.tank))


def plan(text: str, team: Team, now: datetime, choices: Choices | None = None) -> Plan:
    """What an old log would store. `now`: nothing can have been read later than tomorrow."""
    try:
        choices, rows = choices or Choices(), rows_of(text)
    except csv.Error as fault:
        return Plan(problem=f"This is no table that can be read ({fault}). Save it as CSV and send it again.")
    header = header_row(rows)
    if header is None:
        return Plan(
            problem="No row names the columns. Put one on top (date, tank, pH, NO3 ...) and send the file again."
        )
    body = [row for row in rows if row.number > header.number and row.cells != header.cells]
    columns = columns_of(header, body, team.units, choices.units)
    problem = _lacking(columns)
    if problem:
        return Plan(columns=tuple(columns), problem=problem)
    sheet = Sheet(columns, team, choices, {cell: stamp(cell) for cell in _cells(columns, body, "date")})
    lines = _doubted([line for row in body if (line := line_of(sheet, row, now))])
    return Plan(tuple(lines), tuple(columns), _new_tanks(team, lines), _question(sheet))


def _lacking(columns: Sequence[Column]) -> str | None:
    roles = {column.role for column in columns}
    if "date" not in roles:
        return "No column holds dates. Name it date and send the file again."
    if not {"test", "value", "note"} & roles:
        return "No column holds readings that I know. Name them (pH, NO3, temp ...) and send the file again."
    return None


def _cells(columns: Sequence[Column], rows: Sequence[Row], role: str) -> list[str]:
    """The different cells of the first column of that role."""
    place = next((i for i, c in enumerate(columns) if c.role == role), None)
    return list(dict.fromkeys(r.cells[place] for r in rows if place is not None and place < len(r.cells)))


def _new_tanks(team: Team, lines: Sequence[Line]) -> tuple[str, ...]:
    known = {tank.name for tank in team.tanks}
    return tuple(dict.fromkeys(line.tank for line in lines if line.items and line.tank and line.tank not in known))


def _question(sheet: Sheet) -> Question | None:
    """Dates come first, for they touch every row; then the unit of a column."""
    if sheet.day_first is None:
        sample = next((cell for cell, each in sheet.stamps.items() if each and each.is_open), None)
        if sample is not None:
            return Question("dates", sample, ("day", "month"))
    column = next((c for c in sheet.columns if c.open_units), None)
    return Question("unit", column.header, column.open_units) if column else None


def _doubted(lines: Sequence[Line]) -> list[Line]:
    """The lines; values that lie far from their tank's others, or have a unit of their own, kept as unconfirmed."""
    values: dict[tuple[str | None, str], list[float]] = defaultdict(list)
    units: dict[str, Counter[str]] = defaultdict(Counter)
    for line in lines:
        for item in line.items:
            if isinstance(item, Reading) and (value := middle(item)) is not None:
                values[line.tank, item.parameter].append(value)
            if isinstance(item, Reading):
                units[item.parameter][item.unit] += 1
    expected = {key: _expected(key[1], found) for key, found in values.items()}
    return [_with_doubts(line, expected, {name: _rare(name, found) for name, found in units.items()}) for line in lines]


def _expected(parameter: str, found: Sequence[float]) -> Usual | None:
    """What a tank's values in the file lead to expect; None where too many of them lie far from it to be slips."""
    expected = usual(parameter, found, len(found)) if len(found) >= _LEAST else None
    far = sum(1 for value in found if expected and _is_far(value, expected))
    return expected if far <= max(1, _SLIPS * len(found)) else None


def _rare(parameter: str, found: Counter[str]) -> set[str]:
    """The units of the few among degrees of hardness: "83" under a column of 8.3 may be a slip, not mg/L CaCO3."""
    few = found.total() / 3 if scale(parameter) in ("dKH", "dGH") else 0
    return {unit for unit, count in found.items() if count < few}


def _with_doubts(
    line: Line, expected: Mapping[tuple[str | None, str], Usual | None], rare: Mapping[str, set[str]]
) -> Line:
    readings = [item for item in line.items if isinstance(item, Reading)]
    odd = [r for r in readings if _is_odd(r, expected.get((line.tank, r.parameter))) or r.unit in rare[r.parameter]]
    if not odd:
        return line
    items = tuple(replace(i, unconfirmed=True) if isinstance(i, Reading) and i in odd else i for i in line.items)
    faults = [f"{i.parameter} {i.value:g} {i.unit} is unlike the others" for i in odd]
    return replace(line, items=items, faults=(*line.faults, *faults))


def _is_odd(item: Reading, expected: Usual | None) -> bool:
    value = middle(item)
    return value is not None and expected is not None and _is_far(value, expected)


def _is_far(value: float, expected: Usual) -> bool:
    return abs(value - expected.value) > _FAR * expected.within
