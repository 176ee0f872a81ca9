"""Cross features: bores and bosses whose axes do not run along the main direction, made on their own axes."""

from __future__ import annotations

import numpy as np

from foldsketch.mesh.features.mesh_reading import MeasuredFeature
from foldsketch.mesh.features.part_frame import PartFrame
from foldsketch.mesh.rebuild.feature_sections import MIN_CROSS_DEGREES
from foldsketch.part.model import Axis, Cone, Cylinder, Feature

OPEN_END_OVERRUN_RATIO = 0.06
"""How far, in diameters, a cross round continues past an open end: clear of the curve in which it meets a wall."""


def cross_features(features: tuple[MeasuredFeature, ...], frame: PartFrame, keep: bool) -> list[Feature]:
    """Cylinders and cones on cross axes.

    An end with a face across it stays where the face is; an open end of a bore goes a little farther, an open end of a
    boss goes into the body that it is on.
    """
    axes = {a.name: a for a in frame.axes}
    return [
        _make_feature(m, axes[m.axis], features, frame, keep)
        for m in features
        if m.kind in ("cylinder", "cone")
        and not frame.is_along_z(m)
        and m.covered_degrees >= MIN_CROSS_DEGREES
        and m.axis in axes
        and (keep or not m.left_out or m.role == "draft")
    ]


def _make_feature(
    m: MeasuredFeature, axis: Axis, features: tuple[MeasuredFeature, ...], frame: PartFrame, keep: bool
) -> Feature:
    along = np.array(axis.direction)
    d, p = np.array(m.direction), np.array(m.point)
    at = [float((frame.to_part_frame(p + d * s) - np.array(axis.point)) @ along) for s in (m.start, m.end)]
    diameters = [m.diameter, m.end_diameter]
    if m.role == "draft" and not keep:
        diameters = [sum(diameters) / 2] * 2
    growth = (diameters[1] - diameters[0]) / max(m.length, 1e-12)
    overrun = OPEN_END_OVERRUN_RATIO * m.diameter
    for k, closed in enumerate(_closed_ends(m, features)):
        if not closed:
            outward = -1 if k == 0 else 1
            at[k] += overrun * outward * (1 if at[1] > at[0] else -1)
            diameters[k] += growth * overrun * outward
    if at[0] > at[1]:  # measured against the direction of the axis
        at, diameters = at[::-1], diameters[::-1]
    first, last = (round(max(x, 0.0), frame.decimals) for x in diameters)
    start, end = (round(x, frame.decimals) for x in at)
    shape: Cylinder | Cone = Cylinder(first) if m.kind == "cylinder" or first == last else Cone(first, last)
    return Feature(m.name, axis.name, shape, start, end, m.inner)


def _closed_ends(m: MeasuredFeature, features: tuple[MeasuredFeature, ...]) -> tuple[bool, bool]:
    """Whether a face across the axis, or a coaxial cone, closes the start and the end."""
    d, p = np.array(m.direction), np.array(m.point)
    heights: list[float] = []
    for other in features:
        n, q = np.array(other.direction), np.array(other.point)
        if other.kind == "plane" and abs(float(n @ d)) >= 1 - 1e-6:
            heights.append(float((q - p) @ d))
        elif other.kind == "cone" and other is not m and other.axis == m.axis:
            heights += [float((q + n * s - p) @ d) for s in (other.start, other.end)]
    start, end = (any(abs(z - at) < 1e-3 * m.diameter for z in heights) for at in (m.start, m.end))
    return start, end
