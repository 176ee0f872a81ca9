"""Sections of features by level planes."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from math import cos, pi, sin, sqrt

from foldsketch.base.points import Point
from foldsketch.part.mass.edges import Arc, Edge, Segment
from foldsketch.part.mass.region import Region, circle, hull_of_circles, polygon
from foldsketch.part.messages import OUTLINE_SLANTED
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, PrismShape, Ring, Vec3

GENERATORS_PER_ROUND = 36
"""Generators by which a round feature on a slanted axis is cut. They lie on a prism of the same area as the circle,
which leaves an error in the shape of the section of about 1e-4 of its size."""


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
            corners = Arc((0, 0), across / 2 / cos(pi / n), 0, 2 * pi)
            return polygon([corners.point(turn + (2 * k + 1) * pi / n) for k in range(n)])
        case Plate(outline, hull):
            return polygon(outline) if outline else hull_of_circles(hull)


def section_at_height(part: Part, f: Feature, z: float) -> Region | None:
    """The section of a feature at z of the part's frame, in the part's x and y; None where there is none.

    Raises FoldsketchError for a plate with an outline on a slanted axis.
    """
    axis = part.axis(f.axis)
    if axis.along_z:
        own = (z - axis.point[2]) * axis.direction[2]
        return _move_to_part_frame(transverse_section(f, own), axis) if f.start < own < f.end else None
    return _section_of_level_axis(f, axis, z) if has_exact_sections(part, f) else _section_of_slant_axis(f, axis, z)


def has_exact_sections(part: Part, f: Feature) -> bool:
    """Whether the sections of a feature are exact: on axes along z, and on level axes if it is no cone."""
    axis = part.axis(f.axis)
    return axis.along_z or (abs(axis.direction[2]) < 1e-12 and not isinstance(f.shape, Cone))


def _move_to_part_frame(region: Region, axis: Axis) -> Region:
    """A region square to an axis along +z or -z, in the part's x and y."""
    px, py, _ = axis.point
    up = axis.direction[2] > 0

    def place(p: Point) -> Point:
        return (px + p[0], py + p[1] if up else py - p[1])

    edges: list[Edge] = []
    for e in region.edges:
        if isinstance(e, Segment):
            edges.append(Segment(place(e.a), place(e.b)) if up else Segment(place(e.b), place(e.a)))
        else:
            edges.append(Arc(place(e.centre), e.radius, e.start if up else -e.start - e.sweep, e.sweep))
    return Region(tuple(edges if up else edges[::-1]), tuple(_move_to_part_frame(h, axis) for h in region.holes))


def _section_of_level_axis(f: Feature, axis: Axis, z: float) -> Region | None:
    """A rectangle from start to end for every chord of the feature's own section at that height."""
    ex, ey, ez = axis.frame  # x is level, so y is upright

    def place(u: float, w: float) -> Point:
        return axis.point[0] + u * ex[0] + w * ez[0], axis.point[1] + u * ex[1] + w * ez[1]

    chords = _chords_at_height(transverse_section(f, f.start), (z - axis.point[2]) / ey[2])
    made = [polygon([place(a, f.start), place(b, f.start), place(b, f.end), place(a, f.end)]) for a, b in chords]
    return Region(tuple(e for m in made for e in m.edges)) if made else None


def _chords_at_height(region: Region, y: float) -> list[tuple[float, float]]:
    """The stretches of a level line that lie inside a region, from x to x."""
    crossings = sorted(x for e in region.all_edges() for x in e.crossings(y))
    return [(a, b) for a, b in itertools.pairwise(crossings) if b > a and region.contains((a + b) / 2, y)]


def _section_of_slant_axis(f: Feature, axis: Axis, z: float) -> Region | None:
    """A convex feature on a slanted axis, approximately: the hull of where its generators and rims meet the plane."""
    match f.shape:
        case Ring(d, bore):
            outer, inner = (_section_between_rims(_circle_points(s / 2), 1, 1, f, axis, z) for s in (d, bore))
            return outer and Region(outer.edges, (inner,) if inner else ())
        case Cone(a, b):
            return _section_between_rims(_circle_points(1.0), a / 2, b / 2, f, axis, z)
        case Plate(outline, _) if outline:
            raise OUTLINE_SLANTED.error(f"feature '{f.name}'")
    return _section_between_rims(_rim_points(transverse_section(f, f.start)), 1, 1, f, axis, z)


def _circle_points(radius: float) -> list[Point]:
    return _rim_points(circle(0, 0, radius))


def _rim_points(region: Region) -> list[Point]:
    """Corners of a region, its arcs divided; a whole circle becomes a polygon of the same area."""
    points: list[Point] = []
    for e in region.edges:
        if isinstance(e, Segment):
            points.append(e.a)
            continue
        n = max(2, round(GENERATORS_PER_ROUND * e.sweep / (2 * pi)))
        grown = sqrt(2 * pi / n / sin(2 * pi / n)) if e.is_circle else 1.0
        arc = Arc(e.centre, e.radius * grown, e.start, e.sweep)
        points += [arc.point(e.start + e.sweep * k / n) for k in range(n)]
    return points


def _section_between_rims(
    rim: Sequence[Point], low: float, high: float, f: Feature, axis: Axis, z: float
) -> Region | None:
    """The section of the convex body between a rim enlarged by low at the feature's start and by high at its end."""
    a = [axis.to_part_frame(x * low, y * low, f.start) for x, y in rim]
    b = [axis.to_part_frame(x * high, y * high, f.end) for x, y in rim]
    lines = [*zip(a, b, strict=True), *zip(a, a[1:] + a[:1], strict=True), *zip(b, b[1:] + b[:1], strict=True)]
    ring = _convex_hull([_interpolate_at_height(p, q, z) for p, q in lines if (p[2] > z) != (q[2] > z)])
    return polygon(ring) if len(ring) > 2 else None


def _interpolate_at_height(p: Vec3, q: Vec3, z: float) -> Point:
    k = (z - p[2]) / (q[2] - p[2])
    return (p[0] + (q[0] - p[0]) * k, p[1] + (q[1] - p[1]) * k)


def _convex_hull(points: Sequence[Point]) -> list[Point]:
    """Convex hull, anticlockwise (monotone chain)."""
    ordered = sorted(set(points))
    if len(ordered) < 3:
        return ordered

    def half(run: Sequence[Point]) -> list[Point]:
        kept: list[Point] = []
        for p in run:
            while len(kept) > 1 and _turn(kept[-2], kept[-1], p) <= 0:
                kept.pop()
            kept.append(p)
        return kept[:-1]

    return half(ordered) + half(ordered[::-1])


def _turn(a: Point, b: Point, c: Point) -> float:
    """Above 0 if the way from a by b to c bends to the left."""
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
