"""Compare: a model and the mesh it was made from: volume, area, and distance from each to the other."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.base.findings import Finding, mm, percent
from foldsketch.mesh.comparison import messages
from foldsketch.mesh.comparison.left_out import LeftOut, what_is_left_out
from foldsketch.mesh.comparison.place import FarPoints, Place, place_on_mesh, place_on_model
from foldsketch.mesh.features.mesh_reading import MeasuredFeature, MeshReading
from foldsketch.mesh.features.part_frame import find_part_frame
from foldsketch.mesh.geometry.measure import rows_by_value, signed_volume, triangle_areas
from foldsketch.mesh.geometry.point_to_mesh import distances_to_mesh, sample_triangles

MIN_SAMPLES_OF_SURFACE = 12
"""Points on every surface of the file, so that a small one is not passed over."""

FAR_SHARE = 0.5
"""Share of the largest distance from which on points belong to the place that is reported."""

NOISE_DEVIATIONS = 4.0
"""Standard deviations of a mesh's noise that a distance may be made of: one in 16,000 is larger."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """volume, area: of the model over that of the mesh.

    mesh_to_part, part_to_mesh: distance in mm from points of one to the other, largest and mean; mesh_chord_error: mm
    that the flat facets of the mesh are inside its rounds. true_volume: of the model over that between the surfaces of
    the file, which its facets are beside; volume_off: share of the volume, and distance_off: share of
    the box's diagonal, that nothing explains: neither facets, nor noise, nor what is left out on purpose; place: where
    the largest of that is.
    """

    volume: float
    area: float
    mesh_to_part_max: float
    mesh_to_part_mean: float
    part_to_mesh_max: float
    part_to_mesh_mean: float
    mesh_chord_error: float = 0.0
    true_volume: float = 1.0
    volume_off: float = 0.0
    distance_off: float = 0.0
    place: Place | None = None

    @property
    def max_distance(self) -> float:
        """The larger of the two one-sided distances, mm."""
        return max(self.mesh_to_part_max, self.part_to_mesh_max)

    def finding(self, where: str) -> Finding:
        """The comparison in a line."""
        message = messages.REBUILT
        values = {"volume": percent(self.volume, 2), "area": percent(self.area, 2)}
        values["deviation"] = mm(self.max_distance, 3)
        values["mean"] = mm((self.mesh_to_part_mean + self.part_to_mesh_mean) / 2, 3)
        if self.mesh_chord_error > 0.1 * self.max_distance and self.max_distance > 1e-3:
            message = messages.REBUILT_BESIDE_CHORDS
            values["chord"] = mm(self.mesh_chord_error, 3)
        return message.at(where, **values)


def compare_with_mesh(reading: MeshReading, vertices: Array, triangles: Ints, samples: int = 2000) -> Comparison:
    """Compare a rebuilt solid with the mesh of a reading.

    vertices: (n, 3) mm, triangles: (m, 3), closed and outward, both in the mesh's own frame (see `to_mesh_frame`);
    samples: points on either surface, spread by area, the same ones every time.
    """
    frame = find_part_frame(reading)
    heights = (frame.rotation[2], float(frame.rotation[2] @ frame.origin))
    volume = reading.segmentation.volume
    return _compare(reading, (vertices, triangles), what_is_left_out(reading), heights, samples, volume)


def compare_panels(reading: MeshReading, vertices: Array, triangles: Ints, samples: int = 2000) -> Comparison:
    """The same for flat panels, which leave nothing out and follow the facets."""
    nothing = LeftOut(np.zeros(len(reading.segmentation.owner), dtype=bool))
    volume = reading.segmentation.body.volume
    return _compare(reading, (vertices, triangles), nothing, (np.array([0.0, 0.0, 1.0]), 0.0), samples, volume)


def _compare(
    reading: MeshReading,
    model: tuple[Array, Ints],
    left_out: LeftOut,
    heights: tuple[Array, float],
    samples: int,
    volume: float,
) -> Comparison:
    """model: corners and triangles; heights: their direction and zero; volume: of the file without its facets."""
    body = reading.segmentation.body
    own = np.asarray(model[0], dtype=np.float64) - body.origin_shift
    faces = np.asarray(model[1], dtype=np.int64)
    points, on = _sample_every_surface(reading, samples)
    out = distances_to_mesh(points, own, faces)
    even = slice(0, samples)
    back_points, back_on = sample_triangles(own, faces, samples)
    back = distances_to_mesh(back_points, body.corners, body.triangles)
    chord = max((_chord_error(m) for m in reading.features), default=0.0)
    explained = chord + NOISE_DEVIATIONS * reading.segmentation.noise
    told = FAR_SHARE * explained  # what is nearer can neither be too far nor belong to a place that is
    there = np.where(left_out.explains(points, out, told, body), 0.0, out)
    again = np.where(left_out.explains(back_points, back, told, body), 0.0, back)
    far = max(float(there.max()), float(again.max()))
    place = None
    if far > explained:
        z, zero = heights[0], heights[1] - float(heights[0] @ body.origin_shift)
        mine, far_back = there >= FAR_SHARE * far, again >= FAR_SHARE * far
        if mine.any():
            place = place_on_mesh(reading, FarPoints(points[mine], out[mine], on[mine], own[faces]), z, zero)
        else:
            off = FarPoints(back_points[far_back], back[far_back], back_on[far_back], body.corners[body.triangles])
            place = place_on_model(off, own[faces], z, zero)
    made = signed_volume(own, faces)
    more = made - volume - left_out.volume
    return Comparison(
        made / body.volume,
        float(triangle_areas(own, faces).sum()) / reading.area,
        float(out[even].max()),
        float(out[even].mean()),
        float(back.max()),
        float(back.mean()),
        chord,
        made / volume,
        max(0.0, abs(more) - left_out.slack) / volume,
        max(0.0, far - explained) / body.size,
        place,
    )


def _sample_every_surface(reading: MeshReading, samples: int) -> tuple[Array, Ints]:
    """Points spread over the mesh by area, then some more on surfaces with few; and the triangle of each."""
    body, owner = reading.segmentation.body, reading.segmentation.owner
    points, on = sample_triangles(body.corners, body.triangles, samples)
    count = np.bincount(owner[on] + 1, minlength=int(owner.max()) + 2)
    more = [(points, on)]
    for rows in rows_by_value(owner):
        if count[owner[rows[0]] + 1] < MIN_SAMPLES_OF_SURFACE:
            extra, at = sample_triangles(body.corners, body.triangles[rows], MIN_SAMPLES_OF_SURFACE)
            more.append((extra, rows[at]))
    return np.concatenate([p for p, _ in more]), np.concatenate([t for _, t in more])


def _chord_error(m: MeasuredFeature) -> float:
    if m.kind not in ("cylinder", "cone") or m.sides < 3:
        return 0.0
    return max(m.diameter, m.end_diameter) / 2 * (1 - cos(pi / m.sides))


def to_mesh_frame(reading: MeshReading, points: Array) -> Array:
    """Points (n, 3) of the rebuilt part's frame, in the frame of the mesh."""
    frame = find_part_frame(reading)
    out: Array = np.asarray(points, dtype=np.float64) @ frame.rotation + frame.origin
    return out
