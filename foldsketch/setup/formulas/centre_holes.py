"""Turning between offset centres: where the centre holes go, and whether they fit into the end faces."""

from __future__ import annotations

from dataclasses import dataclass

from foldsketch.base.findings import Finding
from foldsketch.part.mass.region import Region
from foldsketch.part.mass.section import section_at_height
from foldsketch.part.model import Axis, Part

CENTRE_HOLE_SIZES_MM = ((10.0, 1.0, 2.12), (20.0, 1.6, 3.35), (40.0, 2.5, 5.3), (80.0, 4.0, 8.5), (160.0, 6.3, 13.2))
"""End face up to so many mm: pilot and mouth of the 60 degree centre hole, mm [sizes of ISO 6411 form A, and the usual
choice by diameter, both from memory]."""

MIN_CENTRE_HOLE_WALL_MM = 1.0
"""Least wall, mm, between the mouth of a centre hole and the edge of its face or another hole [common practice]."""


@dataclass(frozen=True, slots=True)
class CentreHole:
    """A centre hole for one axis in one end face. at: mm, part frame x and y; pilot, mouth: diameters, mm; room: mm
    from the hole's middle to the nearest edge of the face; fits: the mouth keeps its wall."""

    end: str
    axis: str
    at: tuple[float, float]
    pilot: float
    mouth: float
    room: float
    fits: bool


def centre_holes(part: Part, axes: tuple[str, ...]) -> tuple[CentreHole, ...]:
    """Centre holes for axes along z in the faces of both ends of the part."""
    made = []
    for end in ("-z", "+z"):
        face = _end_face_regions(part, end)
        for name in axes:
            axis = part.axis(name)
            made.append(_fit_centre_hole(end, axis, face))
    return tuple(made)


def _end_face_regions(part: Part, end: str) -> list[Region]:
    """The regions of the material that reaches farthest in a direction; empty where the end is cut away."""
    sign = 1.0 if end == "+z" else -1.0
    reach: dict[str, float] = {}
    for f in part.features:
        axis = part.axis(f.axis)
        if axis.along_z and not f.cut:
            ends = (axis.point[2] + axis.direction[2] * f.start, axis.point[2] + axis.direction[2] * f.end)
            reach[f.name] = max(sign * e for e in ends)
    if not reach:
        return []
    top = max(reach.values())
    level = sign * (top - 1e-6)
    regions = []
    for f in part.features:
        if reach.get(f.name, -1e9) > top - 1e-9:
            region = section_at_height(part, f, level)
            if region is not None:
                regions.append(region)
    return regions


def _fit_centre_hole(end: str, axis: Axis, face: list[Region]) -> CentreHole:
    x, y = axis.point[0], axis.point[1]
    own = next((r for r in face if r.has(x, y)), None)
    if own is None:
        pilot, mouth = CENTRE_HOLE_SIZES_MM[0][1:]
        return CentreHole(end, axis.name, (x, y), pilot, mouth, 0.0, False)
    room = own.wall(x, y)
    across = room + own.span(x, y)[1]
    pilot, mouth = next((h[1:] for h in CENTRE_HOLE_SIZES_MM if across <= h[0]), CENTRE_HOLE_SIZES_MM[-1][1:])
    return CentreHole(end, axis.name, (x, y), pilot, mouth, room, room >= mouth / 2 + MIN_CENTRE_HOLE_WALL_MM)


def centre_hole_findings(holes: tuple[CentreHole, ...]) -> list[Finding]:
    """A finding for every centre hole that does not fit."""
    return [
        Finding(
            "warning",
            f"centre hole on axis {h.axis}, {h.end} end",
            f"the {h.mouth:g} mm mouth needs {h.mouth / 2 + MIN_CENTRE_HOLE_WALL_MM:.2f} mm to the "
            f"edge, there are {h.room:.2f}",
            "leave a longer end to be cut off, or hold it in jaws",
        )
        for h in holes
        if not h.fits
    ]
