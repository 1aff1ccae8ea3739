"""What the columns of an old log hold, by the words over them and by what stands in them.

A cell is read as a message would be: the column's name, the cell, the column's unit. So a log is understood by the same
words, units and limits as the chat, and what could not be texted cannot be imported.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import lru_cache
from statistics import median

from bot.facts.load import table
from bot.items import Clarify, Reading, Situation
from bot.rules.importing_dates import stamp
from bot.rules.importing_text import Row
from bot.understanding.read import read

_SAMPLE = 25
_TANK = "Xq"
_ANY_TIME = datetime(2000, 1, 1, tzinfo=UTC)
_LIKELY = ("8.2", "1.025", "78", "420", "0.1")  # one of them is a value of any test
_BRACKETS = re.compile(r"[(\[{]([^)\]}]*)[)\]}]")
_BETWEEN = re.compile(r"\s*[/&;|]\s*|\s+and\s+")
# Names that leave the unit open where the values fit two: (parameter, from, to) -> the units to ask about.
_OPEN = {"alkalinity": (1.5, 4.6, ("dKH", "meq/L"))}


@dataclass(frozen=True)
class Test:
    """A column, or one part of it, that holds readings: `name` and `unit` are what is read around each cell."""

    parameter: str
    name: str
    unit: str = ""


@dataclass(frozen=True)
class Column:
    """What a column is for: `role` is date, tank, test ..., "" for one that nobody understands."""

    header: str
    role: str
    tests: tuple[Test, ...] = ()
    open_units: tuple[str, ...] = ()


@dataclass(frozen=True)
class Cell:
    """What a cell holds: its readings, without tank and time, or why it could not be read."""

    readings: tuple[Reading, ...] = ()
    fault: str | None = None


def header_row(rows: Sequence[Row]) -> Row | None:
    """The row that names the columns, among the first ten: the one with most known words; None where there is none."""
    best = max(rows[:10], key=lambda row: sum(map(_is_known, row.cells)), default=None)
    return best if best and sum(map(_is_known, best.cells)) >= 2 else None


def columns_of(header: Row, rows: Sequence[Row], habit: str, units: Mapping[str, str] | None = None) -> list[Column]:
    """What each column holds. `units` are those that somebody told for a column, by its header."""
    told = units or {}
    found = []
    for place, name in enumerate(header.cells):
        cells = list(dict.fromkeys(r.cells[place] for r in rows if place < len(r.cells) and r.cells[place]))
        found.append(_column(name, cells, habit, told.get(name)))
    return _with_dates(found, rows)


@lru_cache(maxsize=50_000)
def cell_of(test: Test, cell: str, habit: str) -> Cell:
    """The readings of one cell of a column; a cell that says nothing was tested has none and no fault."""
    plain = cell.strip().casefold()
    if not plain or plain in _words("nothing"):
        return Cell()
    below = plain in _words("below")
    for text in _sayings(test, cell):
        understood = read(text, _situation(habit))
        readings = tuple(i for i in understood.items if isinstance(i, Reading))
        alone = len(understood.items) == 1 and (below or not understood.unread)
        if alone and readings and readings[0].parameter == test.parameter:
            return Cell((replace(readings[0], tank=None),))
    return Cell(fault=_fault(test, cell, habit))


def cells_of(column: Column, cell: str, habit: str) -> Cell:
    """The readings of a cell that may hold several values: one for each part of the header, or several of one test."""
    whole = cell_of(column.tests[0], cell, habit)
    parts = [part for part in _BETWEEN.split(cell) if part]
    if (len(column.tests) == 1 and whole.fault is None) or len(parts) < 2:
        return whole
    tests = column.tests if len(column.tests) == len(parts) else column.tests[:1] * len(parts)
    read_parts = [cell_of(test, part, habit) for test, part in zip(tests, parts, strict=True)]
    faults = [part.fault for part in read_parts if part.fault]
    return Cell(tuple(r for part in read_parts for r in part.readings), "; ".join(faults) or None)


@lru_cache(maxsize=5000)
def test_named(name: str, unit: str, cell: str, habit: str) -> Test | None:
    """The test that a name in a column of names stands for, as far as this cell can be read with it."""
    return _best(_namings(name, unit or None), [cell], habit) or (_best(_namings(name, None), [cell], habit))


def said(name: str, value: str) -> bool:
    """Whether a cell says so: a word of the table."""
    return value.strip().casefold() in _words(name)


def _column(header: str, cells: Sequence[str], habit: str, unit: str | None) -> Column:
    role = _role(header)
    if role:
        return Column(header, role)
    tests = _tests(header, cells[:_SAMPLE], habit, unit)
    if not tests:
        return Column(header, "")
    return Column(header, "test", tests, () if unit else _open_units(tests, header, cells, habit))


def _tests(header: str, cells: Sequence[str], habit: str, unit: str | None) -> tuple[Test, ...]:
    """The test that most of the cells read well with; each part of "pH/SG" on its own where one alone does not; else
    the test that the name alone says, so that cells which cannot be are told as such.
    """
    one = _best(_namings(header, unit), cells, habit)
    if one:
        return (one,)
    return _split_tests(header, cells, habit) or _by_name(header, unit, habit)


def _by_name(header: str, unit: str | None, habit: str) -> tuple[Test, ...]:
    for naming in _namings(header, unit):
        parameters = _parameters(naming, _LIKELY, habit) if _reads_as_name(naming.name) else []
        if parameters:
            return (replace(naming, parameter=parameters[0]),)
    return ()


def _split_tests(header: str, cells: Sequence[str], habit: str) -> tuple[Test, ...]:
    names = _BETWEEN.split(_BRACKETS.sub("", header))
    split = [[part for part in _BETWEEN.split(cell) if part] for cell in cells]
    even = [parts for parts in split if len(parts) == len(names)]
    if len(names) < 2 or len(even) * 2 < len(cells):
        return ()
    found = [_best(_namings(name, None), [parts[i] for parts in even], habit) for i, name in enumerate(names)]
    return tuple(test for test in found if test) if all(found) else ()


def _best(namings: Iterator[Test], cells: Sequence[str], habit: str) -> Test | None:
    """The first naming under which at least half of the cells are read; None where none is."""
    for naming in namings:
        for parameter in _parameters(naming, cells, habit):
            test = replace(naming, parameter=parameter)
            good = [cell_of(test, cell, habit) for cell in cells]
            filled = [cell for cell in good if cell.readings or cell.fault]
            if filled and sum(1 for cell in filled if cell.readings) * 2 >= len(filled):
                return test
    return None


def _parameters(naming: Test, cells: Sequence[str], habit: str) -> list[str]:
    """What the first cells turn out to be readings of, under this naming."""
    for cell in cells[:6]:
        for text in _sayings(naming, cell):
            understood = read(text, _situation(habit))
            names = [i.parameter for i in understood.items if isinstance(i, Reading)]
            clean = not understood.unread or cell.casefold() in _words("below")
            if len(understood.items) == 1 and names and clean:
                return names
    return []


def _namings(header: str, unit: str | None) -> Iterator[Test]:
    """The ways to cut a header into a name and a unit: "NO3 (ppm)", "Alk dKH", "Nitrate NO3 mg/l"."""
    inside = _BRACKETS.findall(header)
    name = " ".join(_BRACKETS.sub(" ", header).replace("_", " ").replace(":", " ").split())
    words = name.split()
    units = [unit] if unit else [*inside, ""]
    for each in units:
        yield Test("", name, each)
    for cut in range(1, len(words)):
        yield Test("", " ".join(words[:cut]), unit or " ".join(words[cut:]))
    for word in words:
        for each in (*units, words[-1] if word != words[-1] else ""):
            yield Test("", word, each)


def _sayings(test: Test, cell: str) -> tuple[str, ...]:
    """How the cell would be texted; where it holds a unit of its own, without the column's."""
    alone = f"{test.name} {'nd' if cell.casefold() in _words('below') else cell}"
    return (f"{alone} {test.unit}", alone) if test.unit else (alone,)


