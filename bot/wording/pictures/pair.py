"""I2, before and after: two photos beside each other, cut to the same shape."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bot.wording.pictures.letters import cut
from bot.wording.pictures.scene import DARK, LARGE, PLAIN, WIDTH, Photo, Scene, Shape, Words

_GAP, _TOP, _HEIGHT = 6.0, 34.0, 234.0


@dataclass(frozen=True)
class Half:
    """One of the two: its file and its day."""

    path: str
    day: str


def scene(tank: str, halves: Sequence[Half]) -> Scene:
    """Both, with their days below and the tank above."""
    width = (WIDTH - 20 - _GAP) / 2
    shapes: list[Shape] = [Words(10, 24, cut(tank, LARGE, WIDTH - 20, bold=True), LARGE, bold=True)]
    for number, half in enumerate(halves):
        left = 10 + number * (width + _GAP)
        shapes += [
            Photo(left, _TOP, width, _HEIGHT, half.path),
            Words(left, _TOP + _HEIGHT + 18, half.day, PLAIN, ink=DARK),
        ]
    return Scene(WIDTH, _TOP + _HEIGHT + 28, tuple(shapes))
