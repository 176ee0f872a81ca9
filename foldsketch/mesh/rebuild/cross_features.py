"""Cross: bores and bosses whose axes do not run along the main direction, made on their own axes."""

from __future__ import annotations

import numpy as np

from foldsketch.mesh.features.mesh_reading import MeasuredFeature, MeshReading
from foldsketch.mesh.features.part_frame import PartFrame
from foldsketch.part.model import Axis, Cone, Cylinder, Feature

OPEN_END_OVERRUN_RATIO = 0.06
"""How far, in diameters, a cross round runs on past an open end: clear of the curve in which it meets a wall."""


def cross_features(
    reading: MeshReading, features: tuple[MeasuredFeature, ...], frame: PartFrame, keep: bool, digits: int
) -> list[Feature]:
    """Cylinders and cones on cross axes. An end with a face across it stays where the face is; an open end of a bore
    runs on a little, an open end of a boss runs into the body that it stands on."""
    out = []
    for m in features:
        if m.kind not in ("cylinder", "cone") or frame.is_along_z(m) or m.covered_degrees < 200 or not m.axis:
            continue
        if m.left_out and not keep and m.role != "draft":
            continue
        axis = next((a for a in frame.axes if a.name == m.axis), None)
        if axis is None:
            continue
        start, end, flip = _extent_along_axis(m, axis, frame)
        capped_start, capped_end = _closed_ends(m, features, flip)
        first, last = (m.end_diameter, m.diameter) if flip else (m.diameter, m.end_diameter)
        if m.role == "draft" and not keep:
            first = last = (first + last) / 2
        slope = (last - first) / max(end - start, 1e-12)
        if not capped_start:
            start, first = (
                start - OPEN_END_OVERRUN_RATIO * m.diameter,
                first - slope * OPEN_END_OVERRUN_RATIO * m.diameter,
            )
        if not capped_end:
            end, last = end + OPEN_END_OVERRUN_RATIO * m.diameter, last + slope * OPEN_END_OVERRUN_RATIO * m.diameter
        first, last = round(max(first, 0.0), digits), round(max(last, 0.0), digits)
        shape: Cylinder | Cone = Cylinder(first) if m.kind == "cylinder" or first == last else Cone(first, last)
        out.append(Feature(m.name, axis.name, shape, round(start, digits), round(end, digits), m.inner))
    return out


def _extent_along_axis(m: MeasuredFeature, axis: Axis, frame: PartFrame) -> tuple[float, float, bool]:
    """Start and end from the axis's own origin, and whether the feature was measured the other way."""
    u = np.array(axis.direction)
    origin = np.array(axis.point)
    d = np.array(m.direction)
    points = [np.array(m.point) + d * s for s in (m.start, m.end)]
    ends = [frame.to_part_frame((float(p[0]), float(p[1]), float(p[2]))) for p in points]
    at = sorted(float((e - origin) @ u) for e in ends)
    return at[0], at[1], float((frame.rotation @ d) @ u) < 0


def _closed_ends(m: MeasuredFeature, features: tuple[MeasuredFeature, ...], flip: bool) -> tuple[bool, bool]:
    """Whether a face across the axis, or a coaxial cone, closes the start and the end."""
    d, p = np.array(m.direction), np.array(m.point)
    closed = [False, False]
    for other in features:
        if other is m:
            continue
        if other.kind == "plane":
            if abs(float(np.array(other.direction) @ d)) < 1 - 1e-6:
                continue
            z = float((np.array(other.point) - p) @ d)
        elif other.kind == "cone" and other.axis == m.axis:
            q = np.array(other.point)
            ends = [float((q + np.array(other.direction) * s - p) @ d) for s in (other.start, other.end)]
            z = min(ends, key=lambda e: min(abs(e - m.start), abs(e - m.end)))
        else:
            continue
        for i, at in enumerate((m.start, m.end)):
            if abs(z - at) < 1e-3 * m.diameter:
                closed[i] = True
    return (closed[1], closed[0]) if flip else (closed[0], closed[1])
