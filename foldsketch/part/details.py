"""Details: what a model gives up first, because it does not show how the part is set up."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from foldsketch.part.bore_openings import (
    centre_seen_from,
    circle_is_inside,
    has_material_put_in,
    is_beside,
    opens_in_material,
    shared_length,
)
from foldsketch.part.model import Cone, Cylinder, Feature, Part, Plate, Ring

MAX_SMALL_HOLE_SHARE = 0.25
"""A hole is small below this share of the widest feature; in a spigot on its own axis, below this share of that."""

MAX_DETAIL_LENGTH_SHARE = 0.1
"""Chamfers, tapers and grooves shorter than this share of the part's longest extent are details."""

MAX_KEYWAY_SHARE = 0.1
"""A keyway or slot is a detail if it takes less than this share of the section of each round that it cuts."""

MAX_RIB_SHARE = 0.1
"""A rib is narrower than this share of the widest feature."""

MIN_PATTERN = 3
"""So many equal holes, or pads around them, fasten the part and carry nothing that turns."""

SAME_PLANE_TOLERANCE_MM = 1e-6
"""Planes nearer to each other than this, mm, are one; so are axes."""


def axis_lines(part: Part) -> dict[str, str]:
    """For every axis the first one on the same line."""
    found: dict[str, str] = {}
    for a in part.axes:
        same = (b for b in part.axes if a.is_parallel_to(b) and b.distance_to(a.point) < SAME_PLANE_TOLERANCE_MM)
        found[a.name] = next(same, a).name
    return found


def find_details(part: Part, lines: dict[str, str]) -> list[Feature]:
    """Small holes, chamfers, narrow grooves, keyways, pads around fastening holes, ribs. lines: see `axis_lines`."""
    widest = max(2 * f.radius for f in part.features if not f.cut)
    longest = max(widest, _longest_extent(part))
    pads = [f for f in part.features if _is_pad(part, f, lines, widest, longest)]
    details = [f for f in part.features if f in pads or _is_detail(part, f, pads, lines, widest, longest)]
    return [f for f in details if f.cut or isinstance(f.shape, Cone) or not _carries(part, f, details)]


def find_fasteners(part: Part) -> frozenset[str]:
    """Names of the small holes that fasten the part, and of the pads around them: nothing else is on their axes."""
    lines = axis_lines(part)
    small = {f.name for f in find_details(part, lines) if isinstance(f.shape, Cylinder)}
    busy = {lines[f.axis] for f in part.features if f.name not in small}
    return frozenset(f.name for f in part.features if f.name in small and lines[f.axis] not in busy)


def _is_detail(
    part: Part, f: Feature, pads: Sequence[Feature], lines: dict[str, str], widest: float, longest: float
) -> bool:
    """Whether a feature is a small hole, a chamfer, a narrow groove, a keyway or a rib.

    pads: of the part, not counted as what is around a hole; widest, longest: of the part, mm.
    """
    match f.shape:
        case Cylinder(d):
            solid = [g for g in part.features if not g.cut and g.is_round and g not in pads]
            around = [2 * g.radius for g in solid if lines[g.axis] == lines[f.axis]]
            if not f.cut or d >= MAX_SMALL_HOLE_SHARE * max(around, default=widest):
                return False
            return opens_in_material(part, f, may_notch=True) and not has_material_put_in(part, f)
        case Cone(_, _):
            return f.length < MAX_DETAIL_LENGTH_SHARE * longest
        case Ring(_, _):
            return f.cut and f.length < MAX_DETAIL_LENGTH_SHARE * longest
        case Plate(outline=outline) if outline:
            return _is_keyway(part, f, lines) if f.cut else _is_rib(part, f, widest)
    return False


def _is_keyway(part: Part, cut: Feature, lines: dict[str, str]) -> bool:
    """Whether a cut takes only a small share of rounds on its own axis, and nothing later stands in it."""
    from shapely import Point, Polygon

    assert isinstance(cut.shape, Plate)
    slot, k = Polygon(cut.shape.outline), part.features.index(cut)
    met = [g for g in part.features if not g.cut and shared_length(part, g, cut) > SAME_PLANE_TOLERANCE_MM]
    return all(
        part.features.index(g) < k
        and g.is_round
        and lines[g.axis] == lines[cut.axis]
        and 0 < slot.intersection(disc := Point(0, 0).buffer(g.radius)).area < MAX_KEYWAY_SHARE * disc.area
        for g in met
    ) and bool(met)


