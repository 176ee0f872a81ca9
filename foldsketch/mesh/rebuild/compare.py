"""Compare: the part rebuilt from its file held against the mesh — volume, area and two-sided distance."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.base.findings import Finding
from foldsketch.base.units import format_number
from foldsketch.mesh.features.mesh_reading import MeasuredFeature, MeshReading
from foldsketch.mesh.geometry.measure import row_norms, signed_volume, triangle_cross_products
from foldsketch.mesh.geometry.point_to_mesh import distances_to_mesh


@dataclass(frozen=True, slots=True)
class Comparison:
    """volume, area: of the rebuilt part over that of the mesh. farthest, mean: distance in mm from points of the mesh
    to the rebuilt part (out) and back (back); chord: mm that the mesh's own flat facets lie inside its rounds."""

    volume: float
    area: float
    mesh_to_part_max: float
    mesh_to_part_mean: float
    part_to_mesh_max: float
    part_to_mesh_mean: float
    mesh_chord_error: float = 0.0

    @property
    def max_distance(self) -> float:
        """The larger of the two one-sided distances, mm."""
        return max(self.mesh_to_part_max, self.part_to_mesh_max)

    def finding(self, where: str) -> Finding:
        """The comparison in a line."""
        own = ""
        if self.mesh_chord_error > 0.1 * self.max_distance and self.max_distance > 1e-3:
            own = f"; the mesh's own facets lie up to {format_number(self.mesh_chord_error, 3)} mm inside its rounds"
        return Finding(
            "note",
            where,
            f"the part as rebuilt has {100 * self.volume:.2f} % of the mesh's volume and {100 * self.area:.2f} % of "
            f"its area; it strays at most {format_number(self.max_distance, 3)} mm from it "
            f"({format_number((self.mesh_to_part_mean + self.part_to_mesh_mean) / 2, 3)} mm on average){own}",
        )


def compare_with_mesh(reading: MeshReading, vertices: Array, triangles: Ints, samples: int = 2000) -> Comparison:
    """Hold a rebuilt solid against the mesh of a reading.

    vertices: (n, 3) mm, triangles: (m, 3), closed and outward, both in the mesh's own frame (see `to_mesh`).
    Points are spread over both surfaces by area, the same ones every time.
    """
    body = reading.segmentation.body
    own = body.corners
    other = np.asarray(vertices, dtype=np.float64) - body.origin_shift
    other_triangles = np.asarray(triangles, dtype=np.int64)
    out = distances_to_mesh(sample_surface(own, body.triangles, samples), other, other_triangles)
    back = distances_to_mesh(sample_surface(other, other_triangles, samples), own, body.triangles)
    area = float(np.linalg.norm(triangle_cross_products(other, other_triangles)[1], axis=1).sum() / 2)
    return Comparison(
        signed_volume(other, other_triangles) / reading.volume,
        area / reading.area,
        float(out.max()),
        float(out.mean()),
        float(back.max()),
        float(back.mean()),
        max((_chord_error(m) for m in reading.features), default=0.0),
    )


def _chord_error(m: MeasuredFeature) -> float:
    if m.kind not in ("cylinder", "cone") or m.sides < 3:
        return 0.0
    return max(m.diameter, m.end_diameter) / 2 * (1 - cos(pi / m.sides))


def to_mesh_frame(reading: MeshReading, points: Array) -> Array:
    """Points (n, 3) of the rebuilt part's frame, in the frame of the mesh."""
    from foldsketch.mesh.features.part_frame import find_part_frame

    place = find_part_frame(reading)
    out: Array = np.asarray(points, dtype=np.float64) @ place.rotation + place.origin
    return out


def sample_surface(corners: Array, triangles: Ints, count: int) -> Array:
    """Points (count, 3) evenly spread over triangles by area: a low-discrepancy walk, no chance in it."""
    a, cross = triangle_cross_products(corners, triangles)
    size = row_norms(cross)
    total = np.cumsum(size)
    k = np.arange(count)
    golden = (np.sqrt(5) - 1) / 2
    at = np.searchsorted(total, (k + 0.5) / count * total[-1]).clip(0, len(triangles) - 1)
    u, v = np.mod((k + 1) * golden, 1.0), np.mod((k + 1) * golden * golden * 1.7320508, 1.0)
    fold = u + v > 1
    u, v = np.where(fold, 1 - u, u), np.where(fold, 1 - v, v)
    b, c = corners[triangles[at, 1]], corners[triangles[at, 2]]
    out: Array = a[at] + u[:, None] * (b - a[at]) + v[:, None] * (c - a[at])
    return out
