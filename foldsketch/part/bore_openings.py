"""Bores and the material around them: whether a circle on a face can stand for a bore. Lengths mm."""

from __future__ import annotations

from math import cos, hypot, pi, sin

from foldsketch.base.points import Point
from foldsketch.geometry.polygon_loops import distance_to_loop, point_in_polygon
from foldsketch.part.model import Cone, Cylinder, Feature, Part, Plate, PrismShape, Ring

BEARINGS_TRIED = 24
"""Bearings in which the rim of a bore is compared with the outline of a plate."""

ROUNDING_MM = 1e-6
"""Lengths that differ by less than this, mm, differ by rounding only."""


def opens_in_material(part: Part, cut: Feature, may_notch: bool = False) -> bool:
    """Whether the circle of a bore lies inside the outline of every feature that it cuts, of one at least.

    A bore across another axis counts as one that does. may_notch: it may cut into the sides of others.
    """
    found = False
    for f in part.features[: part.features.index(cut)]:
        centre = centre_seen_from(part, f, cut)
        if f.cut or (centre and (shared_length(part, f, cut) <= ROUNDING_MM or is_beside(f, centre, cut.radius))):
            continue
        if centre is None or circle_is_inside(f, centre, cut.radius):
            found = True
        elif not may_notch:
            return False
    return found


def has_material_put_in(part: Part, cut: Feature) -> bool:
    """Whether a later feature stands in the room of a bore, as a boss in a recess.

    Without the bore it would be lost in the material around. Only features along the bore are compared.
    """
    k = part.features.index(cut)
    earlier = [f for f in part.features[:k] if not f.cut and shared_length(part, f, cut) > ROUNDING_MM]
    own = part.axis(cut.axis)
    for later in part.features[k + 1 :]:
        centre = centre_seen_from(part, later, cut)
        if later.cut or centre is None or hypot(*centre) > later.radius + cut.radius - ROUNDING_MM:
            continue
        low, high = part.extent(later, own)
        for f in earlier:
            bottom, top = part.extent(f, own)
            if min(high, top, cut.end) - max(low, bottom, cut.start) > ROUNDING_MM:
                return True
    return False


def centre_seen_from(part: Part, f: Feature, cut: Feature) -> Point | None:
    """Where the axis of a cut is in a feature's own x and y; None if the axes are not parallel."""
    axis, other = part.axis(f.axis), part.axis(cut.axis)
    if not axis.is_parallel_to(other):
        return None
    away = [q - p for p, q in zip(axis.point, other.point, strict=True)]
    x, y, _ = axis.frame
    return (sum(u * v for u, v in zip(away, x, strict=True)), sum(u * v for u, v in zip(away, y, strict=True)))


def shared_length(part: Part, f: Feature, cut: Feature) -> float:
    """By how much two features overlap along the axis of the cut, mm; below 0 if they do not."""
    low, high = part.extent(f, part.axis(cut.axis))
    return min(high, cut.end) - max(low, cut.start)


def is_beside(f: Feature, centre: Point, radius: float) -> bool:
    """Whether a circle is clear of a feature, seen along its axis."""
    if isinstance(f.shape, Plate) and f.shape.outline:
        loop = [[*p] for p in f.shape.outline]
        return not point_in_polygon(loop, centre) and distance_to_loop(centre, loop) >= radius - ROUNDING_MM
    return hypot(*centre) >= f.radius + radius - ROUNDING_MM


def circle_is_inside(f: Feature, centre: Point, radius: float) -> bool:
    """Whether a circle is inside the outline of a feature, seen along its axis."""
    away = hypot(*centre)
    match f.shape:
        case Cylinder() | Cone() | Ring():
            return away + radius <= f.radius + ROUNDING_MM
        case PrismShape(n, across, turn):
            normals = [turn + 2 * pi * k / n for k in range(n)]
            return all(centre[0] * cos(a) + centre[1] * sin(a) + radius <= across / 2 + ROUNDING_MM for a in normals)
        case Plate(outline, hull):
            bearings = [2 * pi * k / BEARINGS_TRIED for k in range(BEARINGS_TRIED)]
            if outline:
                rim = [(centre[0] + radius * cos(a), centre[1] + radius * sin(a)) for a in bearings]
                return all(point_in_polygon([*map(list, outline)], p) for p in rim)
            return all(
                centre[0] * cos(a) + centre[1] * sin(a) + radius
                <= max(x * cos(a) + y * sin(a) + r for x, y, r in hull) + ROUNDING_MM
                for a in bearings
            )
