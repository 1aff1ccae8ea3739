"""I5, a client's year: a page for each tank, its tests over twelve months, what was done, two photos."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from bot.facts.load import table
from bot.rules.plots import Row, Strip
from bot.wording.papers.page import Page
from bot.wording.pictures import strip as strips
from bot.wording.pictures.scene import DARK, LIGHT, MID
from bot.wording.plots import name

_LEFT = 20.0


@dataclass(frozen=True)
class TankPage:
    """A tank's page: its plots, its rows of words, its photos as (path, day)."""

    tank: str
    strip: Strip
    rows: Sequence[tuple[str, str]]
    photos: Sequence[tuple[str, str]]


def pdf(title: str, summary: str, tanks: Sequence[TankPage], team: str, size: str, at: datetime) -> bytes:
    """The pages as a PDF."""
    page = Page(size, title, at)
    for tank in tanks:
        page.turn()
        _tank(page, tank, _head(page, title, summary, team))
    return page.bytes()


def _head(page: Page, title: str, summary: str, team: str) -> float:
    room = page.width - 2 * _LEFT
    page.words(_LEFT, 18, team, 10, ink=DARK)
    page.words(page.width - _LEFT, 18, "Year page", 10, at="r", ink=DARK)
    page.line([(_LEFT, 21), (page.width - _LEFT, 21)], 0.3)
    y = page.paragraph(_LEFT, 31, title, room, 15, bold=True)
    return page.paragraph(_LEFT, y, summary, room, 10.5, ink=DARK)


def _tank(page: Page, tank: TankPage, top: float) -> None:
    room = page.width - 2 * _LEFT
    y = page.paragraph(_LEFT, top + 6, tank.tank, room, 13, bold=True) - 3
    half = (room - 8) / 2
    for number, row in enumerate(tank.strip.rows):
        place = (_LEFT + (half + 8) * (number % 2), y + 40.0 * (number // 2))
        one = Strip(tank.strip.tank, tank.strip.since, tank.strip.until, (row,), tank.strip.changes)
        page.scene(*place, half, strips.small(one, plain_name(row)))
    y += 40.0 * -(-len(tank.strip.rows) // 2) + 6
    for name_, said in tank.rows:
        page.words(_LEFT, y, name_, 10.5, bold=True)
        y = page.paragraph(_LEFT + 32, y, said, room - 32, 10.5) + 1.5
        page.line([(_LEFT, y - 4.3), (_LEFT + room, y - 4.3)], 0.15, LIGHT)
    for number, (path, day) in enumerate(tank.photos):
        left = _LEFT + (half + 8) * number
        page.photo(left, y + 2, half, half * 0.62, path)
        page.words(left, y + half * 0.62 + 7, day, 9, ink=DARK)
    foot = "Grey band: usual. Dashed: limits. Ticks: water changes."
    page.words(_LEFT, page.height - 14, foot, 9, ink=MID)


def plain_name(row: Row) -> str:
    """The test in everyday words."""
    return str(table("report")["tests"].get(row.parameter) or name(row))
