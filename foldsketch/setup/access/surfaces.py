"""The surfaces of a feature on the centreline, as lines in the half-plane (r, z): what is left of them on the part."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import hypot
from typing import TYPE_CHECKING, Literal

from foldsketch.part.model import Cone, Feature, Part, Ring
from foldsketch.setup.access.swept_region import SweptRegion, tool_extent, tool_height
from foldsketch.setup.model import PartEnd

if TYPE_CHECKING:
    from shapely import Geometry

SURFACE_TOLERANCE_MM = 1e-5
"""How near a line must come to material to be its surface."""

MIN_LINE_MM = 1e-3
"""Shorter pieces of a line are none."""

Line = tuple[tuple[float, float], tuple[float, float]]
"""Two points (r, z), mm."""

Side = Literal["out", "in", "up", "down"]
"""Where a surface looks: away from the centreline, to it, out of the chuck, or into it."""


@dataclass(frozen=True, slots=True)
class Surface:
    """One surface. side: where it looks; lines: what is left of it, none where it is in the air or inside material."""

    side: Side
    lines: tuple[Line, ...]

    @property
    def rise(self) -> float:
        """Its length along the centreline, mm; across it where it is a face."""
        index = 0 if self.side in ("up", "down") else 1
        return round(sum(abs(b[index] - a[index]) for a, b in self.lines), 4)


@lru_cache(maxsize=1024)
def turned_surfaces(part: Part, f: Feature, region: SweptRegion, end: PartEnd) -> tuple[Surface, ...]:
    """The surfaces of a cylinder, cone or ring whose axis is on the centreline, the one that gives its size first.

    Of a ring outside and inside, of a groove its floor, both walls, and its outer wall in a face groove.
    """
    low, high = tool_extent(part, f, end)
    a, b = _end_radii(part, f, end)
    made: list[tuple[Side, Line]] = []
    if isinstance(f.shape, Ring):
        bore = f.shape.bore / 2
        inner: Line = ((bore, low), (bore, high))
        if f.cut:
            made += [("out", inner), ("up", ((bore, low), (a, low))), ("down", ((bore, high), (a, high)))]
            made.append(("in", ((a, low), (a, high))))
        else:
            made += [("out", ((a, low), (a, high))), ("in", inner)]
    else:
        made.append(("in" if f.cut else "out", ((a, low), (b, high))))
    return tuple(Surface(side, material_lines(line, region)) for side, line in made)


def end_face(part: Part, f: Feature, region: SweptRegion, end: PartEnd, up: bool = True) -> Surface:
    """An end or shoulder of a cylinder, cone or ring whose axis is on the centreline, or the bottom of a bore.

    up: the one that looks at the tool, or else the one that looks into the chuck.
    """
    low, high = tool_extent(part, f, end)
    a, b = _end_radii(part, f, end)
    # The bottom of a bore looks up from its low end.
    z, r = (high, b) if up != f.cut else (low, a)
    bore = f.shape.bore / 2 if isinstance(f.shape, Ring) else 0.0
    return Surface("up" if up else "down", material_lines(((bore, z), (r, z)), region))


def material_lines(line: Line, region: SweptRegion) -> tuple[Line, ...]:
    """What of a line is the surface of material: not in the air, and not inside what is solid all around."""
    from shapely import LineString, get_parts

    left = LineString(line).intersection(_grown(region.material, SURFACE_TOLERANCE_MM))
    left = left.difference(_grown(region.solid, -SURFACE_TOLERANCE_MM))
    made = []
    for piece in get_parts(left):
        if piece.geom_type == "LineString" and piece.length > MIN_LINE_MM:
            first, last = piece.coords[0], piece.coords[-1]
            made.append(((first[0], first[1]), (last[0], last[1])))
    return tuple(made)


def lines_length(lines: Sequence[Line]) -> float:
    """Their length in all, mm."""
    return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in lines)


def _grown(g: Geometry, by: float) -> Geometry:
    from shapely import BufferJoinStyle

    return g.buffer(by, join_style=BufferJoinStyle.mitre)


def _end_radii(part: Part, f: Feature, end: PartEnd) -> tuple[float, float]:
    """Outer radius of a round feature at its low and high end as the tool sees them, mm."""
    if not isinstance(f.shape, Cone):
        return f.radius, f.radius
    ends = ((f.start, f.shape.start_diameter / 2), (f.end, f.shape.end_diameter / 2))
    low, high = (r for _, r in sorted((tool_height(part, f, own, end), r) for own, r in ends))
    return low, high
