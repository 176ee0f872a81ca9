"""What turning material sweeps of the half-plane (r, z) beside the centreline, and what of it is solid all around.

All of it stands as the tool sees it: the tool comes from +z, so for work from the -z end the part is mirrored. A
geometry here is a shapely one with x = r, the distance from the centreline, and y = z; mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import hypot
from typing import TYPE_CHECKING

from foldsketch.base.arrays import Point
from foldsketch.part.mass.section import section_at_height
from foldsketch.part.model import Cone, Feature, Part
from foldsketch.setup.access.sweep import sweep_of, z_extent
from foldsketch.setup.model import PartEnd

if TYPE_CHECKING:
    from shapely import Geometry

FAR_MM = 1e4
"""Beyond everything: chuck and tools run as far from the part."""

DECIMALS = 7
"""Corners are rounded so far, mm, so that features that meet share theirs."""

Ends = tuple[float, float, float, float]
"""Radii of a band: inner and outer at its low end, inner and outer at its high end; inner may be below 0."""


@dataclass(frozen=True, slots=True, eq=False)
class SweptRegion:
    """material: swept at some angle, where no fixed tool may stand.

    solid: material at every angle; features: what each feature that adds material sweeps.
    """

    material: Geometry
    solid: Geometry
    features: tuple[tuple[str, Geometry], ...]


@lru_cache(maxsize=256)
def swept_region(part: Part, at: Point, end: PartEnd) -> SweptRegion:
    """The region that a part sweeps about an upright line. at: its x and y, mm; end: from which the tool comes.

    Exact for features along z; others sweep a rectangle. A cut takes away only what it takes at every angle.
    """
    from shapely import unary_union

    swept: list[tuple[str, Geometry]] = []  # work that is partly done has several features of one name
    solid: list[Geometry] = []
    for f in part.features:
        some, every = _bands(part, f, at, end)
        if f.cut:
            swept = [(name, g.difference(every)) for name, g in swept]
            solid = [g.difference(some) for g in solid]
        else:
            swept.append((f.name, some))
            solid.append(every)
    return SweptRegion(unary_union([g for _, g in swept]), unary_union(solid), tuple(swept))


def chuck_region(front: float, inner: float, outer: float) -> Geometry:
    """Jaws outside and the chuck behind them as an obstacle.

    front: z of the jaws' front, as the tool sees it; inner, outer: radii about the centreline, mm; a bar that comes
    through the part runs into the spindle's hole.
    """
    from shapely import box

    return box(inner, -FAR_MM, outer, front)


def inside_chuck_region(front: float, bore: float, face: float, outer: float) -> Geometry:
    """The same for jaws in a bore, whose radius they sweep, and the chuck in front of the end face at z = face."""
    from shapely import box, unary_union

    return unary_union([box(0, -FAR_MM, bore, front), box(0, -FAR_MM, max(bore, outer), face)])


def tool_height(part: Part, f: Feature, own: float, end: PartEnd) -> float:
    """The height z, as the tool sees it, of a place along a feature's own axis, which is along z."""
    axis = part.axis(f.axis)
    z = axis.point[2] + (own if axis.direction[2] > 0 else -own)
    return z if end == "+z" else -z


def tool_extent(part: Part, f: Feature, end: PartEnd) -> tuple[float, float]:
    """Lowest and highest z of a feature as the tool sees it, mm."""
    low, high = z_extent(part, f)
    return (low, high) if end == "+z" else (-high, -low)


def _bands(part: Part, f: Feature, at: Point, end: PartEnd) -> tuple[Geometry, Geometry]:
    """What a feature covers of the half-plane at some angle, and at every angle."""
    low, high = tool_extent(part, f, end)
    axis = part.axis(f.axis)
    if not axis.along_z:
        ring = sweep_of(part, f, at)
        return _band(low, high, (ring.inner, ring.outer, ring.inner, ring.outer)), _band(low, high, None)
    if isinstance(f.shape, Cone):
        away = hypot(axis.point[0] - at[0], axis.point[1] - at[1])
        ends = ((f.start, f.shape.start_diameter / 2), (f.end, f.shape.end_diameter / 2))
        a, b = (r for _, r in sorted((tool_height(part, f, own, end), r) for own, r in ends))
        some = (away - a, away + a, away - b, away + b)
        return _band(low, high, some), _band(low, high, (-FAR_MM, a - away, -FAR_MM, b - away))
    section = section_at_height(part, f, axis.point[2] + (1 if axis.direction[2] > 0 else -1) * (f.start + f.end) / 2)
    if section is None:
        return _band(low, high, None), _band(low, high, None)
    inner, outer = section.distance_range(*at)
    some = (inner, outer, inner, outer)
    if section.contains(*at):
        return _band(low, high, some), _band(
            low, high, (0.0, section.distance_to_edge(*at), 0.0, section.distance_to_edge(*at))
        )
    hole = next((h for h in section.holes if h.contains(*at)), None)
    if hole is None:
        return _band(low, high, some), _band(low, high, None)
    # A ring around the line: the circles that clear its bore and stay inside its outside.
    bore, rim = hole.distance_range(*at)[1], type(section)(section.edges).distance_to_edge(*at)
    return _band(low, high, some), _band(low, high, (bore, rim, bore, rim) if rim > bore else None)


def _band(low: float, high: float, radii: Ends | None) -> Geometry:
    """The part of a band on this side of the centreline."""
    from shapely import Polygon, box

    if radii is None or max(radii[1], radii[3]) <= 0:
        return Polygon()
    low, high, a, b, c, d = (round(v, DECIMALS) for v in (low, high, *radii))
    if a >= 0 and (a, b) == (c, d):
        return box(a, low, b, high)
    if min(b, d) >= 0:
        corners = [(a, low), (b, low), (d, high), (c, high)]
    else:
        # One end does not reach the line: the band begins where its edge crosses it.
        cross = low + (high - low) * b / (b - d)
        corners = [(a, low), (b, low), (0.0, cross)] if b > 0 else [(0.0, cross), (d, high), (c, high)]
    return Polygon(corners).intersection(box(0, low, FAR_MM, high))
