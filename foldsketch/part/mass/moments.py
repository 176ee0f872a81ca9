"""Area and moments of a section, as integrals along its edges (Green's theorem)."""

from __future__ import annotations

from collections.abc import Sequence

from foldsketch.part.mass.edges import Edge, intersections
from foldsketch.part.mass.region import Region

SectionMoments = tuple[float, float, float, float, float, float]
"""Integrals over a section of 1, x, y, x x, y y, x y: mm2, mm3, mm3, mm4, mm4, mm4."""

PROBE_OFFSET_SHARE = 1e-7
"""Distance from an edge at which its sides are tested for material, as a share of the size of the section."""


def section_moments(layers: Sequence[tuple[Region, bool]]) -> SectionMoments:
    """Moments of the material that regions leave, each applied after the one before; True for one that cuts."""
    one = ux = uy = xx = yy = xy = 0.0
    for edge, forward in material_boundary(layers):
        for x, y, dx, dy in edge.line_elements():
            if not forward:
                dx, dy = -dx, -dy
            one += (x * dy - y * dx) / 2
            ux += x * x * dy / 2
            uy -= y * y * dx / 2
            xx += x * x * x * dy / 3
            yy -= y * y * y * dx / 3
            xy += x * x * y * dy / 2
    return one, ux, uy, xx, yy, xy


def material_boundary(layers: Sequence[tuple[Region, bool]]) -> list[tuple[Edge, bool]]:
    """The edges of the material, cut where they meet; False for one that has the material on its right."""
    edges = [e for region, _ in layers for e in region.all_edges()]
    if len(layers) == 1 and not layers[0][0].holes:
        return [] if layers[0][1] else [(e, True) for e in edges]
    boxes = [e.bounds for e in edges]
    size = max((abs(v) for box in boxes for v in box), default=1.0)
    probe, air = PROBE_OFFSET_SHARE * size, 1e-9 * size
    kept: list[tuple[Edge, bool]] = []
    seen: set[tuple[int, int]] = set()
    for k, edge in enumerate(edges):
        x0, y0, x1, y1 = boxes[k]
        near = [
            other
            for j, (other, b) in enumerate(zip(edges, boxes, strict=True))
            if j != k and b[0] <= x1 + air and b[2] >= x0 - air and b[1] <= y1 + air and b[3] >= y0 - air
        ]
        for piece in edge.split([p for other in near for p in intersections(edge, other)]):
            (x, y), (nx, ny) = piece.midpoint_and_normal()
            left = _is_material(layers, x + nx * probe, y + ny * probe)
            if left == _is_material(layers, x - nx * probe, y - ny * probe):
                continue
            place = (round(x / size * 1e9), round(y / size * 1e9))
            if any((place[0] + i, place[1] + j) in seen for i in (-1, 0, 1) for j in (-1, 0, 1)):
                continue  # two features share this edge
            seen.add(place)
            kept.append((piece, left))
    return kept


def _is_material(layers: Sequence[tuple[Region, bool]], x: float, y: float) -> bool:
    """Whether the last region that contains a point adds material."""
    for region, cut in reversed(layers):
        if region.contains(x, y):
            return not cut
    return False
