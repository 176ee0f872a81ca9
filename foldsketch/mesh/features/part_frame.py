"""Part frame: the frame of the part in the mesh (datum axis along z through the origin) and the part's axes in it."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, hypot

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.mesh.features.axes import axis_letter
from foldsketch.mesh.features.measure_features import to_vec3
from foldsketch.mesh.features.mesh_reading import MeasuredFeature, MeshReading
from foldsketch.mesh.geometry.measure import coordinate_bounds
from foldsketch.part.model import Axis, Vec3

MAX_DECIMALS, EXACT_DECIMALS = 4, 6
"""Decimals of a mm in a part file, from a mesh and from the exact surfaces of a CAD file."""

MAX_TILT_RAD, MAX_NOISY_TILT_RAD = 1.4e-3, 0.1
"""Tilt up to which a direction is that of z, and the most that noise may make of it."""

NOISE_TILT = 8.0
"""Tilt of a face over noise by its width: the corners of a narrow face are few, and off to both sides."""


@dataclass(slots=True, eq=False)
class PartFrame:
    """rotation: (3, 3), rows are the part's x, y, z in the mesh's frame.

    origin: (3,) of the part in the mesh's frame; axes: of the part, more of which may be added; decimals: of a mm, that
    the mesh is good for; noise: standard deviation of its corners, mm.
    """

    rotation: Array
    origin: Array
    axes: list[Axis]
    decimals: int
    noise: float = 0.0

    def to_part_frame(self, point: Vec3 | Array) -> Array:
        """A point (3,) of the mesh in the part's frame."""
        out: Array = self.rotation @ (np.asarray(point) - self.origin)
        return out

    def part_z(self, point: Vec3) -> float:
        """Its z in the part's frame."""
        return float(self.to_part_frame(point)[2])

    def part_xy(self, point: Vec3) -> tuple[float, float]:
        """Its x and y in the part's frame, those of the axis that it is on where there is one."""
        x, y, _ = self.to_part_frame(point).tolist()
        near = self._nearest_axis(x, y, 2.0 * 10.0**-self.decimals)
        return (near.point[0], near.point[1]) if near is not None else (x, y)

    def is_along_z(self, m: MeasuredFeature) -> bool:
        """Whether a feature's axis, or a face's normal, runs along the part's z, as far as noise lets one say."""
        wobble = NOISE_TILT * self.noise / max(m.area, 1e-12) ** 0.5 if m.kind == "plane" else 0.0
        tilt = min(max(MAX_TILT_RAD, wobble), MAX_NOISY_TILT_RAD)
        return abs(float(np.array(m.direction) @ self.rotation[2])) > cos(tilt)

    def rounded(self, x: float, y: float, z: float = 0.0) -> Vec3:
        """Lengths rounded to the decimals that the mesh is good for, without a negative zero."""
        x, y, z = (round(float(v), self.decimals) + 0.0 for v in (x, y, z))
        return x, y, z

    def _nearest_axis(self, x: float, y: float, slack: float) -> Axis | None:
        return next((a for a in self.axes if a.along_z and hypot(a.point[0] - x, a.point[1] - y) <= slack), None)

    def find_axis(self, x: float, y: float) -> str | None:
        """Letter of the parallel axis at a place, if there is one."""
        near = self._nearest_axis(x, y, 2.0 * 10.0**-self.decimals)
        return near.name if near is not None else None

    def axis_for_rough_circle(self, x: float, y: float, r: float) -> str:
        """Letter of the parallel axis next to the centre of a roughly measured circle, or a new one."""
        near = self._nearest_axis(x, y, 0.02 * r)
        return near.name if near is not None else self.find_or_add_axis(x, y)

    def find_or_add_axis(self, x: float, y: float) -> str:
        """Letter of the parallel axis at a place; a new one where there is none."""
        name = self.find_axis(x, y)
        if name is None:
            name = axis_letter(len(self.axes))
            self.axes.append(Axis(name, self.rounded(x, y)))
        return name


def find_part_frame(reading: MeshReading) -> PartFrame:
    """The frame: the mesh's own axes where the main direction is one of them, else x towards the first offset axis."""
    z = _unit(np.array(reading.main_direction))
    k = int(np.argmax(np.abs(z)))
    along_mesh_axis = abs(z[k]) > 1 - 1e-10
    if along_mesh_axis:
        z = np.sign(z[k]) * np.eye(3)[k] + 0.0
    x = np.eye(3)[(k + 1) % 3] if along_mesh_axis else _x_direction(reading, z)
    body = reading.segmentation.body
    low, high = coordinate_bounds(body.corners)
    middle = (low + high) / 2 + body.origin_shift
    datum = np.array(reading.axes[0].point) if reading.axes else middle
    heights = (body.corners + body.origin_shift) @ z
    keeps_zero = along_mesh_axis and heights.min() - 1e-6 <= 0.0 <= heights.max() + 1e-6
    origin = datum - z * float(datum @ z) + z * (0.0 if keeps_zero else float(heights.min()))
    digits = int(np.clip(np.floor(-np.log10(max(reading.segmentation.tolerance, 1e-12))), 1, MAX_DECIMALS))
    if reading.features and all(m.exact for m in reading.features):
        digits = EXACT_DECIMALS
    frame = PartFrame(np.array([x, np.cross(z, x), z]), origin, [], digits, reading.segmentation.noise)
    frame.axes.append(Axis(reading.axes[0].name if reading.axes else "A"))
    for a in reading.axes[1:]:
        frame.axes.append(_to_part_axis(a.name, np.array(a.point), np.array(a.direction), frame))
    return frame


def _x_direction(reading: MeshReading, z: Array) -> Array:
    """A unit vector across z.

    Towards the first offset axis, or along the first cross axis, or along the normal of a face, or any.
    """
    datum = reading.axes[0] if reading.axes else None
    candidates = [
        np.array(a.point) - np.array(datum.point)
        for a in reading.axes[1:]
        if datum is not None and a.offset is not None and a.offset > 1e-6
    ]
    across = [np.array(a.direction) for a in reading.axes[1:]]
    candidates += [d for d in across if np.linalg.norm(d - z * float(d @ z)) > 0.1]
    faces = [np.array(m.direction) for m in reading.features if m.kind == "plane"]
    candidates += [n for n in faces if abs(float(n @ z)) < 1e-4]
    chosen = (*candidates, np.eye(3)[int(np.argmin(np.abs(z)))])[0]
    return _unit(chosen - z * float(chosen @ z))


def _unit(v: Array) -> Array:
    out: Array = v / np.linalg.norm(v)
    return out


def _to_part_axis(name: str, point: Array, direction: Array, frame: PartFrame) -> Axis:
    d = frame.rotation @ direction
    p = frame.to_part_frame(point)
    if abs(d[2]) > 1 - 1e-7:
        return Axis(name, frame.rounded(p[0], p[1]))
    d[np.abs(d) < 1e-6] = 0.0
    d = _unit(d)
    return Axis(name, frame.rounded(*(p - d * float(p @ d))), to_vec3(d))
