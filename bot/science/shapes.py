"""Geometry of tanks: inside measures, floor area, and the water that stands so high; lengths in cm, volumes in L.

Source: plane and solid geometry. Checked against worked examples and by integration (fixtures/calc/volume.jsonl).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import acos, asin, hypot, pi, sin, sqrt

from bot.science.solving import solved

CM3_IN_L = 1000.0


@dataclass(frozen=True)
class Measures:
    """A tank's own measures, cm; 0 where it has none of the kind. `width` of a bow front is at the ends."""

    length_cm: float = 0.0
    width_cm: float = 0.0
    radius_cm: float = 0.0
    side_cm: float = 0.0
    bow_cm: float = 0.0


@dataclass(frozen=True)
class Shape:
    """A shape: the measures it needs, its floor area, and its measures once the glass is taken off."""

    needs: tuple[str, ...]
    floor_cm2: Callable[[Measures], float]
    inside: Callable[[Measures, float], Measures]


def water_L(shape: str, inside: Measures, level_cm: float) -> float:
    """Water that stands level_cm high on the inside floor, litres; a bowl's level is at most its diameter."""
    if shape == "bowl":
        return pi * level_cm**2 * (3 * inside.radius_cm - level_cm) / 3 / CM3_IN_L
    return SHAPES[shape].floor_cm2(inside) * level_cm / CM3_IN_L


def level_cm(shape: str, inside: Measures, volume_L: float) -> float | None:
    """How high so much water stands, cm; None where a bowl cannot hold it. The inverse of `water_L`."""
    if shape == "bowl":
        return solved(lambda level: water_L("bowl", inside, level), volume_L, 0, 2 * inside.radius_cm)
    return volume_L * CM3_IN_L / SHAPES[shape].floor_cm2(inside)


def _circle(at: Measures) -> float:
    return pi * at.radius_cm**2


def _bow_front(at: Measures) -> float:
    """Box behind, segment of a circle before it: R = (w²/4 + b²)/2b, area R² (a - sin a)/2, a = 2 asin(w/2R)."""
    box = at.length_cm * at.width_cm
    if at.bow_cm <= 0:
        return box
    radius = (at.length_cm**2 / 4 + at.bow_cm**2) / (2 * at.bow_cm)
    angle = 2 * asin(min(1.0, at.length_cm / (2 * radius)))
    angle = angle if at.bow_cm <= radius else 2 * pi - angle
    return box + radius**2 * (angle - sin(angle)) / 2


def _thinner_walls(at: Measures, glass_cm: float) -> Measures:
    return Measures(at.length_cm - 2 * glass_cm, at.width_cm - 2 * glass_cm, at.radius_cm - glass_cm, bow_cm=at.bow_cm)


def _thinner_half(at: Measures, glass_cm: float) -> Measures:
    """The flat back takes glass too: what is left is a segment; given as the half circle of the same area."""
    radius = at.radius_cm - glass_cm
    if radius <= glass_cm:
        return Measures()
    segment = radius**2 * acos(glass_cm / radius) - glass_cm * sqrt(radius**2 - glass_cm**2)
    return Measures(radius_cm=sqrt(2 * segment / pi))


def _thinner_quarter(at: Measures, glass_cm: float) -> Measures:
    """Both flat sides take glass: a corner of the circle is left; given as the quarter circle of the same area."""
    radius = at.radius_cm - glass_cm
    if radius <= glass_cm * sqrt(2):
        return Measures()
    end = sqrt(radius**2 - glass_cm**2)
    corner = (radius**2 * (asin(end / radius) - asin(glass_cm / radius))) / 2 - glass_cm * (end - glass_cm)
    return Measures(radius_cm=sqrt(4 * corner / pi))


def _thinner_hexagon(at: Measures, glass_cm: float) -> Measures:
    return Measures(side_cm=at.side_cm - 2 * glass_cm / sqrt(3))


def _thinner_triangle(at: Measures, glass_cm: float) -> Measures:
    """The inside of a right triangle is the same triangle, smaller by glass over the radius of its inner circle."""
    inner = (at.length_cm + at.width_cm - hypot(at.length_cm, at.width_cm)) / 2
    left = 1 - glass_cm / inner
    return Measures(at.length_cm * left, at.width_cm * left)


SHAPES: dict[str, Shape] = {
    "box": Shape(("length", "width"), lambda at: at.length_cm * at.width_cm, _thinner_walls),
    "cylinder": Shape(("radius",), _circle, _thinner_walls),
    "half_cylinder": Shape(("radius",), lambda at: _circle(at) / 2, _thinner_half),
    "quarter_cylinder": Shape(("radius",), lambda at: _circle(at) / 4, _thinner_quarter),
    "hexagon": Shape(("side",), lambda at: 1.5 * sqrt(3) * at.side_cm**2, _thinner_hexagon),
    "bow_front": Shape(("length", "width", "bow"), _bow_front, _thinner_walls),
    "bowl": Shape(("radius",), _circle, _thinner_walls),
    "oval": Shape(("length", "width"), lambda at: pi * at.length_cm * at.width_cm / 4, _thinner_walls),
    "triangle": Shape(("length", "width"), lambda at: at.length_cm * at.width_cm / 2, _thinner_triangle),
}
