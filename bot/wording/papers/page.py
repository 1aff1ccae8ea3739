"""The press: a page with our letters on it, on which words, scenes, photos and codes are placed. Lengths in mm."""

from __future__ import annotations

import logging
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from bot.wording.papers.codes import modules
from bot.wording.pictures.letters import cut, font_file, wrapped
from bot.wording.pictures.raster import dashes, photo
from bot.wording.pictures.scene import MID, PALE, Box, Dot, Line, Photo, Scene, Shape, Words

SIZES = {"a4": (210.0, 297.0), "letter": (215.9, 279.4), "a6": (105.0, 148.0)}
_MM_OF_POINT = 25.4 / 72
_LEADING, _SMALLEST = 1.32, 5.0
_PHOTO_DOTS = 8  # pixels a mm, about 200 dpi


class Page:
    """A document that is being filled, page by page; `bytes` gives the file."""

    def __init__(self, size: str, title: str, at: datetime) -> None:
        """`size`: a key of SIZES; `at` stands in the file as its date, so that the same page is the same bytes."""
        from fpdf import FPDF

        logging.getLogger("fontTools").setLevel(logging.ERROR)
        logging.getLogger("fpdf").setLevel(logging.ERROR)
        self.width, self.height = SIZES[size]
        self._pdf: Any = FPDF(unit="mm", format=(self.width, self.height))
        self._pdf.set_auto_page_break(False)
        self._pdf.set_margin(0)
        self._pdf.c_margin = 0
        self._pdf.add_font("letters", "", font_file())
        self._pdf.add_font("letters", "B", font_file(bold=True))
        self._pdf.set_title(title)
        self._pdf.set_creation_date(at)
        self._pdf.set_lang("en")

    def turn(self) -> None:
        """A new page."""
        self._pdf.add_page()

    def bytes(self) -> bytes:
        """The file."""
        return bytes(self._pdf.output())

    def words(
        self, x: float, y: float, text: str, points: float = 11, bold: bool = False, at: str = "l", ink: int = 0,
        room: float | None = None,
    ) -> None:  # fmt: skip
        """One line with its baseline at `y`; cut to `room` where one is given."""
        mm = points * _MM_OF_POINT
        shown = cut(text, mm, room, bold) if room else text
        self._pdf.set_font("letters", "B" if bold else "", points)
        self._pdf.set_text_color(ink)
        left = {"l": 0.0, "m": 0.5, "r": 1.0}[at] * self._pdf.get_string_width(shown)
        self._pdf.text(x - left, y, shown)

    def paragraph(
        self, x: float, y: float, text: str, room: float, points: float = 11, bold: bool = False, ink: int = 0
    ) -> float:
        """Lines that break at `room`; returns the baseline of the line that would follow."""
        step = points * _MM_OF_POINT * _LEADING
        for line in text.split("\n"):
            for part in wrapped(line, points * _MM_OF_POINT, room, bold) or [""]:
                self.words(x, y, part, points, bold, ink=ink)
                y += step
        return y

    def fitting(self, text: str, room: float, height: float, points: float, bold: bool = False) -> float:
        """The largest size, `points` at most, at which the text broken at `room` is no higher than `height`."""
        while points > _SMALLEST:
            lines = wrapped(text, points * _MM_OF_POINT, room, bold)
            if len(lines) * points * _MM_OF_POINT * _LEADING <= height and not any("…" in line for line in lines):
                break
            points -= 0.5
        return points

    def line(self, points: Sequence[tuple[float, float]], width: float = 0.2, ink: int = 0, dash: float = 0.0) -> None:
        """A line through points."""
        self._pdf.set_line_width(width)
        self._pdf.set_draw_color(ink)
        shape = Line(tuple(points), dash=dash)
        for piece in dashes(shape) if dash else [tuple(points)]:
            self._pdf.polyline(piece)

    def box(
        self, x: float, y: float, width: float, height: float, fill: int | None = None, edge: int | None = None,
        line: float = 0.2,
    ) -> None:  # fmt: skip
        """A rectangle."""
        self._pdf.set_line_width(line)
        if fill is not None:
            self._pdf.set_fill_color(fill)
        if edge is not None:
            self._pdf.set_draw_color(edge)
        style = ("D" if edge is not None else "") + ("F" if fill is not None else "")
        if style:
            self._pdf.rect(x, y, width, height, style=style)

    def photo(self, x: float, y: float, width: float, height: float, path: str) -> None:
        """A photo cut to the rectangle; a grey field where there is none to open."""
        try:
            found = photo(path, (round(width * _PHOTO_DOTS), round(height * _PHOTO_DOTS)))
        except OSError:
            self.box(x, y, width, height, PALE, MID)
            self.words(x + width / 2, y + height / 2, "photo not on this machine", 9, at="m")
            return
        self._pdf.image(found, x, y, width, height)

    def code(self, x: float, y: float, side: float, text: str) -> None:
        """A QR code with its white border, `side` wide in all."""
        rows = modules(text)
        step = side / len(rows)
        self.box(x, y, side, side, fill=255)
        self._pdf.set_fill_color(0)
        for down, row in enumerate(rows):
            for start, count in _runs(row):
                self._pdf.rect(x + start * step, y + down * step, count * step, step * 1.02, style="F")

    def scene(self, x: float, y: float, width: float, scene: Scene) -> float:
        """A scene, brought to that width; returns its height."""
        scale = width / scene.width
        for shape in scene.shapes:
            self._shape(shape, x, y, scale)
        return scene.height * scale

    def _shape(self, shape: Shape, x: float, y: float, scale: float) -> None:
        match shape:
            case Words():
                points = shape.size * scale / _MM_OF_POINT
                self.words(
                    x + shape.x * scale, y + shape.y * scale, shape.text, points, shape.bold, shape.at, shape.ink
                )
            case Line():
                moved = [(x + a * scale, y + b * scale) for a, b in shape.points]
                self.line(moved, shape.width * scale, shape.ink, shape.dash * scale)
            case Dot():
                self._dot(x + shape.x * scale, y + shape.y * scale, shape.radius * scale, shape.hollow)
            case Box():
                place = (x + shape.x * scale, y + shape.y * scale, shape.width * scale, shape.height * scale)
                self.box(*place, shape.fill, shape.edge, shape.line * scale)
            case Photo():
                self.photo(
                    x + shape.x * scale, y + shape.y * scale, shape.width * scale, shape.height * scale, shape.path
                )

    def _dot(self, x: float, y: float, radius: float, hollow: bool) -> None:
        self._pdf.set_line_width(radius * 0.45)
        self._pdf.set_draw_color(0)
        self._pdf.set_fill_color(255 if hollow else 0)
        self._pdf.circle(x, y, radius, style="DF")


def _runs(row: Sequence[bool]) -> list[tuple[int, int]]:
    """Where dark stretches begin, and how long they are."""
    runs: list[tuple[int, int]] = []
    for place, dark in enumerate(row):
        if dark and runs and sum(runs[-1]) == place:
            runs[-1] = (runs[-1][0], runs[-1][1] + 1)
        elif dark:
            runs.append((place, 1))
    return runs
