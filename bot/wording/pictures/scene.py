"""What a picture is made of: words, lines, dots, boxes, photos, at places counted from the top left.

A picture for the chat is 360 wide, as a phone shows it; nothing in it is written smaller than SMALL. Ink is 0 (black)
to 255 (white): there is no colour, so that paper and any eye see the same. The same scene goes into a PNG (raster.py)
and onto a page (papers/page.py).
"""

from __future__ import annotations

from dataclasses import dataclass

WIDTH = 360.0
SMALL, PLAIN, LARGE = 12.0, 14.0, 17.0
BLACK, DARK, MID, LIGHT, PALE, WHITE = 0, 70, 130, 190, 226, 255


@dataclass(frozen=True)
class Words:
    """Text on one line: its baseline at `y`; `at`: whether `x` is its left end, middle or right end ("l", "m", "r")."""

    x: float
    y: float
    text: str
    size: float = PLAIN
    bold: bool = False
    at: str = "l"
    ink: int = BLACK


@dataclass(frozen=True)
class Line:
    """A line through points; `dash` is the length of a dash and of a gap, 0 for none."""

    points: tuple[tuple[float, float], ...]
    width: float = 1.0
    ink: int = BLACK
    dash: float = 0.0


@dataclass(frozen=True)
class Dot:
    """A round mark; a hollow one is white inside."""

    x: float
    y: float
    radius: float = 2.6
    hollow: bool = False


@dataclass(frozen=True)
class Box:
    """A rectangle, filled, edged, or both."""

    x: float
    y: float
    width: float
    height: float
    fill: int | None = None
    edge: int | None = None
    line: float = 1.0


@dataclass(frozen=True)
class Photo:
    """A picture file, cut from its middle to fill the rectangle; where it cannot be opened, a grey field says so."""

    x: float
    y: float
    width: float
    height: float
    path: str


Shape = Words | Line | Dot | Box | Photo


@dataclass(frozen=True)
class Scene:
    """A whole picture."""

    width: float
    height: float
    shapes: tuple[Shape, ...]


def moved(shape: Shape, dx: float, dy: float) -> Shape:
    """The shape at another place."""
    if isinstance(shape, Line):
        return Line(tuple((x + dx, y + dy) for x, y in shape.points), shape.width, shape.ink, shape.dash)
    return type(shape)(**(vars(shape) | {"x": shape.x + dx, "y": shape.y + dy}))
