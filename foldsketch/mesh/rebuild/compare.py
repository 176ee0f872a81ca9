"""Compare: the rebuilt part and the mesh: volume, area, and distance from each to the other."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.base.findings import Finding, mm, percent
from foldsketch.mesh.features.mesh_reading import MeasuredFeature, MeshReading
from foldsketch.mesh.features.part_frame import find_part_frame
from foldsketch.mesh.geometry.measure import signed_volume, triangle_areas
from foldsketch.mesh.geometry.point_to_mesh import distances_between
from foldsketch.mesh.rebuild import messages

MAX_VOLUME_DEVIATION = 0.03
"""Share of the mesh's volume by which the rebuilt part may be off without a warning."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """volume, area: of the rebuilt part over that of the mesh.

    mesh_to_part, part_to_mesh: distance in mm from points of one to the other, largest and mean; mesh_chord_error: mm
    that the flat facets of the mesh are inside its rounds.
    """

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
        """The comparison in a line: a warning where the volume is far off."""
        message = messages.REBUILT
        values = {"volume": percent(self.volume, 2), "area": percent(self.area, 2)}
        values["deviation"] = mm(self.max_distance, 3)
        values["mean"] = mm((self.mesh_to_part_mean + self.part_to_mesh_mean) / 2, 3)
        if abs(self.volume - 1) > MAX_VOLUME_DEVIATION:
            message = messages.REBUILT_FAR_OFF
        elif self.mesh_chord_error > 0.1 * self.max_distance and self.max_distance > 1e-3:
            message = messages.REBUILT_BESIDE_CHORDS
            values["chord"] = mm(self.mesh_chord_error, 3)
        return message.at(where, **values)


def compare_with_mesh(reading: MeshReading, vertices: Array, triangles: Ints, samples: int = 2000) -> Comparison:
    """Compare a rebuilt solid with the mesh of a reading.

    vertices: (n, 3) mm, triangles: (m, 3), closed and outward, both in the mesh's own frame (see `to_mesh_frame`);
    samples: points on either surface, spread by area, the same ones every time.
    """
    body = reading.segmentation.body
    own = np.asarray(vertices, dtype=np.float64) - body.origin_shift
    faces = np.asarray(triangles, dtype=np.int64)
    out, back = distances_between((body.corners, body.triangles), (own, faces), samples)
    return Comparison(
        signed_volume(own, faces) / body.volume,
        float(triangle_areas(own, faces).sum()) / reading.area,
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
    frame = find_part_frame(reading)
    out: Array = np.asarray(points, dtype=np.float64) @ frame.rotation + frame.origin
    return out
