"""The model frame: the datum axis along z, and the direction about which the model is symmetric."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import atan2, cos, sin

import numpy as np
from numpy.typing import NDArray

from foldsketch.part.model import Part, Vec3

Array = NDArray[np.float64]


def align_datum_to_z(part: Part) -> tuple[Part, Array]:
    """The part with its datum axis along +z, and the (3, 3) rotation that brings it back to its own frame."""
    if part.datum.direction == (0.0, 0.0, 1.0):
        return part, np.eye(3)
    back = np.column_stack([np.array(v) for v in part.datum.frame])
    forth = back.T
    axes = tuple(
        replace(
            a,
            point=_zero_tiny(forth @ np.array(a.point)),
            direction=_normalize_direction(forth @ np.array(a.direction)),
        )
        for a in part.axes
    )
    return replace(part, axes=axes), back


def _zero_tiny(v: Array) -> Vec3:
    x, y, z = (0.0 if abs(c) < 1e-12 else float(c) for c in v)
    return (x, y, z)


def _normalize_direction(v: Array) -> Vec3:
    """A direction; within 1e-12 of a main direction it is that direction exactly."""
    near = np.where(np.abs(v) < 1e-12, 0.0, v)
    near = near / np.linalg.norm(near)
    return (float(near[0]), float(near[1]), float(near[2]))


def reference_direction(part: Part) -> Array:
    """(3,) unit vector across the datum axis (which lies along z): the line about which the offsets are symmetric.

    The first offset direction, or the bisector of two, that mirrors the set of parallel axes onto itself; else the
    first offset direction; without offsets the part's x.
    """
    used = {f.axis for f in part.features}
    # Directions across the datum axis are complex numbers here: few of them are quicker so than as arrays.
    origin = complex(*part.datum.point[:2])
    offsets = [complex(*a.point[:2]) - origin for a in part.axes if a.along_z and a.name in used]
    offsets = [o for o in offsets if abs(o) > 1e-6]
    if not offsets:
        return np.array([1.0, 0.0, 0.0])
    units = [o / abs(o) for o in offsets]
    candidates = list(units)
    for i, u in enumerate(units):
        candidates += [(u + v) / abs(u + v) for v in units[i + 1 :] if abs(u + v) > 1e-6]
    best = next((c for c in candidates if _is_mirror_line(offsets, c)), units[0])
    return np.array([best.real, best.imag, 0.0])


def rotate_about_z(direction: Array, angle: float) -> Array:
    """(3,) a direction across the datum axis, rotated about it by an angle, radians; by 0 it is the same array."""
    if not angle:
        return direction
    way = complex(direction[0], direction[1]) * complex(cos(angle), sin(angle))
    return np.array([way.real, way.imag, 0.0])


def _is_mirror_line(offsets: list[complex], line: complex) -> bool:
    """Whether offsets mirrored at a line (a number of length 1) are those offsets again."""
    images = [line * line * o.conjugate() for o in offsets]
    return all(min(abs(image - p) for p in offsets) <= 1e-6 for image in images)


@dataclass(frozen=True, slots=True, eq=False)
class AxisFrame:
    """An axis's own frame seen in the model frame. origin: (3,) mm; x, y, z: (3,) right-handed unit vectors."""

    origin: Array
    x: Array
    y: Array
    z: Array

    @property
    def along_z(self) -> bool:
        """True when the axis is parallel to the datum, in either sense."""
        return abs(abs(float(self.z[2])) - 1) < 1e-12

    def turn(self, direction: Array) -> float:
        """The angle in this frame, radians, at which the middle of a side goes.

        For an axis along the datum that is the reference direction; for any other the datum direction seen along it.
        """
        v = direction if self.along_z else np.array([0.0, 0.0, 1.0])
        angle = atan2(float(v @ self.y), float(v @ self.x))
        return 0.0 if abs(angle) < 1e-12 else angle


def axis_frames(part: Part, turn: Array, scale: float) -> dict[str, AxisFrame]:
    """The frame of every axis, at scale paper mm per part mm. turn: (3, 3), model frame to part frame."""
    result = {}
    for a in part.axes:
        x, y, z = (np.array(_zero_tiny(turn.T @ np.array(v))) for v in a.frame)
        result[a.name] = AxisFrame(np.array(_zero_tiny(turn.T @ np.array(a.point))) * scale, x, y, z)
    return result
