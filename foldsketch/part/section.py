"""Sections: what of the part a level plane cuts, as regions bounded by straight and circular edges."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, hypot, pi, sin, sqrt

from foldsketch.base.findings import refuse
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, Point2, PrismShape, Ring, Vec3

FINE = 36
"""Generators by which a round feature on a slant axis is cut. They stand on a round of the same area as the true one,
so that what is left of the error is in the shape of the section, about 1e-4 of its size."""


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
        return _inside(self.edges, x, y) and not any(h.has(x, y) for h in self.holes)

    def all_edges(self) -> list[Edge]:
        """The edges of the region and of its holes."""
        return [*self.edges, *(e for h in self.holes for e in h.all_edges())]

    def span(self, x: float, y: float) -> tuple[float, float]:
        """Least and greatest distance of the region from a point, mm; least is 0 for a point inside."""
        spans = [_span(e, x, y) for e in self.all_edges()]
        least = 0.0 if self.has(x, y) else min(s[0] for s in spans)
        return least, max(s[1] for s in spans)

    def wall(self, x: float, y: float) -> float:
        """Least distance from a point to an edge of the region, mm."""
        return min(_span(e, x, y)[0] for e in self.all_edges())


def _inside(edges: Sequence[Edge], x: float, y: float) -> bool:
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


def _span(e: Edge, x: float, y: float) -> tuple[float, float]:
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
                base, open_ = atan2(y1 - y0, x1 - x0), _acos((r0 - r1) / d)
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


def _acos(v: float) -> float:
    from math import acos

    return acos(min(1.0, max(-1.0, v)))


def own_region(f: Feature, z: float) -> Region:
    """The section of a feature square to its own axis, in the axis's x and y, at z along it."""
    match f.shape:
        case Cylinder(d):
            return circle(0, 0, d / 2)
        case Ring(d, bore):
            return Region(circle(0, 0, d / 2).edges, (circle(0, 0, bore / 2),))
        case Cone(a, b):
            share = (z - f.start) / (f.end - f.start)
            return circle(0, 0, (a + (b - a) * share) / 2)
        case PrismShape(n, across, turn):
            r = across / 2 / cos(pi / n)
            return polygon(
                [(r * cos(turn + (2 * k + 1) * pi / n), r * sin(turn + (2 * k + 1) * pi / n)) for k in range(n)]
            )
        case Plate(outline, hull):
            return polygon(outline) if outline else hull_of_circles(hull)


def section(part: Part, f: Feature, z: float) -> Region | None:
    """What a level plane at z of the part's frame cuts of a feature, in the part's x and y; None where it misses."""
    axis = part.axis(f.axis)
    if axis.along_z:
        own = (z - axis.point[2]) * (1.0 if axis.direction[2] > 0 else -1.0)
        if not f.start < own < f.end:
            return None
        return _moved(own_region(f, own), axis)
    if abs(axis.direction[2]) < 1e-12 and not isinstance(f.shape, Cone):
        return _level(f, axis, z)
    return _slant(f, axis, z)


def exact(part: Part, f: Feature) -> bool:
    """Whether the sections of a feature are exact: on axes along z, or square to it and not a cone."""
    axis = part.axis(f.axis)
    return axis.along_z or (abs(axis.direction[2]) < 1e-12 and not isinstance(f.shape, Cone))


def _moved(region: Region, axis: Axis) -> Region:
    """A region of an axis along +z or -z in the part's x and y."""
    px, py, _ = axis.point
    up = axis.direction[2] > 0

    def place(p: Point2) -> Point2:
        return (px + p[0], py + p[1] if up else py - p[1])

    edges: list[Edge] = []
    for e in region.edges:
        if isinstance(e, Segment):
            edges.append(Segment(place(e.a), place(e.b)) if up else Segment(place(e.b), place(e.a)))
        else:
            edges.append(Arc(place(e.centre), e.radius, e.start if up else -e.start - e.sweep, e.sweep))
    return Region(tuple(edges if up else edges[::-1]), tuple(_moved(h, axis) for h in region.holes))


def _level(f: Feature, axis: Axis, z: float) -> Region | None:
    """A feature on a level axis: a strip from start to end for every stretch of its own section at that height."""
    ex, ey, ez = axis.frame
    # The axis's own x and y: one of them is level, the other upright (frame of a level axis: x level).
    v = (z - axis.point[2]) / ey[2]
    strips = _chords(own_region(f, f.start), v)
    made = []
    for a, b in strips:
        corners = [(a, f.start), (b, f.start), (b, f.end), (a, f.end)]
        made.append(
            polygon(
                [(axis.point[0] + u * ex[0] + w * ez[0], axis.point[1] + u * ex[1] + w * ez[1]) for u, w in corners]
            )
        )
    if not made:
        return None
    if len(made) == 1:
        return made[0]
    return Region(tuple(e for m in made for e in m.edges))


