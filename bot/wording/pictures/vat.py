"""I6, a vat: its level against the draws planned for the week, if nothing is mixed meanwhile."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from bot.wording.pictures.letters import cut
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
    Line,
    Scene,
    Shape,
    Words,
)  # fmt: skip

_LEFT, _RIGHT, _HEIGHT, _EACH = 10.0, 350.0, 96.0, 164.0


@dataclass(frozen=True)
class Week:
    """One kind of water: what the vats can hold and hold now, then each day its name and planned draw; one unit."""

    name: str
    room: float
    level: float
    days: Sequence[tuple[str, float]]
    unit: str


def scene(title: str, weeks: Sequence[Week]) -> Scene:
    """The whole picture."""
    shapes: list[Shape] = [Words(_LEFT, 24, cut(title, LARGE, WIDTH - 20, bold=True), LARGE, bold=True)]
    for number, week in enumerate(weeks):
        shapes += list(_week(week, 40 + _EACH * number))
    foot = 40 + _EACH * len(weeks)
    note = "Left each evening if nothing is mixed; below, the draws."
    shapes.append(Words(_LEFT, foot + 12, cut(note, SMALL, WIDTH - 16), SMALL, ink=DARK))
    return Scene(WIDTH, foot + 24, tuple(shapes))


def _week(week: Week, top: float) -> Iterator[Shape]:
    most = max(week.room, week.level, 1.0)
    yield Words(_LEFT, top + 12, f"{week.name}: {week.level:.0f} of {week.room:.0f} {week.unit} now", PLAIN, bold=True)
    base, column = top + 20 + _HEIGHT, (_RIGHT - _LEFT) / (len(week.days) + 1)
    yield Line(((_LEFT, top + 20), (_RIGHT, top + 20)), 0.8, LIGHT, dash=4.0)
    yield Line(((_LEFT, base), (_RIGHT, base)), 1.0, DARK)
    left = week.level
    for number, (name, draw) in enumerate([("now", 0.0), *week.days]):
        left -= draw
        x, height = _LEFT + column * number, _HEIGHT * max(left, 0.0) / most
        yield Box(x + 5, base - height, column - 10, height, fill=LIGHT if number else MID)
        if left < 0:
            yield Words(x + column / 2, base - 6, "short", SMALL, bold=True, at="m")
        else:
            yield Words(x + column / 2, max(base - height - 4, top + 34), f"{left:.0f}", SMALL, at="m", ink=BLACK)
        yield Words(x + column / 2, base + 14, name, SMALL, at="m", ink=DARK)
        said = f"-{draw:.0f}" if draw else ""
        yield Words(x + column / 2, base + 28, said, SMALL, bold=left < 0, at="m", ink=BLACK if left < 0 else DARK)
    yield Line(((_LEFT, base + 36), (_RIGHT, base + 36)), 0.6, PALE)
