"""I3, the bar of a day: hands and every wait on one time axis, the door at its end."""

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
    SMALL,
    WHITE,
    WIDTH,
    Box,
    Line,
    Scene,
    Shape,
    Words,
)  # fmt: skip

_LEFT, _RIGHT, _ROW, _TOP = 10.0, 350.0, 36.0, 44.0
_STEPS = (5, 10, 15, 30, 60, 120, 240)


@dataclass(frozen=True)
class Bar:
    """Something that took or takes time, in minutes of the day. `how`: hands, wait, running, planned."""

    label: str
    spans: Sequence[tuple[float, float]]
    how: str


def scene(title: str, bars: Sequence[Bar], now: float, door: float, door_words: str) -> Scene:
    """The whole picture; `now` and `door` in minutes of the day."""
    start = min((a for bar in bars for a, _ in bar.spans), default=now)
    end = max([door, now, start + 10, *(b for bar in bars for _, b in bar.spans)])
    scale = (_RIGHT - _LEFT) / (end - start)
    bottom = _TOP + _ROW * len(bars)
    shapes: list[Shape] = [Words(_LEFT, 24, cut(title, LARGE, WIDTH - 20, bold=True), LARGE, bold=True)]
    shapes += list(_axis(start, end, scale, bottom))
    for number, bar in enumerate(bars):
        shapes += list(_bar(bar, _TOP + _ROW * number, start, scale))
    return Scene(WIDTH, bottom + 58, (*shapes, *_door(start, scale, now, door, door_words, bottom)))


def _bar(bar: Bar, top: float, start: float, scale: float) -> Iterator[Shape]:
    bold = bar.how == "hands"
    yield Words(_LEFT, top + 12, cut(bar.label, SMALL, _RIGHT - _LEFT, bold), SMALL, bold)
    for a, b in bar.spans:
        x, width = _LEFT + (a - start) * scale, max((b - a) * scale, 2.0)
        fill = {"hands": BLACK, "wait": LIGHT, "running": PALE, "planned": WHITE}[bar.how]
        edge = None if bar.how in ("hands", "wait") else DARK
        yield Box(x, top + 17, width, 11, fill=fill, edge=edge)


def _axis(start: float, end: float, scale: float, bottom: float) -> Iterator[Shape]:
    step = next((s for s in _STEPS if (end - start) / s <= 6), _STEPS[-1])
    tick = -(-start // step) * step
    while tick <= end:
        x = _LEFT + (tick - start) * scale
        yield Line(((x, _TOP), (x, bottom + 4)), 0.8, PALE)
        if 14 < x < WIDTH - 14:
            yield Words(x, bottom + 18, f"{int(tick) // 60 % 24:02d}:{int(tick) % 60:02d}", SMALL, at="m", ink=DARK)
        tick += step


def _door(start: float, scale: float, now: float, door: float, said: str, bottom: float) -> Iterator[Shape]:
    x = _LEFT + (door - start) * scale
    yield Line(((x, _TOP - 6), (x, bottom + 4)), 2.2, BLACK)
    here = _LEFT + (now - start) * scale
    if abs(here - x) > 3:
        yield Line(((here, _TOP - 2), (here, bottom + 4)), 1.0, MID, dash=3.0)
    words = f"Black: hands. Grey: wait. Framed: still to come. {said}"
    yield Words(_LEFT, bottom + 36, cut(words, SMALL, _RIGHT - _LEFT), SMALL, ink=DARK)
