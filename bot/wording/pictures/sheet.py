"""I4 as a picture: tanks as rows, weeks as columns, a letter where a test was outside; black and white says all."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bot.facts.load import table
from bot.rules.sheet import ALARM, FINE, OUTSIDE, Line
from bot.wording.pictures.letters import cut, width_of
from bot.wording.pictures.scene import (
    BLACK,
    DARK,
    LARGE,
    LIGHT,
    MID,
    PALE,
    SMALL,
    WHITE,
    WIDTH,
    Box,
    Scene,
    Shape,
    Words,
)  # fmt: skip
from bot.wording.pictures.scene import Line as Stroke
from bot.wording.quantities import full_name

_LEFT, _NAMES, _ROW, _TOP = 8.0, 134.0, 20.0, 62.0


def scene(title: str, lines: Sequence[Line], weeks: Sequence[str]) -> Scene:
    """The whole sheet; `weeks` are the days on which the columns end, in short."""
    column = (WIDTH - _LEFT - _NAMES - 6) / len(weeks)
    bottom = _TOP + _ROW * len(lines)
    shapes: list[Shape] = [Words(_LEFT, 22, cut(title, LARGE, WIDTH - 16, bold=True), LARGE, bold=True)]
    for number, week in enumerate(weeks):
        if (len(weeks) - 1 - number) % 3 == 0:
            x = _LEFT + _NAMES + column * (number + 1)
            shapes.append(Words(x, _TOP - 8, week, SMALL, at="r", ink=DARK))
    for number, line in enumerate(lines):
        shapes += list(_row(line, _TOP + _ROW * number, column))
    legend = list(_legend(lines, bottom + 18))
    return Scene(WIDTH, legend[-1].y + 14, (*shapes, *legend))


def _row(line: Line, top: float, column: float) -> Iterator[Shape]:
    yield Stroke(((_LEFT, top + _ROW), (WIDTH - 6, top + _ROW)), 0.6, PALE)
    yield Words(_LEFT, top + 14, cut(line.tank, SMALL, _NAMES - 4), SMALL)
    for number, cell in enumerate(line.cells):
        x = _LEFT + _NAMES + column * number
        middle = x + column / 2
        if cell.level == ALARM:
            yield Box(x + 1, top + 2, column - 2, _ROW - 4, fill=BLACK)
        elif cell.level == OUTSIDE:
            yield Box(x + 1, top + 2, column - 2, _ROW - 4, edge=MID)
        if cell.level > FINE:
            ink = WHITE if cell.level == ALARM else BLACK
            yield Words(middle, top + 14.5, cell.letter, SMALL, bold=True, at="m", ink=ink)
        elif cell.level == FINE:
            yield Box(middle - 1.5, top + _ROW / 2 - 1.5, 3, 3, fill=LIGHT)


def _legend(lines: Sequence[Line], top: float) -> Iterator[Words]:
    """The letters that occur, and what the marks mean."""
    used = {c.parameter for line in lines for c in line.cells if c.level > FINE}
    told = [f"{letter} {full_name(p)}" for p, letter in table("plots")["letters"].items() if p in used]
    x, y = _LEFT, top
    for each in [*told, "grey dot: in range", "black: act", "empty: not tested"]:
        width = width_of(each, SMALL) + 12
        if x + width > WIDTH:
            x, y = _LEFT, y + 16
        yield Words(x, y, each, SMALL, ink=DARK)
        x += width