def _fault(test: Test, cell: str, habit: str) -> str:
    items = read(_sayings(test, cell)[0], _situation(habit)).items
    doubts = [i for i in items if isinstance(i, Clarify)]
    if any(i.why == "unlikely_value" for i in doubts):
        return f"{test.name} {cell} cannot be"
    if any(i.why == "which_unit" for i in doubts):
        return f"{test.name} {cell}: which unit"
    return f"{test.name}: not read: {cell}"


def _open_units(tests: Sequence[Test], header: str, cells: Sequence[str], habit: str) -> tuple[str, ...]:
    """The units to choose from where the column does not tell and its values fit more than one."""
    test = tests[0]
    if len(tests) > 1 or test.unit:
        return ()
    read_cells = [cell_of(test, cell, habit) for cell in cells]
    unsure = sum(1 for cell in read_cells if cell.fault and cell.fault.endswith("which unit"))
    if unsure * 5 > len(cells):
        return tuple(table("parameters")[test.parameter]["units"].split(", "))[:2]
    low, high, units = _OPEN.get(test.parameter, (0.0, 0.0, ()))
    values = [r.value for cell in read_cells for r in cell.readings]
    return tuple(units) if values and low <= median(values) <= high and "kh" not in header.casefold() else ()


def _with_dates(columns: list[Column], rows: Sequence[Row]) -> list[Column]:
    """A column of times that holds whole dates is the date where no other one is."""
    if any(c.role == "date" for c in columns):
        return columns
    for place, column in enumerate(columns):
        cells = [r.cells[place] for r in rows[:_SAMPLE] if place < len(r.cells) and r.cells[place]]
        dated = sum(1 for cell in cells if stamp(cell))
        if column.role in ("", "clock") and cells and dated * 2 > len(cells):
            return [*columns[:place], replace(column, role="date"), *columns[place + 1 :]]
    return columns


def _is_known(header: str) -> bool:
    if not header or stamp(header):
        return False
    name = _BRACKETS.sub("", header)
    return bool(_role(header)) or any(_reads_as_name(part) for part in (name, *name.split()))


@lru_cache(maxsize=2000)
def _reads_as_name(name: str) -> bool:
    """Whether a number behind it makes it a reading, while it is no number itself."""
    if not re.search(r"[A-Za-z]", name) or re.fullmatch(r"[<>~]?[\d.,]+.*", name.strip()):
        return False
    return bool(_parameters(Test("", name), _LIKELY, "us"))


def _role(header: str) -> str:
    plain = " ".join(re.sub(r"[^a-z0-9]+", " ", header.casefold()).split())
    roles = table("words_import")["column"]
    return next((role for role, words in roles.items() if plain in words.split(", ")), "")


def _words(name: str) -> list[str]:
    return list(table("words_import")["cell"][name].split(", "))


def _situation(habit: str) -> Situation:
    return Situation(now=_ANY_TIME, units=habit, tank=_TANK, tanks=(_TANK,))