def _is_pad(part: Part, f: Feature, lines: dict[str, str], widest: float, longest: float) -> bool:
    """Whether a feature is one of several equal low bosses on a face, with nothing else but holes on their axes."""
    if (
        f.cut
        or not isinstance(f.shape, Cylinder)
        or 2 * f.radius >= MAX_SMALL_HOLE_SHARE * widest
        or f.length >= MAX_DETAIL_LENGTH_SHARE * longest
    ):
        return False
    alike = [g for g in part.features if not g.cut and g.shape == f.shape and abs(g.length - f.length) < 1e-3]
    return (
        lines[f.axis] != lines[part.datum.name]
        and len({lines[g.axis] for g in alike}) >= MIN_PATTERN
        and all(g is f or g.cut for g in part.features if lines[g.axis] == lines[f.axis])
        and _stands_on_face(part, f, part.features)
    )


def _is_rib(part: Part, f: Feature, widest: float) -> bool:
    """Whether a feature is a narrow plate that stands on a face, or on a rib that does."""
    from shapely import Polygon

    assert isinstance(f.shape, Plate)
    box = Polygon(f.shape.outline).minimum_rotated_rectangle
    (ax, ay), (bx, by), (cx, cy) = list(box.exterior.coords)[:3]
    width = min(hypot(bx - ax, by - ay), hypot(cx - bx, cy - by))
    return width < MAX_RIB_SHARE * widest and _stands_on_face(part, f, part.features)


def _carries(part: Part, f: Feature, details: list[Feature]) -> bool:
    """Whether a feature that is no detail, and adds material, would hang in the air without this detail."""
    rest = [g for g in part.features if not g.cut and g not in details]
    ends = [k for k in (0, 1) if not _stands_on_face(part, f, rest, (k,))]
    on_top = [g for g in rest if _touches(part, f, g, ends) and not _are_beside(part, f, g)]
    return any(not _stands_on_face(part, g, rest) for g in on_top)


def _stands_on_face(part: Part, f: Feature, features: Sequence[Feature], ends: Sequence[int] = (0, 1)) -> bool:
    """Whether the outline of a feature lies inside an end of another one that adds material.

    ends: of the feature, 0 its start, 1 its end.
    """
    for g in features:
        if g is f or g.cut or not _touches(part, f, g, ends):
            continue
        if isinstance(f.shape, Plate) and f.shape.outline:
            axis, other = part.axis(f.axis), part.axis(g.axis)
            dx, dy = (p - q for p, q in zip(axis.point[:2], other.point[:2], strict=True))
            corners = [(x + dx, y + dy) for x, y in f.shape.outline]
            if axis.along_z and other.along_z and all(circle_is_inside(g, p, 0.0) for p in corners):
                return True
        else:
            centre = centre_seen_from(part, g, f)
            if centre is not None and circle_is_inside(g, centre, f.radius):
                return True
    return False


def _touches(part: Part, f: Feature, g: Feature, ends: Sequence[int]) -> bool:
    """Whether another feature, along the same direction, begins or ends where this one has one of these ends."""
    axis = part.axis(f.axis)
    if not axis.is_parallel_to(part.axis(g.axis)):
        return False
    low, high = part.extent(g, axis)
    gaps = (high - f.start, f.end - low)
    return any(abs(gaps[k]) < SAME_PLANE_TOLERANCE_MM for k in ends)


def _are_beside(part: Part, f: Feature, g: Feature) -> bool:
    """Whether a feature is clear of the round around another one, seen along their axes."""
    centre = centre_seen_from(part, f, g)
    return centre is None or is_beside(f, centre, g.radius)


def _longest_extent(part: Part) -> float:
    """The longest of the part's extents along its axes, from end to end of its features, mm."""
    solid = [f for f in part.features if not f.cut]
    longest = 0.0
    for axis in {part.axis(f.axis) for f in solid}:
        extents = [part.extent(f, axis) for f in solid]
        longest = max(longest, max(high for _, high in extents) - min(low for low, _ in extents))
    return longest
