"""I1, the strip of small lines: one row a test over half a year, each with its last value in words."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from bot.rules.plots import Point, Row, Strip, span
from bot.wording import plots as words
from bot.wording.pictures.letters import cut, width_of
from bot.wording.pictures.scene import (
    BLACK,
    DARK,
    LARGE,
    LIGHT,
    MID,
    PALE,
    PLAIN,
    SMALL,
    WIDTH,
    Box,
    Dot,
    Line,
    Scene,
    Shape,
    Words,
)  # fmt: skip

_LEFT, _RIGHT = 10.0, 306.0
_HEAD, _ROW, _PLOT, _FOOT = 48.0, 96.0, 62.0, 62.0


def scene(strip: Strip) -> Scene:
    """The whole picture."""
    height = _HEAD + _ROW * len(strip.rows) + _FOOT
    shapes: list[Shape] = [
        Words(_LEFT, 22, cut(strip.tank, LARGE, WIDTH - 20, bold=True), LARGE, bold=True),
        Words(_LEFT, 40, words.span(strip), SMALL, ink=DARK),
    ]
    bottom = _HEAD + _ROW * len(strip.rows)
    shapes += list(_months(strip, _HEAD, bottom))
    for number, row in enumerate(strip.rows):
        shapes += list(_row(strip, row, _HEAD + _ROW * number, words.name(row)))
    return Scene(WIDTH, height, (*shapes, *_legend(bottom + 28)))


def small(strip: Strip, name: str) -> Scene:
    """The first row alone, by that name, with its months: for a page where words around it say the rest."""
    top, bottom = 4.0, 4.0 + _ROW
    shapes = [*_months(strip, top, bottom), *_row(strip, strip.rows[0], top, name)]
    return Scene(WIDTH, bottom + 22, tuple(shapes))


def _row(strip: Strip, row: Row, top: float, name: str) -> Iterator[Shape]:
    """Name and last value in words above, the plot below, its highest and lowest value at the right."""
    said = words.last(row)
    yield Words(_LEFT, top + 16, name, PLAIN, bold=True)
    yield Words(_LEFT + width_of(name + "  ", PLAIN, bold=True), top + 16, said, PLAIN)
    yield from plot(strip, row, (_LEFT, top + 26, _RIGHT - _LEFT, _PLOT))


def plot(strip: Strip, row: Row, place: tuple[float, float, float, float]) -> Iterator[Shape]:
    """The plot itself in a rectangle (left, top, width, height): band, limits, line, every dot, ticks."""
    left, top, width, height = place
    low, high = span(row)

    def y(value: float) -> float:
        return top + height * (high - value) / (high - low)

    def x(at: datetime) -> float:
        return left + width * ((at - strip.since) / (strip.until - strip.since))

    if row.usual:
        ends = [y(end) for end in row.usual]
        yield Box(left, min(ends), width, max(abs(ends[0] - ends[1]), 1.5), fill=PALE)
    for end in row.limits:
        if end is not None and low < end < high:
            yield Line(((left, y(end)), (left + width, y(end))), 1.0, MID, dash=4.0)
    yield Line(((left, top + height), (left + width, top + height)), 1.0, LIGHT)
    sure = [p for p in row.points if p.confirmed]
    if len(sure) > 1:
        yield Line(tuple((x(p.at), y(p.value)) for p in sure), 1.2, MID)
    yield from _ticks(strip, x, top + height)
    for point in row.points:
        yield from _dot(point, x(point.at), y(point.value))
    yield from _ends(row, left + width + 6, top, height)


def _ends(row: Row, left: float, top: float, height: float) -> Iterator[Shape]:
    """The highest and the lowest reading, as numbers."""
    values = [p.value for p in row.points]
    low, high = span(row)
    texts = {max(values): words.number(row, max(values)), min(values): words.number(row, min(values))}
    last = 0.0
    for value in sorted(texts, reverse=True):
        y = max(top + height * (high - value) / (high - low) + 4, last + SMALL, top + SMALL - 4)
        if texts[value] != texts[max(values)] or value == max(values):
            yield Words(left, y, texts[value], SMALL, ink=DARK)
        last = y


def _dot(point: Point, x: float, y: float) -> Iterator[Shape]:
    """A dot, hollow where nobody stands by it; with an arrow foot where it said "below" or "above"."""
    yield Dot(x, y, 2.6 if point.confirmed else 3.6, hollow=not point.confirmed)
    if point.edge:
        tip = y - 7.0 * point.edge
        yield Line(((x - 2.5, tip + 2.5 * point.edge), (x, tip), (x + 2.5, tip + 2.5 * point.edge)), 1.0, DARK)


def _ticks(strip: Strip, x: object, y: float) -> Iterator[Shape]:
    assert callable(x)
    for at in strip.changes:
        yield Line(((x(at), y), (x(at), y + 5)), 1.2, DARK)
    for at in strip.doses:
        yield Box(x(at) - 1.6, y, 3.2, 7, fill=BLACK)


def _months(strip: Strip, top: float, bottom: float) -> Iterator[Shape]:
    """A pale line at the first of each month, with its name below the last row."""
    day = strip.since.replace(day=1, hour=0, minute=0, second=0, microsecond=0)
    last = -100.0
    while (day := (day + timedelta(days=32)).replace(day=1)) < strip.until:
        x = _LEFT + (_RIGHT - _LEFT) * ((day - strip.since) / (strip.until - strip.since))
        yield Line(((x, top + 22), (x, bottom)), 0.8, PALE)
        if x - last > 30 and x < _RIGHT - 10:
            yield Words(x, bottom + 14, f"{day:%b}", SMALL, at="m", ink=DARK)
            last = x


def _legend(top: float) -> Iterator[Shape]:
    """What the marks mean."""
    yield Box(_LEFT, top, 22, 10, fill=PALE)
    yield Words(_LEFT + 28, top + 9, "usual", SMALL, ink=DARK)
    yield Line(((_LEFT + 74, top + 5), (_LEFT + 100, top + 5)), 1.0, MID, dash=4.0)
    yield Words(_LEFT + 106, top + 9, "limit", SMALL, ink=DARK)
    yield Dot(_LEFT + 152, top + 5)
    yield Words(_LEFT + 160, top + 9, "reading", SMALL, ink=DARK)
    yield Dot(_LEFT + 220, top + 5, 3.6, hollow=True)
    yield Words(_LEFT + 230, top + 9, "not confirmed", SMALL, ink=DARK)
    yield Line(((_LEFT + 4, top + 18), (_LEFT + 4, top + 26)), 1.2, DARK)
    yield Words(_LEFT + 28, top + 27, "water change", SMALL, ink=DARK)
    yield Box(_LEFT + 128, top + 17, 3.2, 9, fill=BLACK)
    yield Words(_LEFT + 140, top + 27, "dose", SMALL, ink=DARK)
