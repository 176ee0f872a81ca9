"""Straight and circular edges of flat areas: where they cross other lines, how far they are, integrals along them."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import atan2, cos, hypot, pi, sin, sqrt

from foldsketch.base.points import Point

# Gauss-Legendre abscissae and weights on [-1, 1], 10 points: exact to degree 19 [Abramowitz & Stegun, table 25.4].
_ABSCISSAE = (0.1488743389816312, 0.4333953941292472, 0.6794095682990244, 0.8650633666889845, 0.9739065285171717)
_WEIGHTS = (0.2955242247147529, 0.2692667193099964, 0.2190863625159820, 0.1494513491505806, 0.0666713443086881)
GAUSS_POINTS = tuple((s * x, w) for x, w in zip(_ABSCISSAE, _WEIGHTS, strict=True) for s in (-1.0, 1.0))

_FULL_TURN = 2 * pi - 1e-12
"""Radians from which an arc is a whole circle."""

_SHORTEST_MM = 1e-12
"""Shorter pieces of an edge are left out."""

LineElement = tuple[float, float, float, float]
"""x, y, dx, dy: a point of an edge and the step along the edge that it represents, for integrals."""


@dataclass(frozen=True, slots=True)
class Segment:
    """A straight edge from a to b, mm."""

    a: Point
    b: Point

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Lowest x and y, highest x and y."""
        (ax, ay), (bx, by) = self.a, self.b
        return min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)

    def crossings(self, y: float) -> list[float]:
        """The x at which the edge crosses a level line."""
        (ax, ay), (bx, by) = self.a, self.b
        return [ax + (y - ay) * (bx - ax) / (by - ay)] if (ay > y) != (by > y) else []

    def turning_heights(self) -> list[float]:
        """The y of its ends."""
        return [self.a[1], self.b[1]]

    def distance_range(self, x: float, y: float) -> tuple[float, float]:
        """Least and greatest distance from a point, mm."""
        (ax, ay), (bx, by) = self.a, self.b
        dx, dy = bx - ax, by - ay
        k = min(1.0, max(0.0, ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy)))
        return hypot(ax + k * dx - x, ay + k * dy - y), max(hypot(ax - x, ay - y), hypot(bx - x, by - y))

    def midpoint_and_normal(self) -> tuple[Point, Point]:
        """The middle of the edge and the unit normal to its left."""
        (ax, ay), (bx, by) = self.a, self.b
        n = hypot(bx - ax, by - ay)
        return ((ax + bx) / 2, (ay + by) / 2), ((ay - by) / n, (bx - ax) / n)

    def split(self, points: Sequence[Point]) -> list[Edge]:
        """The edge cut at the points of its line that lie between its ends."""
        (ax, ay), (bx, by) = self.a, self.b
        dx, dy = bx - ax, by - ay
        n = hypot(dx, dy)
        shares = sorted({((x - ax) * dx + (y - ay) * dy) / (n * n) for x, y in points})
        cuts = [0.0, *(s for s in shares if 1e-12 < s < 1 - 1e-12), 1.0]
        return [
            Segment((ax + dx * s, ay + dy * s), (ax + dx * t, ay + dy * t))
            for s, t in itertools.pairwise(cuts)
            if (t - s) * n > _SHORTEST_MM
        ]

    def line_elements(self) -> Iterator[LineElement]:
        """Two Gauss points, exact for integrals of cubics."""
        (ax, ay), (bx, by) = self.a, self.b
        dx, dy = bx - ax, by - ay
        for s in (0.5 - sqrt(1 / 12), 0.5 + sqrt(1 / 12)):
            yield ax + dx * s, ay + dy * s, dx / 2, dy / 2


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular edge, anticlockwise from angle start over sweep radians (at most 2 pi); mm."""

    centre: Point
    radius: float
    start: float
    sweep: float

    @property
    def is_circle(self) -> bool:
        """Whether it is a whole circle."""
        return self.sweep >= _FULL_TURN

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Lowest x and y, highest x and y, of its whole circle."""
        (x, y), r = self.centre, self.radius
        return x - r, y - r, x + r, y + r

    def point(self, angle: float) -> Point:
        """The point of its circle at an angle, radians."""
        return self.centre[0] + self.radius * cos(angle), self.centre[1] + self.radius * sin(angle)

    def covers(self, angle: float) -> bool:
        """Whether the arc has a point at an angle, radians."""
        return self.is_circle or (angle - self.start) % (2 * pi) < self.sweep

    def crossings(self, y: float) -> list[float]:
        """The x at which the arc crosses a level line."""
        (cx, cy), r = self.centre, self.radius
        if abs(y - cy) >= r:
            return []
        half = sqrt(r * r - (y - cy) ** 2)
        return [cx + u for u in (-half, half) if self.covers(atan2(y - cy, u))]

    def turning_heights(self) -> list[float]:
        """The y of its ends, and of its lowest and highest point."""
        angles = [self.start, self.start + self.sweep, *(t for t in (pi / 2, -pi / 2) if self.covers(t))]
        return [self.point(t)[1] for t in angles]

    def distance_range(self, x: float, y: float) -> tuple[float, float]:
        """Least and greatest distance from a point, mm."""
        away, toward = hypot(x - self.centre[0], y - self.centre[1]), atan2(y - self.centre[1], x - self.centre[0])
        found = [hypot(u - x, v - y) for u, v in (self.point(self.start), self.point(self.start + self.sweep))]
        if self.covers(toward):
            found.append(abs(away - self.radius))
        if self.covers(toward + pi):
            found.append(away + self.radius)
        return min(found), max(found)

    def midpoint_and_normal(self) -> tuple[Point, Point]:
        """The middle of the arc and the unit normal to its left, towards the centre."""
        t = self.start + self.sweep / 2
        return self.point(t), (-cos(t), -sin(t))

    def split(self, points: Sequence[Point]) -> list[Edge]:
        """The arc cut at the points of its circle that lie between its ends."""
        cx, cy = self.centre
        turns = sorted({(atan2(y - cy, x - cx) - self.start) % (2 * pi) for x, y in points})
        cuts = [0.0, *(t for t in turns if 1e-12 < t < self.sweep - 1e-12), self.sweep]
        return [
            Arc(self.centre, self.radius, self.start + s, t - s)
            for s, t in itertools.pairwise(cuts)
            if (t - s) * self.radius > _SHORTEST_MM
        ]

    def line_elements(self) -> Iterator[LineElement]:
        """Ten Gauss points for every quarter turn or part of one."""
        parts = max(1, round(self.sweep / (pi / 2) + 0.49))
        half = self.sweep / parts / 2
        for k in range(parts):
            for u, w in GAUSS_POINTS:
                t = self.start + (2 * k + 1 + u) * half
                x, y = self.point(t)
                yield x, y, -self.radius * sin(t) * w * half, self.radius * cos(t) * w * half


