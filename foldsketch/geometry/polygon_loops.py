"""Closed loops of a few corners as plain numbers: what lies inside, how far a ray goes, area."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from foldsketch.base.arrays import Point
from foldsketch.geometry.box_clearance import SegmentCoords

PolygonLoop = list[list[float]]
"""Corners x, y of a closed loop, mm."""


def loop_segments(loop: Sequence[Sequence[float]]) -> list[SegmentCoords]:
    """The edges of a closed loop of corners."""
    return [(a[0], a[1], b[0], b[1]) for a, b in zip(loop, (*loop[1:], loop[0]), strict=True)]


def point_in_polygon(loop: PolygonLoop, p: Point) -> bool:
    """True when a point lies inside a loop."""
    x, y = p
    odd = False
    ax, ay = loop[-1]
    for bx, by in loop:
        if (ay > y) != (by > y) and x < ax + (y - ay) * (bx - ax) / (by - ay):
            odd = not odd
        ax, ay = bx, by
    return odd


def ray_distance(loop: PolygonLoop, p: Point, direction: Point, limit: float) -> float:
    """How far one can go from a point in a direction (of length 1) before a loop, at most limit mm."""
    x, y = p
    dx, dy = direction
    ax, ay = loop[-1]
    u = (ay - y) * dx - (ax - x) * dy
    for bx, by in loop:
        v = (by - y) * dx - (bx - x) * dy  # distance of the corner from the line of the ray
        if (u > 0) != (v > 0):
            a, b = (ax - x) * dx + (ay - y) * dy, (bx - x) * dx + (by - y) * dy
            along = a + (b - a) * (u / (u - v))
            if 1e-9 < along < limit:
                limit = along
        ax, ay, u = bx, by, v
    return limit


def signed_area(loop: PolygonLoop) -> float:
    """Area of a loop, mm2; anticlockwise is positive."""
    total = 0.0
    ax, ay = loop[-1]
    for bx, by in loop:
        total += ax * by - ay * bx
        ax, ay = bx, by
    return total / 2


def perimeter(loop: Sequence[Sequence[float]]) -> float:
    """Length of a closed loop, mm.

    >>> perimeter([(0, 0), (4, 0), (4, 3)])
    12.0
    """
    total = 0.0
    ax, ay = loop[-1]
    for bx, by in loop:
        total += hypot(bx - ax, by - ay)
        ax, ay = bx, by
    return total
