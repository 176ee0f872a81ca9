"""Regions: flat areas bounded by straight and circular edges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import acos, atan2, cos, hypot, pi, sin

from foldsketch.base.points import Point
from foldsketch.geometry.polygon_loops import signed_area
from foldsketch.part.mass.edges import Arc, Edge, Segment


@dataclass(frozen=True, slots=True)
class Region:
    """The inside of some edges, without that of its holes. edges: anticlockwise and closed."""

    edges: tuple[Edge, ...]
    holes: tuple[Region, ...] = ()

    def contains(self, x: float, y: float) -> bool:
        """Whether a point is inside: a ray from it to +x crosses an odd number of edges."""
        odd = sum(u > x for e in self.edges for u in e.crossings(y)) % 2 == 1
        return odd and not any(h.contains(x, y) for h in self.holes)

    def all_edges(self) -> list[Edge]:
        """The edges of the region and of its holes."""
        return [*self.edges, *(e for h in self.holes for e in h.all_edges())]

    def distance_range(self, x: float, y: float) -> tuple[float, float]:
        """Least and greatest distance of the region from a point, mm; least is 0 for a point inside."""
        ranges = [e.distance_range(x, y) for e in self.all_edges()]
        least = 0.0 if self.contains(x, y) else min(low for low, _ in ranges)
        return least, max(high for _, high in ranges)

    def distance_to_edge(self, x: float, y: float) -> float:
        """Least distance from a point to an edge of the region, mm."""
        return min(e.distance_range(x, y)[0] for e in self.all_edges())


def circle(x: float, y: float, r: float) -> Region:
    """A disc."""
    return Region((Arc((x, y), r, 0.0, 2 * pi),))


def polygon(points: Sequence[Point]) -> Region:
    """The inside of a simple polygon with its corners in either order."""
    ring = points if signed_area(points) > 0 else points[::-1]
    return Region(tuple(Segment(a, b) for a, b in zip(ring, (*ring[1:], ring[0]), strict=True) if a != b))


def hull_of_circles(circles: Sequence[tuple[float, float, float]]) -> Region:
    """The convex hull of circles (x, y, radius): arcs joined by outer tangents."""
    runs = _outermost_circles(circles)
    if len(runs) == 1:
        return circle(*circles[runs[0][0]])
    edges: list[Edge] = []
    for (c, start, end), (following, _, _) in zip(runs, (*runs[1:], runs[0]), strict=True):
        (x, y, r), (nx, ny, nr) = circles[c], circles[following]
        if r > 1e-12:
            edges.append(Arc((x, y), r, start, end - start))
        a = (x + r * cos(end), y + r * sin(end))
        b = (nx + nr * cos(end), ny + nr * sin(end))
        if hypot(b[0] - a[0], b[1] - a[1]) > 1e-12:
            edges.append(Segment(a, b))
    return Region(tuple(edges))


def _outermost_circles(circles: Sequence[tuple[float, float, float]]) -> list[tuple[int, float, float]]:
    """The circles that reach farthest, each with the directions from and to, radians, in which it does."""

    def reach(k: int, t: float) -> float:
        x, y, r = circles[k]
        return x * cos(t) + y * sin(t) + r

    # The farthest circle changes where two reach equally far: at the normals of their outer tangents.
    turns = set()
    for i, (x0, y0, r0) in enumerate(circles):
        for x1, y1, r1 in circles[i + 1 :]:
            d = hypot(x1 - x0, y1 - y0)
            if d > abs(r0 - r1) + 1e-12:
                towards, half = atan2(y1 - y0, x1 - x0), acos((r0 - r1) / d)
                turns |= {(towards + half) % (2 * pi), (towards - half) % (2 * pi)}
    if not turns:
        return [(max(range(len(circles)), key=lambda c: circles[c][2]), 0.0, 2 * pi)]
    ordered = sorted(turns)
    runs: list[tuple[int, float, float]] = []
    for start, end in zip(ordered, (*ordered[1:], ordered[0] + 2 * pi), strict=True):
        farthest = max(range(len(circles)), key=lambda c: reach(c, (start + end) / 2))
        if runs and runs[-1][0] == farthest:
            runs[-1] = (farthest, runs[-1][1], end)
        else:
            runs.append((farthest, start, end))
    if len(runs) > 1 and runs[0][0] == runs[-1][0]:
        last = runs.pop()
        runs[0] = (last[0], last[1] - 2 * pi, runs[0][2])
    return runs
