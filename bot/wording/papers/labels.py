"""B1 and B4, labels on A4 and Letter: cut along the dashes. A tank's has its name and code to read, and one to scan."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TypeVar

from bot.facts.load import table
from bot.wording.papers.page import Page
from bot.wording.pictures.scene import DARK, MID

_MARGIN = 10.0


@dataclass(frozen=True)
class Label:
    """The label on a tank's cabinet; `link` is what the camera reads."""

    tank: str
    client: str
    code: str
    size: str
    link: str


@dataclass(frozen=True)
class Tool:
    """The label on a net, bucket or vat."""

    name: str
    link: str


def tanks(labels: Sequence[Label], size: str, at: datetime) -> bytes:
    """The sheets as a PDF."""
    told = table("papers")["sheet"]
    page = Page(size, "Cabinet labels", at)
    for label, x, y, width, height in _placed(page, labels, told["columns"], told["rows"]):
        _tank(page, label, (x, y, width, height))
    return page.bytes()


def tools(labels: Sequence[Tool], size: str, at: datetime) -> bytes:
    """The sheets as a PDF."""
    told = table("papers")["sheet"]
    page = Page(size, "Labels", at)
    for label, x, y, width, height in _placed(page, labels, told["tool_columns"], told["tool_rows"]):
        side = min(height - 6, width * 0.5)
        page.code(x + 2, y + (height - side) / 2, side, label.link)
        room = width - side - 7
        points = page.fitting(label.name, room, height / 2, 15, bold=True)
        end = page.paragraph(x + side + 4, y + height * 0.4, label.name, room, points, bold=True)
        page.words(x + side + 4, end, "scan me", 8, ink=DARK)
    return page.bytes()


Each = TypeVar("Each")


def _placed(
    page: Page, labels: Sequence[Each], columns: int, rows: int
) -> Iterator[tuple[Each, float, float, float, float]]:
    """Each label with its place, on a fresh page wherever the last is full; the cutting lines are drawn."""
    width, height = (page.width - 2 * _MARGIN) / columns, (page.height - 2 * _MARGIN) / rows
    for number, label in enumerate(labels):
        place = number % (columns * rows)
        if place == 0:
            page.turn()
        x, y = _MARGIN + width * (place % columns), _MARGIN + height * (place // columns)
        page.line([(x, y), (x + width, y), (x + width, y + height), (x, y + height), (x, y)], 0.15, MID, dash=1.5)
        yield label, x, y, width, height


def _tank(page: Page, label: Label, place: tuple[float, float, float, float]) -> None:
    x, y, width, height = place
    side = min(height - 22, 44.0)
    page.code(x + 3, y + 5, side, label.link)
    left, room = x + side + 6, width - side - 10
    size = page.fitting(label.tank, room, 19, 15, bold=True)
    line = page.paragraph(left, y + 11, label.tank, room, size, bold=True)
    about = " · ".join(filter(None, (label.client, label.size)))
    page.paragraph(left, line, about, room, page.fitting(about, room, 8, 9), ink=DARK)
    page.words(left, y + height - 21, label.code, 34, bold=True)
    page.words(left, y + height - 14.5, f"type: here {label.code}", 10)
    page.words(x + 5, y + height - 6, table("papers")["label"]["foot"], 11)
