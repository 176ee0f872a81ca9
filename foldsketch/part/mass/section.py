"""Sections: what of the part a level plane cuts, as regions."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from math import atan2, cos, pi, sin, sqrt

from foldsketch.base.findings import input_error
from foldsketch.part.mass.region import Arc, Edge, Region, Segment, circle, hull_of_circles, polygon
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, Point2, PrismShape, Ring, Vec3

GENERATORS_PER_ROUND = 36
"""Generators by which a round feature on a slant axis is cut. They stand on a round of the same area as the true one,
so that what is left of the error is in the shape of the section, about 1e-4 of its size."""


def transverse_section(f: Feature, z: float) -> Region:
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


def section_at_height(part: Part, f: Feature, z: float) -> Region | None:
    """What a level plane at z of the part's frame cuts of a feature, in the part's x and y; None where it misses."""
    axis = part.axis(f.axis)
    if axis.along_z:
        own = (z - axis.point[2]) * (1.0 if axis.direction[2] > 0 else -1.0)
        if not f.start < own < f.end:
            return None
        return _move_to_part_frame(transverse_section(f, own), axis)
    if abs(axis.direction[2]) < 1e-12 and not isinstance(f.shape, Cone):
        return _section_of_level_axis(f, axis, z)
    return _section_of_slant_axis(f, axis, z)


def has_exact_sections(part: Part, f: Feature) -> bool:
    """Whether the sections of a feature are exact: on axes along z, or square to it and not a cone."""
    axis = part.axis(f.axis)
    return axis.along_z or (abs(axis.direction[2]) < 1e-12 and not isinstance(f.shape, Cone))


def _move_to_part_frame(region: Region, axis: Axis) -> Region:
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
    return Region(tuple(edges if up else edges[::-1]), tuple(_move_to_part_frame(h, axis) for h in region.holes))


def _section_of_level_axis(f: Feature, axis: Axis, z: float) -> Region | None:
    """A feature on a level axis: a strip from start to end for every stretch of its own section at that height."""
    ex, ey, ez = axis.frame
    # The axis's own x and y: one of them is level, the other upright (frame of a level axis: x level).
    v = (z - axis.point[2]) / ey[2]
    strips = _chords_at_height(transverse_section(f, f.start), v)
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


def _chords_at_height(region: Region, v: float) -> list[tuple[float, float]]:
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


def _section_of_slant_axis(f: Feature, axis: Axis, z: float) -> Region | None:
    """A convex feature on a slant axis: the hull of the points where its generators and rims meet the plane."""
    s = f.shape
    if isinstance(s, Plate) and s.outline:
        raise input_error(
            f"feature '{f.name}'", "a plate with an outline on a slant axis has no mass figures yet", "use hull"
        )
    if isinstance(s, Ring):
        outer = _section_of_hull(
            _rim_points(circle(0, 0, s.diameter / 2)), _rim_points(circle(0, 0, s.diameter / 2)), f, axis, z
        )
        inner = _section_of_hull(
            _rim_points(circle(0, 0, s.bore / 2)), _rim_points(circle(0, 0, s.bore / 2)), f, axis, z
        )
        if outer is None:
            return None
        return Region(outer.edges, (inner,)) if inner else outer
    if isinstance(s, Cone):
        unit = _rim_points(circle(0, 0, 1.0))
        a, b = s.start_diameter / 2, s.end_diameter / 2
        return _section_of_hull([(x * a, y * a) for x, y in unit], [(x * b, y * b) for x, y in unit], f, axis, z)
    rim = _rim_points(transverse_section(f, f.start))
    return _section_of_hull(rim, rim, f, axis, z)


def _rim_points(region: Region) -> list[Point2]:
    points: list[Point2] = []
    for e in region.edges:
        if isinstance(e, Segment):
            points.append(e.a)
        else:
            n = max(2, round(GENERATORS_PER_ROUND * e.sweep / (2 * pi)))
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


def _section_of_hull(low: Sequence[Point2], high: Sequence[Point2], f: Feature, axis: Axis, z: float) -> Region | None:
    a = [axis.to_space(x, y, f.start) for x, y in low]
    b = [axis.to_space(x, y, f.end) for x, y in high]
    lines = [*zip(a, b, strict=True), *zip(a, a[1:] + a[:1], strict=True), *zip(b, b[1:] + b[:1], strict=True)]
    points = [_interpolate_at_height(p, q, z) for p, q in lines if (p[2] > z) != (q[2] > z)]
    ring = _convex_hull(points)
    return polygon(ring) if len(ring) > 2 else None


def _interpolate_at_height(p: Vec3, q: Vec3, z: float) -> Point2:
    k = (z - p[2]) / (q[2] - p[2])
    return (p[0] + (q[0] - p[0]) * k, p[1] + (q[1] - p[1]) * k)


def _convex_hull(points: Sequence[Point2]) -> list[Point2]:
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
