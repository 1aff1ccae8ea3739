"""A row of an old log: when, which tank, whose hand, and what it would store."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta, tzinfo
from zoneinfo import ZoneInfo

from rapidfuzz import fuzz, process

from bot.items import Event, Item, Reading
from bot.rules.importing_columns import Cell, Column, cell_of, cells_of, said, test_named
from bot.rules.importing_dates import Stamp, clock, moment, order
from bot.rules.importing_text import Row
from bot.team import Team

_ALIKE = 84  # of 100: so like a tank's name that it may be a slip for it


@dataclass(frozen=True)
class Choices:
    """What somebody said about the file: whether days stand first in its dates, a column's unit, the tank of it all."""

    day_first: bool | None = None
    units: Mapping[str, str] = field(default_factory=dict)
    tank: str | None = None


@dataclass(frozen=True)
class Line:
    """What a row would store, and what of it could not be read."""

    row: Row
    at: datetime | None = None
    tank: str | None = None
    who: str | None = None
    items: tuple[Item, ...] = ()
    faults: tuple[str, ...] = ()

    @property
    def fate(self) -> str:
        """fine, doubtful (part of it could not be read, or is kept unconfirmed) or unreadable (nothing of it)."""
        if not self.items:
            return "unreadable"
        return "doubtful" if self.faults else "fine"


@dataclass(frozen=True)
class Sheet:
    """The whole file as far as every row needs it; `stamps` are its dates as written, by their cells."""

    columns: Sequence[Column]
    team: Team
    choices: Choices
    stamps: Mapping[str, Stamp | None]

    @property
    def zone(self) -> tzinfo:
        return ZoneInfo(self.team.zone)

    @property
    def day_first(self) -> bool | None:
        """Whether days stand first: as the dates themselves tell, else as somebody said; None while that is open."""
        told = order(each for each in self.stamps.values() if each)
        return told if told is not None else self.choices.day_first


def line_of(sheet: Sheet, row: Row, now: datetime) -> Line | None:
    """The row as it would be stored; None for one that was taken back where it was written."""
    if said("no", _cell(sheet, row, "in_force")):
        return None
    at, when_fault = _moment(sheet, row, now)
    tank, tank_fault = _tank(sheet, row)
    cells = _tests(sheet, row)
    faults = tuple(f for f in (when_fault, tank_fault, *(cell.fault for cell in cells)) if f)
    if at is None or tank is None:
        return Line(row, at, tank, faults=faults)
    note = _cell(sheet, row, "note")
    said_there: list[Reading | Event] = [reading for cell in cells for reading in cell.readings]
    said_there += [Event("note", subject=note)] if note else []
    items = tuple(replace(item, tank=tank, at=at) for item in said_there)
    who = sheet.team.person(_cell(sheet, row, "who"))
    return Line(row, at, tank, who.name if who else None, items, faults if items or faults else ("nothing to keep",))


def _cell(sheet: Sheet, row: Row, role: str) -> str:
    """What stands in the first column of that role, "" where nothing does."""
    places = (i for i, c in enumerate(sheet.columns) if c.role == role and i < len(row.cells))
    return next((row.cells[i] for i in places if row.cells[i]), "")


def _moment(sheet: Sheet, row: Row, now: datetime) -> tuple[datetime | None, str | None]:
    cell = _cell(sheet, row, "date")
    written = sheet.stamps.get(cell)
    at = moment(written, sheet.day_first, clock(_cell(sheet, row, "clock")), sheet.zone) if written else None
    if at is None:
        return None, f"no date: {cell}" if cell else "no date"
    if at > now + timedelta(days=1):
        return None, f"{cell} is still to come"
    return at, None


def _tank(sheet: Sheet, row: Row) -> tuple[str | None, str | None]:
    """The tank that a row names, as the list has it; a name only like one there is asked about, not taken for it."""
    name = " ".join((_cell(sheet, row, "tank") or sheet.choices.tank or _cell(sheet, row, "client")).split())
    known = {each.casefold(): tank.name for tank in sheet.team.tanks for each in (tank.name, *tank.nicknames)}
    if not name:
        return None, "no tank"
    if name.casefold() in known:
        return known[name.casefold()], None
    like = process.extractOne(name.casefold(), list(known), scorer=fuzz.ratio, score_cutoff=_ALIKE)
    return (None, f"{name}: is that {known[like[0]]}?") if like else (name, None)


def _tests(sheet: Sheet, row: Row) -> list[Cell]:
    """The cells with readings, whether the tests stand side by side or one to a row."""
    habit = sheet.team.units
    wide = [
        cells_of(column, row.cells[place], habit)
        for place, column in enumerate(sheet.columns)
        if column.role == "test" and place < len(row.cells)
    ]
    return [*wide, *_tall(sheet, row, habit)]


def _tall(sheet: Sheet, row: Row, habit: str) -> list[Cell]:
    name, value = _cell(sheet, row, "parameter"), _cell(sheet, row, "value")
    if not value:
        return []
    sign = next((sign for role, sign in (("below", "<"), ("above", ">")) if said("yes", _cell(sheet, row, role))), "")
    test = test_named(name, _cell(sheet, row, "unit"), sign + value, habit)
    return [cell_of(test, sign + value, habit)] if test else [Cell(fault=f"{name}: not read: {sign}{value}")]
