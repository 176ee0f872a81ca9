"""The model frame: the datum axis along z, and the direction about which the model is symmetric."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations
from math import atan2, cos, sin

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.part.model import Part, Vec3

SAME_PLACE_MM = 1e-6
"""Axes nearer to each other than this, mm, are at one place."""


def align_datum_to_z(part: Part) -> tuple[Part, Array]:
    """The part with its datum axis along +z, and the rotation (3, 3) from there back to the part's own frame."""
    if part.datum.direction == (0.0, 0.0, 1.0):
        return part, np.eye(3)
    back = np.column_stack(part.datum.frame)
    forth = back.T
    axes = tuple(
        replace(a, point=_zero_tiny(forth @ a.point), direction=_normalize_direction(forth @ a.direction))
        for a in part.axes
    )
    return replace(part, axes=axes), back


def _zero_tiny(v: Array) -> Vec3:
    x, y, z = (0.0 if abs(c) < 1e-12 else float(c) for c in v)
    return (x, y, z)


def _normalize_direction(v: Array) -> Vec3:
    """The direction as a unit vector; components below 1e-12 become exactly 0."""
    near = np.array(_zero_tiny(v))
    x, y, z = (near / np.linalg.norm(near)).tolist()
    return (x, y, z)


def reference_direction(part: Part) -> Array:
    """(3,) unit vector across the datum axis (which lies along z): the line about which the offsets are symmetric.

    The first offset direction, or bisector of two, about which the parallel axes mirror onto each other; else the
    first offset direction; x where there is no offset.
    """
    used = {f.axis for f in part.features}
    # Directions across the datum axis as complex numbers: quicker than arrays for so few.
    origin = complex(*part.datum.point[:2])
    offsets = [complex(*a.point[:2]) - origin for a in part.axes if a.along_z and a.name in used]
    offsets = [o for o in offsets if abs(o) > SAME_PLACE_MM]
    if not offsets:
        return np.array([1.0, 0.0, 0.0])
    units = [o / abs(o) for o in offsets]
    bisectors = [(u + v) / abs(u + v) for u, v in combinations(units, 2) if abs(u + v) > 1e-6]
    best = next((c for c in (*units, *bisectors) if _is_mirror_line(offsets, c)), units[0])
    return np.array([best.real, best.imag, 0.0])


def rotate_about_z(direction: Array, angle: float) -> Array:
    """A direction (3,) across the datum axis rotated about that axis by an angle, radians."""
    if not angle:
        return direction
    way = complex(direction[0], direction[1]) * complex(cos(angle), sin(angle))
    return np.array([way.real, way.imag, 0.0])


def _is_mirror_line(offsets: list[complex], line: complex) -> bool:
    """Whether offsets mirrored at a line (a complex number of length 1) are the same offsets."""
    images = [line * line * o.conjugate() for o in offsets]
    return all(min(abs(image - p) for p in offsets) <= SAME_PLACE_MM for image in images)


@dataclass(frozen=True, slots=True, eq=False)
class AxisFrame:
    """The frame of an axis, in the model frame. origin: (3,) mm; x, y, z: (3,) right-handed unit vectors."""

    origin: Array
    x: Array
    y: Array
    z: Array

    @property
    def along_z(self) -> bool:
        """True when the axis is parallel to the datum axis, in either sense."""
        return abs(abs(float(self.z[2])) - 1) < 1e-12

    def side_angle(self, direction: Array) -> float:
        """The angle in this frame, radians, of the middle of a side.

        It points in the reference direction (3,); on an axis that is not along the datum, towards +z instead.
        """
        v = direction if self.along_z else np.array([0.0, 0.0, 1.0])
        angle = atan2(float(v @ self.y), float(v @ self.x))
        return 0.0 if abs(angle) < 1e-12 else angle


def axis_frames(part: Part, rotation: Array, scale: float) -> dict[str, AxisFrame]:
    """The frame of every axis, at scale paper mm per part mm. rotation: (3, 3), model frame to part frame."""
    result = {}
    for a in part.axes:
        x, y, z = (np.array(_zero_tiny(rotation.T @ v)) for v in a.frame)
        result[a.name] = AxisFrame(np.array(_zero_tiny(rotation.T @ a.point)) * scale, x, y, z)
    return result
