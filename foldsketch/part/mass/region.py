"""Regions: flat areas bounded by straight and circular edges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import acos, atan2, cos, hypot, pi, sin, sqrt

from foldsketch.part.model import Point2


@dataclass(frozen=True, slots=True)
class Segment:
    """A straight edge from a to b, mm."""

    a: Point2
    b: Point2


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular edge, anticlockwise from angle start over sweep radians (at most 2 pi); mm."""

    centre: Point2
    radius: float
    start: float
    sweep: float


Edge = Segment | Arc


@dataclass(frozen=True, slots=True)
class Region:
    """A convex or plain area: the inside of its edges, less that of its holes. edges run anticlockwise and close."""

    edges: tuple[Edge, ...]
    holes: tuple[Region, ...] = ()

    def has(self, x: float, y: float) -> bool:
        """Whether a point lies inside."""
        return _is_inside(self.edges, x, y) and not any(h.has(x, y) for h in self.holes)

    def all_edges(self) -> list[Edge]:
        """The edges of the region and of its holes."""
        return [*self.edges, *(e for h in self.holes for e in h.all_edges())]

    def span(self, x: float, y: float) -> tuple[float, float]:
        """Least and greatest distance of the region from a point, mm; least is 0 for a point inside."""
        spans = [_edge_distance_range(e, x, y) for e in self.all_edges()]
        least = 0.0 if self.has(x, y) else min(s[0] for s in spans)
        return least, max(s[1] for s in spans)

    def wall(self, x: float, y: float) -> float:
        """Least distance from a point to an edge of the region, mm."""
        return min(_edge_distance_range(e, x, y)[0] for e in self.all_edges())


def _is_inside(edges: Sequence[Edge], x: float, y: float) -> bool:
    """Crossing number of a ray to +x."""
    odd = False
    for e in edges:
        if isinstance(e, Segment):
            (ax, ay), (bx, by) = e.a, e.b
            if (ay > y) != (by > y) and x < ax + (y - ay) * (bx - ax) / (by - ay):
                odd = not odd
            continue
        (cx, cy), r = e.centre, e.radius
        if e.sweep >= 2 * pi - 1e-12:
            if hypot(x - cx, y - cy) < r:
                odd = not odd
            continue
        if abs(y - cy) >= r:
            continue
        half = sqrt(r * r - (y - cy) ** 2)
        for u in (cx - half, cx + half):
            if u > x and (atan2(y - cy, u - cx) - e.start) % (2 * pi) < e.sweep:
                odd = not odd
    return odd


def _edge_distance_range(e: Edge, x: float, y: float) -> tuple[float, float]:
    if isinstance(e, Segment):
        (ax, ay), (bx, by) = e.a, e.b
        dx, dy = bx - ax, by - ay
        k = min(1.0, max(0.0, ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy)))
        ends = (hypot(ax - x, ay - y), hypot(bx - x, by - y))
        return hypot(ax + k * dx - x, ay + k * dy - y), max(ends)
    (cx, cy), r = e.centre, e.radius
    d = hypot(x - cx, y - cy)
    toward = atan2(y - cy, x - cx)
    found = [hypot(cx + r * cos(t) - x, cy + r * sin(t) - y) for t in (e.start, e.start + e.sweep)]
    if e.sweep >= 2 * pi - 1e-12 or (toward - e.start) % (2 * pi) <= e.sweep:
        found.append(abs(d - r))
    if e.sweep >= 2 * pi - 1e-12 or (toward + pi - e.start) % (2 * pi) <= e.sweep:
        found.append(d + r)
    return min(found), max(found)


def circle(x: float, y: float, r: float) -> Region:
    """A disc."""
    return Region((Arc((x, y), r, 0.0, 2 * pi),))


def polygon(points: Sequence[Point2]) -> Region:
    """The inside of a simple polygon, whichever way it runs."""
    n = len(points)
    turn = sum(points[i][0] * points[(i + 1) % n][1] - points[(i + 1) % n][0] * points[i][1] for i in range(n))
    ring = list(points) if turn > 0 else list(points)[::-1]
    return Region(tuple(Segment(ring[i], ring[(i + 1) % n]) for i in range(n) if ring[i] != ring[(i + 1) % n]))


def hull_of_circles(circles: Sequence[tuple[float, float, float]]) -> Region:
    """The convex hull of circles (x, y, r): arcs joined by outer tangents.

    Walks around the hull: from the circle that reaches farthest in a direction to the one that does so next.
    """
    if len(circles) == 1:
        return circle(*circles[0])

    def reach(k: int, t: float) -> float:
        x, y, r = circles[k]
        return x * cos(t) + y * sin(t) + r

    # Directions at which two circles reach equally far: the tangent's normals.
    turns = []
    for i in range(len(circles)):
        for j in range(i + 1, len(circles)):
            (x0, y0, r0), (x1, y1, r1) = circles[i], circles[j]
            d = hypot(x1 - x0, y1 - y0)
            if d > abs(r0 - r1) + 1e-12:
                base, open_ = atan2(y1 - y0, x1 - x0), _clamped_acos((r0 - r1) / d)
                turns += [(base + open_) % (2 * pi), (base - open_) % (2 * pi)]
    turns = sorted(set(turns))
    if not turns:
        return circle(*max(circles, key=lambda c: c[2]))
    runs: list[tuple[int, float, float]] = []  # circle, from, to
    for k, t in enumerate(turns):
        end = turns[k + 1] if k + 1 < len(turns) else turns[0] + 2 * pi
        best = max(range(len(circles)), key=lambda c: reach(c, (t + end) / 2))
        if runs and runs[-1][0] == best:
            runs[-1] = (best, runs[-1][1], end)
        else:
            runs.append((best, t, end))
    if len(runs) > 1 and runs[0][0] == runs[-1][0]:
        runs[0] = (runs[0][0], runs[-1][1] - 2 * pi, runs[0][2])
        runs.pop()
    if len(runs) == 1:
        return circle(*circles[runs[0][0]])
    edges: list[Edge] = []
    for k, (c, start, end) in enumerate(runs):
        x, y, r = circles[c]
        nx, ny, nr = circles[runs[(k + 1) % len(runs)][0]]
        if r > 1e-12:
            edges.append(Arc((x, y), r, start, end - start))
        a = (x + r * cos(end), y + r * sin(end))
        b = (nx + nr * cos(end), ny + nr * sin(end))
        if hypot(b[0] - a[0], b[1] - a[1]) > 1e-12:
            edges.append(Segment(a, b))
    return Region(tuple(edges))


def _clamped_acos(v: float) -> float:
    return acos(min(1.0, max(-1.0, v)))
