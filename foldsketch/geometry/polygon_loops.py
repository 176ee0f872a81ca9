"""Closed loops of corners as plain numbers: their edges, area, what is inside, how far a ray goes.

Plain Python: on loops of a few corners it is quicker than numpy, and part uses it without loading numpy.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from foldsketch.base.points import Point

PolygonLoop = list[list[float]]
"""Corners x, y of a closed loop, mm."""

SegmentCoords = tuple[float, float, float, float]
"""A line from x, y to x, y, mm."""


def loop_segments(loop: Sequence[Sequence[float]]) -> list[SegmentCoords]:
    """The edges of a closed loop of corners.

    >>> loop_segments([(0, 0), (4, 0), (4, 3)])
    [(0, 0, 4, 0), (4, 0, 4, 3), (4, 3, 0, 0)]
    """
    return [(a[0], a[1], b[0], b[1]) for a, b in zip(loop, (*loop[1:], loop[0]), strict=True)]


def point_in_polygon(loop: PolygonLoop, p: Point) -> bool:
    """Whether a point is inside a loop: a ray from it to +x crosses an odd number of edges.

    >>> point_in_polygon([[0, 0], [4, 0], [4, 3]], (3, 1)), point_in_polygon([[0, 0], [4, 0], [4, 3]], (1, 2))
    (True, False)
    """
    x, y = p
    odd = False
    ax, ay = loop[-1]
    for bx, by in loop:
        if (ay > y) != (by > y) and x < ax + (y - ay) * (bx - ax) / (by - ay):
            odd = not odd
        ax, ay = bx, by
    return odd


def distance_to_loop(p: Point, loop: Sequence[Sequence[float]]) -> float:
    """From a point to the nearest edge of a closed loop, mm.

    >>> distance_to_loop((0, 2), [(0, 0), (4, 0), (4, 3)])
    1.6
    """
    nearest = []
    for ax, ay, bx, by in loop_segments(loop):
        dx, dy = bx - ax, by - ay
        k = min(max(((p[0] - ax) * dx + (p[1] - ay) * dy) / (dx * dx + dy * dy), 0.0), 1.0)
        nearest.append(hypot(p[0] - ax - k * dx, p[1] - ay - k * dy))
    return min(nearest)


def ray_distance(loop: PolygonLoop, p: Point, direction: Point, limit: float) -> float:
    """Distance from a point in a direction (of length 1) to the first edge of a loop, at most limit, mm.

    >>> ray_distance([[2, -1], [4, -1], [4, 1], [2, 1]], (0, 0), (1, 0), 9)
    2.0
    """
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


def signed_area(loop: Sequence[Sequence[float]]) -> float:
    """Area of a loop, mm2; positive if its corners run anticlockwise.

    >>> signed_area([(0, 0), (4, 0), (4, 3)])
    6.0
    """
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
