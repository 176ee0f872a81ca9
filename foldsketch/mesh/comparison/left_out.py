"""What a rebuilt part goes without on purpose (fillets, roundings, chamfers, draft), and how much that may be off."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np

from foldsketch.base.arrays import Array, Bools
from foldsketch.mesh.features.mesh_reading import MeasuredFeature, MeshReading
from foldsketch.mesh.geometry.point_to_mesh import distances_to_mesh
from foldsketch.mesh.repair.clean import Body

FILLET_THICKNESS = (1 - pi / 4) / (pi / 2)
"""Volume of a quarter-turn fillet over its area and its radius: r2 (1 - pi / 4) over r pi / 2 along each mm."""

CHAMFER_THICKNESS = 0.5 / 2**0.5
"""Volume of a 45 degree chamfer over its area and its width: w2 / 2 over w sqrt 2 along each mm."""

VOLUME_SLACK = 0.5
"""Share of these volumes that the formulas may be off: fillets are not all of a quarter turn."""


@dataclass(frozen=True, slots=True, eq=False)
class LeftOut:
    """triangles: (m,) true on what is left out; reach: mm that leaving it out may move the surface.

    volume: mm3 that the part has more than the mesh for it, and slack, mm3, by which that may be off.
    """

    triangles: Bools
    reach: float = 0.0
    volume: float = 0.0
    slack: float = 0.0

    def explains(self, points: Array, distance: Array, least: float, body: Body) -> Bools:
        """Which points (n, 3) of mesh or model, at a distance (n,) from the other, are off only for what is left out.

        least: mm up to which no point needs it; body: of the mesh.
        """
        out: Bools = (distance > least) & (distance <= self.reach) & bool(self.triangles.any())
        asked = np.flatnonzero(out)
        if len(asked):
            away = distances_to_mesh(points[asked], body.corners, body.triangles[self.triangles])
            out[asked] = away <= distance[asked] * (1 + 1e-6) + 1e-9
        return out


def what_is_left_out(reading: MeshReading) -> LeftOut:
    """What the part of a reading goes without; nothing where fillets, chamfers and draft are kept."""
    segmentation = reading.segmentation
    marked = np.zeros(len(segmentation.owner), dtype=bool)
    gone = [] if reading.keep else [m for m in (*reading.features, *reading.left_out) if m.left_out]
    reach = volume = slack = 0.0
    for m in gone:
        marked |= np.isin(segmentation.owner, m.surfaces)
        width, more = _width_and_volume(m)
        reach = max(reach, width)
        volume += more
        slack += VOLUME_SLACK * abs(more)
    return LeftOut(marked, reach, volume, slack)


def _width_and_volume(m: MeasuredFeature) -> tuple[float, float]:
    """Width of what is left out, mm, and the volume that the part has more for it, mm3."""
    step = abs(m.end_diameter - m.diameter) / 2
    match m.role:
        case "draft":  # straight at mid-height size, where the volume stays
            return step, 0.0
        case "chamfer":
            return max(step, m.length), CHAMFER_THICKNESS * step * m.area
    radius = (m.tube_diameter if m.kind == "torus" else m.diameter) / 2
    return radius, (-1 if m.role == "fillet" else 1) * FILLET_THICKNESS * radius * m.area
