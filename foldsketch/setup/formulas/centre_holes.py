"""Turning between offset centres: where the centre holes go, and whether they fit in the end faces."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from foldsketch.base.findings import Finding, mm
from foldsketch.part.mass.region import Region
from foldsketch.part.mass.section import section_at_height
from foldsketch.part.model import Axis, Part
from foldsketch.setup.messages import CENTRE_HOLE_NEAR_EDGE

CENTRE_HOLE_SIZES_MM = ((10.0, 1.0, 2.12), (20.0, 1.6, 3.35), (40.0, 2.5, 5.3), (80.0, 4.0, 8.5), (160.0, 6.3, 13.2))
"""End face up to so many mm: pilot and mouth of the 60 degree centre hole, mm [sizes of ISO 6411 form A, and the usual
choice by diameter, both from memory]."""

MIN_CENTRE_HOLE_WALL_MM = 1.0
"""Least wall, mm, between the mouth of a centre hole and the edge of its face or another hole [common practice]."""

SAME_FACE_MM, SECTION_DEPTH_MM = 1e-9, 1e-6
"""Ends this close are one face; the face is cut this far below its end."""


@dataclass(frozen=True, slots=True)
class CentreHole:
    """A centre hole for one axis in one end face.

    at: mm, part frame x and y; pilot, mouth: diameters, mm; edge_distance: mm from the hole's middle to the nearest
    edge of the face; fits: the mouth keeps its wall.
    """

    end: str
    axis: str
    at: tuple[float, float]
    pilot: float
    mouth: float
    edge_distance: float
    fits: bool


def centre_holes(part: Part, axes: tuple[str, ...]) -> tuple[CentreHole, ...]:
    """Centre holes for axes along z in the faces of both ends of the part, as it is: what is cut there is no face."""
    faces = {end: _end_face_regions(part, end) for end in ("-z", "+z")}
    return tuple(_fit_centre_hole(end, part.axis(name), *face) for end, face in faces.items() for name in axes)


def _end_face_regions(part: Part, end: str) -> tuple[list[Region], list[Region]]:
    """The regions of the material that reaches farthest in a direction, and those that are cut away from it."""
    sign = 1.0 if end == "+z" else -1.0
    extent = {
        f.name: max(sign * (axis.point[2] + axis.direction[2] * v) for v in (f.start, f.end))
        for f in part.features
        if (axis := part.axis(f.axis)).along_z and not f.cut
    }
    top = max(extent.values(), default=0.0)
    outermost = [f for f in part.features if extent.get(f.name, -inf) > top - SAME_FACE_MM]
    cuts = [f for f in part.features if f.cut]
    level = sign * (top - SECTION_DEPTH_MM)
    found, holes = ([section_at_height(part, f, level) for f in features] for features in (outermost, cuts))
    return [r for r in found if r is not None], [r for r in holes if r is not None]


def _fit_centre_hole(end: str, axis: Axis, face: list[Region], holes: list[Region]) -> CentreHole:
    x, y = axis.point[0], axis.point[1]
    own = next((r for r in face if r.contains(x, y)), None)
    distance = min(own.distance_to_edge(x, y), *(h.distance_range(x, y)[0] for h in holes), inf) if own else 0.0
    across = own.distance_to_edge(x, y) + own.distance_range(x, y)[1] if own else 0.0
    pilot, mouth = next((h[1:] for h in CENTRE_HOLE_SIZES_MM if across <= h[0]), CENTRE_HOLE_SIZES_MM[-1][1:])
    return CentreHole(end, axis.name, (x, y), pilot, mouth, distance, distance >= mouth / 2 + MIN_CENTRE_HOLE_WALL_MM)


def centre_hole_findings(holes: tuple[CentreHole, ...]) -> list[Finding]:
    """A finding for every centre hole that does not fit."""
    return [
        CENTRE_HOLE_NEAR_EDGE.at(
            f"centre hole on axis {h.axis}, {h.end} end",
            mouth=mm(h.mouth),
            needed=mm(h.mouth / 2 + MIN_CENTRE_HOLE_WALL_MM),
            distance=mm(h.edge_distance),
        )
        for h in holes
        if not h.fits
    ]
