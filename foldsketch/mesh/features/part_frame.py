"""Place: the frame of the part in the mesh — datum axis along z through the origin — and the part's axes in it."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.mesh.features.axes import axis_letter
from foldsketch.mesh.features.mesh_reading import MeasuredFeature, MeshReading
from foldsketch.mesh.geometry.measure import coordinate_bounds
from foldsketch.part.model import Axis, Vec3


@dataclass(slots=True, eq=False)
class PartFrame:
    """turn: (3, 3), rows are the part's x, y, z in the mesh's frame; origin: (3,) of the part in the mesh's frame;
    decimals: decimals of a mm that the mesh is good for."""

    rotation: Array
    origin: Array
    axes: list[Axis]
    decimals: int

    def to_part_frame(self, point: Vec3) -> Array:
        """A point of the mesh in the part's frame."""
        out: Array = self.rotation @ (np.array(point) - self.origin)
        return out

    def part_z(self, point: Vec3) -> float:
        """Its z in the part's frame."""
        return float(self.to_part_frame(point)[2])

    def part_xy(self, point: Vec3) -> tuple[float, float]:
        """Its x and y in the part's frame, those of the axis that it lies on where there is one."""
        x, y, _ = (float(c) for c in self.to_part_frame(point))
        near = self._nearest_axis(x, y)
        return (near.point[0], near.point[1]) if near is not None else (x, y)

    def is_along_z(self, m: MeasuredFeature) -> bool:
        """Whether a feature's axis runs along the part's z."""
        return abs(float(np.array(m.direction) @ self.rotation[2])) > 1 - 1e-6

    def _nearest_axis(self, x: float, y: float) -> Axis | None:
        slack = 2.0 * 10.0**-self.decimals
        for a in self.axes:
            if a.along_z and hypot(a.point[0] - x, a.point[1] - y) <= slack:
                return a
        return None

    def find_axis(self, x: float, y: float) -> str | None:
        """Letter of the parallel axis at a place, if there is one."""
        near = self._nearest_axis(x, y)
        return near.name if near is not None else None

    def axis_for_rough_circle(self, x: float, y: float, r: float) -> str:
        """Letter of the parallel axis next to the centre of a roughly measured round, or a new one."""
        for a in self.axes:
            if a.along_z and hypot(a.point[0] - x, a.point[1] - y) <= 0.02 * r:
                return a.name
        return self.find_or_add_axis(x, y)

    def find_or_add_axis(self, x: float, y: float) -> str:
        """Letter of the parallel axis at a place; a new one where there is none."""
        name = self.find_axis(x, y)
        if name is None:
            name = axis_letter(len(self.axes))
            self.axes.append(Axis(name, (round(x, self.decimals) + 0.0, round(y, self.decimals) + 0.0, 0.0)))
        return name


def find_part_frame(reading: MeshReading) -> PartFrame:
    """The frame: the mesh's own axes where the main direction is one of them, else x towards the first offset axis."""
    main = np.array(reading.main_direction)
    main = main / np.linalg.norm(main)
    body = reading.segmentation.body
    k = int(np.argmax(np.abs(main)))
    if abs(main[k]) > 1 - 1e-10:
        z = np.zeros(3)
        z[k] = np.sign(main[k])
        x = np.zeros(3)
        x[(k + 1) % 3] = 1.0
    else:
        z = main
        x = _x_direction(reading, z)
    turn = np.array([x, np.cross(z, x), z])
    low, high = coordinate_bounds(body.corners)
    middle = (low + high) / 2 + body.origin_shift
    datum = np.array(reading.axes[0].point) if reading.axes else middle
    own = (body.corners + body.origin_shift) @ z
    bottom = float(own.min())
    keeps = abs(main[k]) > 1 - 1e-10 and own.min() - 1e-6 <= 0.0 <= own.max() + 1e-6
    origin = datum - z * float(datum @ z) + z * (0.0 if keeps else bottom)
    digits = int(np.clip(np.floor(-np.log10(max(reading.segmentation.tolerance, 1e-12))), 1, 4))
    place = PartFrame(turn, origin, [], digits)
    if not reading.axes:
        place.axes.append(Axis("A"))
    for a in reading.axes:
        place.axes.append(_to_part_axis(a.name, np.array(a.point), np.array(a.direction), place, first=not place.axes))
    return place


def _x_direction(reading: MeshReading, z: Array) -> Array:
    """A unit vector across z: towards the first offset axis, or along the first cross axis, or any."""
    datum = reading.axes[0] if reading.axes else None
    for a in reading.axes[1:]:
        if datum is not None and a.offset is not None and a.offset > 1e-6:
            off = np.array(a.point) - np.array(datum.point)
            return _normalize(off - z * float(off @ z))
    for a in reading.axes[1:]:
        d = np.array(a.direction)
        d = d - z * float(d @ z)
        if np.linalg.norm(d) > 0.1:
            return _normalize(d)
    faces = [np.array(m.direction) for m in reading.features if m.kind == "plane"]
    for n in faces:
        if abs(float(n @ z)) < 1e-4:
            return _normalize(n - z * float(n @ z))
    helper = np.eye(3)[int(np.argmin(np.abs(z)))]
    return _normalize(helper - z * float(helper @ z))


def _normalize(v: Array) -> Array:
    out: Array = v / np.linalg.norm(v)
    return out


def _to_part_axis(name: str, point: Array, direction: Array, frame: PartFrame, first: bool) -> Axis:
    d = frame.rotation @ direction
    p = frame.rotation @ (point - frame.origin)
    n = frame.decimals
    if first:
        return Axis(name)
    if abs(d[2]) > 1 - 1e-7:
        return Axis(name, (round(float(p[0]), n) + 0.0, round(float(p[1]), n) + 0.0, 0.0))
    d[np.abs(d) < 1e-6] = 0.0
    d = d / np.linalg.norm(d)
    p = p - d * float(p @ d)
    return Axis(
        name,
        (round(float(p[0]), n) + 0.0, round(float(p[1]), n) + 0.0, round(float(p[2]), n) + 0.0),
        (float(d[0]), float(d[1]), float(d[2])),
    )