def _chords(region: Region, v: float) -> list[tuple[float, float]]:
    """Stretches of the level line y = v that lie inside a region."""
    at: list[float] = []
    for e in region.all_edges():
        if isinstance(e, Segment):
            (ax, ay), (bx, by) = e.a, e.b
            if (ay > v) != (by > v):
                at.append(ax + (v - ay) * (bx - ax) / (by - ay))
        elif abs(v - e.centre[1]) < e.radius:
            half = sqrt(e.radius**2 - (v - e.centre[1]) ** 2)
            for u in (-half, half):
                if (atan2(v - e.centre[1], u) - e.start) % (2 * pi) < e.sweep:
                    at.append(e.centre[0] + u)
    at.sort()
    return [(a, b) for a, b in itertools.pairwise(at) if b > a and region.has((a + b) / 2, v)]


def _slant(f: Feature, axis: Axis, z: float) -> Region | None:
    """A convex feature on a slant axis: the hull of the points where its generators and rims meet the plane."""
    s = f.shape
    if isinstance(s, Plate) and s.outline:
        raise refuse(
            f"feature '{f.name}'", "a plate with an outline on a slant axis has no mass figures yet", "use hull"
        )
    if isinstance(s, Ring):
        outer = _cut_hull(_rim(circle(0, 0, s.diameter / 2)), _rim(circle(0, 0, s.diameter / 2)), f, axis, z)
        inner = _cut_hull(_rim(circle(0, 0, s.bore / 2)), _rim(circle(0, 0, s.bore / 2)), f, axis, z)
        if outer is None:
            return None
        return Region(outer.edges, (inner,)) if inner else outer
    if isinstance(s, Cone):
        unit = _rim(circle(0, 0, 1.0))
        a, b = s.start_diameter / 2, s.end_diameter / 2
        return _cut_hull([(x * a, y * a) for x, y in unit], [(x * b, y * b) for x, y in unit], f, axis, z)
    rim = _rim(own_region(f, f.start))
    return _cut_hull(rim, rim, f, axis, z)


def _rim(region: Region) -> list[Point2]:
    points: list[Point2] = []
    for e in region.edges:
        if isinstance(e, Segment):
            points.append(e.a)
        else:
            n = max(2, round(FINE * e.sweep / (2 * pi)))
            if e.sweep >= 2 * pi - 1e-12:
                # The polygon of n corners has the area of the circle.
                e = Arc(e.centre, e.radius * sqrt(2 * pi / n / sin(2 * pi / n)), e.start, e.sweep)
            points += [
                (
                    e.centre[0] + e.radius * cos(e.start + e.sweep * k / n),
                    e.centre[1] + e.radius * sin(e.start + e.sweep * k / n),
                )
                for k in range(n)
            ]
    return points


def _cut_hull(low: Sequence[Point2], high: Sequence[Point2], f: Feature, axis: Axis, z: float) -> Region | None:
    a = [axis.to_space(x, y, f.start) for x, y in low]
    b = [axis.to_space(x, y, f.end) for x, y in high]
    lines = [*zip(a, b, strict=True), *zip(a, a[1:] + a[:1], strict=True), *zip(b, b[1:] + b[:1], strict=True)]
    points = [_at_level(p, q, z) for p, q in lines if (p[2] > z) != (q[2] > z)]
    ring = _hull(points)
    return polygon(ring) if len(ring) > 2 else None


def _at_level(p: Vec3, q: Vec3, z: float) -> Point2:
    k = (z - p[2]) / (q[2] - p[2])
    return (p[0] + (q[0] - p[0]) * k, p[1] + (q[1] - p[1]) * k)


def _hull(points: Sequence[Point2]) -> list[Point2]:
    """Convex hull, anticlockwise (monotone chain)."""
    ordered = sorted(set(points))
    if len(ordered) < 3:
        return ordered

    def half(run: Sequence[Point2]) -> list[Point2]:
        kept: list[Point2] = []
        for p in run:
            while (
                len(kept) > 1
                and (
                    (kept[-1][0] - kept[-2][0]) * (p[1] - kept[-2][1])
                    - (kept[-1][1] - kept[-2][1]) * (p[0] - kept[-2][0])
                )
                <= 0
            ):
                kept.pop()
            kept.append(p)
        return kept[:-1]

    return half(ordered) + half(ordered[::-1])