Edge = Segment | Arc


def intersections(a: Edge, b: Edge) -> list[Point]:
    """Points where the lines or circles of two edges meet, also beyond their ends; the ends of b if these coincide."""
    if isinstance(a, Segment) and isinstance(b, Segment):
        return _lines_meet(a, b)
    if isinstance(a, Arc) and isinstance(b, Arc):
        return _circles_meet(a, b)
    return _line_meets_circle(a, b) if isinstance(a, Segment) and isinstance(b, Arc) else intersections(b, a)


def _lines_meet(a: Segment, b: Segment) -> list[Point]:
    dx, dy = a.b[0] - a.a[0], a.b[1] - a.a[1]
    ux, uy = b.b[0] - b.a[0], b.b[1] - b.a[1]
    cross = dx * uy - dy * ux
    if abs(cross) <= 1e-12 * hypot(dx, dy) * hypot(ux, uy):
        return [b.a, b.b]
    s = ((b.a[0] - a.a[0]) * uy - (b.a[1] - a.a[1]) * ux) / cross
    return [(a.a[0] + dx * s, a.a[1] + dy * s)]


def _circles_meet(a: Arc, b: Arc) -> list[Point]:
    dx, dy = b.centre[0] - a.centre[0], b.centre[1] - a.centre[1]
    d = hypot(dx, dy)
    if d < 1e-12 * (a.radius + b.radius):
        return [b.point(b.start), b.point(b.start + b.sweep)]
    along = (d * d + a.radius**2 - b.radius**2) / (2 * d)
    square = a.radius**2 - along**2
    if square < 0:
        return []
    h = sqrt(square)
    x, y = a.centre[0] + dx / d * along, a.centre[1] + dy / d * along
    return [(x - dy / d * h, y + dx / d * h), (x + dy / d * h, y - dx / d * h)]


def _line_meets_circle(line: Segment, arc: Arc) -> list[Point]:
    (ax, ay), (bx, by), (cx, cy) = line.a, line.b, arc.centre
    n = hypot(bx - ax, by - ay)
    dx, dy = (bx - ax) / n, (by - ay) / n
    along, away = (cx - ax) * dx + (cy - ay) * dy, (cy - ay) * dx - (cx - ax) * dy
    square = arc.radius**2 - away**2
    if square < 0:
        return []
    h = sqrt(square)
    return [(ax + dx * s, ay + dy * s) for s in (along - h, along + h)]
