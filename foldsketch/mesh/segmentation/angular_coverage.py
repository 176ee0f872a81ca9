"""Angular coverage: how triangles are spread about an axis: the angle of each, the angle of all, where they bend."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface, perpendicular_axes
from foldsketch.mesh.geometry.measure import row_dots, row_norms, weighted_scatter
from foldsketch.mesh.repair.clean import Body

ANGLE_BINS = 1440
"""Steps of a turn in which coverage is counted: quarters of a degree."""

MIN_TUBE_BEND_DEG = 6.0
"""A tube bends by at least this much across itself; corners of flats that happen to be on a torus do not."""

MIN_FLAT_ANGLE_DEG, MIN_FLAT_ANGLE_RATIO = 14.0, 1.6
"""Flats whose edges are on a round span at least this angle, and so many times that of its facets."""


def triangle_centroids(body: Body, triangles: Ints) -> Array:
    """Centroids (m, 3) of triangles."""
    t = body.triangles[triangles]
    total = np.take(body.corners, t[:, 0], axis=0)
    total += np.take(body.corners, t[:, 1], axis=0)
    total += np.take(body.corners, t[:, 2], axis=0)
    total /= 3
    return total


def is_doubly_curved(shape: AnalyticSurface, middle: Array, normals: Array, weight: Array) -> bool:
    """Whether triangles bend in both directions, as on a ball or a tube.

    The corners of a row of flats are on a sphere, and often on a torus, too. middle, normals: (m, 3) of the triangles;
    weight: (m,), their areas.
    """
    if shape.kind == "sphere":
        values = np.linalg.eigvalsh(weighted_scatter(normals, weight))
        return bool(values[0] > 0.004 * values.sum())
    q = middle - shape.point
    radial = q - np.outer(q @ shape.direction, shape.direction)
    radial /= np.maximum(row_norms(radial), 1e-300)[:, None]
    sine, cosine = normals @ shape.direction, row_dots(normals, radial)
    mean = np.arctan2((sine * weight).sum(), (cosine * weight).sum())
    bend = np.mod(np.arctan2(sine, cosine) - mean + np.pi, 2 * np.pi) - np.pi
    low, high = np.percentile(bend[weight > 0], (5, 95))
    return bool(high - low > np.radians(MIN_TUBE_BEND_DEG))


def find_flat_triangles(spans: Array, weight: Array) -> Bools:
    """Triangles (m,) that span far more of the turn than the next ones do: flats whose edges are on the round."""
    real = np.sort(spans[weight > 0])
    top = real[int(0.6 * len(real)) :]
    jump = np.flatnonzero((top[1:] > MIN_FLAT_ANGLE_RATIO * top[:-1]) & (top[1:] > np.radians(MIN_FLAT_ANGLE_DEG)))
    if len(jump) == 0:
        return np.zeros(len(spans), dtype=bool)
    wide: Bools = spans > top[jump[0]] * 1.0001
    return wide


def angular_coverage(
    shape: AnalyticSurface, corners: Array, triangles: Ints, weight: Array
) -> tuple[Array, float, float]:
    """Angle (m,) that each triangle spans about the axis, radians.

    Degrees that all cover together; sides on a full turn, from the angle that three quarters of them do not exceed.
    weight: (m,), zero for triangles that do not count.
    """
    u, v = perpendicular_axes(shape.direction)
    q = corners[triangles] - shape.point
    x, y = q @ u, q @ v
    angle = np.arctan2(y, x)
    base = angle[:, :1]
    offset = np.mod(angle - base + np.pi, 2 * np.pi) - np.pi
    on_axis = np.hypot(x, y) < 1e-6 * max(abs(shape.radius), 1e-9)
    offset = np.where(on_axis, np.nan, offset)
    with np.errstate(invalid="ignore"):
        low = np.fmin(np.fmin(offset[:, 0], offset[:, 1]), offset[:, 2])
        high = np.fmax(np.fmax(offset[:, 0], offset[:, 1]), offset[:, 2])
    low, high = np.nan_to_num(low), np.nan_to_num(high)
    spans = high - low
    start = np.floor((base[:, 0] + low) / (2 * np.pi) * ANGLE_BINS + 1e-6).astype(np.int64)
    stop = np.ceil((base[:, 0] + high) / (2 * np.pi) * ANGLE_BINS - 1e-6).astype(np.int64)
    three = 3 * ANGLE_BINS  # angles of a triangle may run over either end of the turn
    marks = np.bincount(np.clip(start + ANGLE_BINS, 0, three), minlength=three + 2).astype(np.int64)
    marks -= np.bincount(np.clip(stop + ANGLE_BINS, 0, three + 1), minlength=three + 2)
    covered = (np.cumsum(marks)[:three] > 0).reshape(3, ANGLE_BINS).any(axis=0)
    real = spans[weight > 0]
    typical = float(np.percentile(real, 75)) if len(real) else 0.0
    return spans, float(covered.mean() * 360), 2 * np.pi / typical if typical > 1e-9 else 0.0


def degrees_covered(shape: AnalyticSurface, body: Body, triangles: Ints) -> float:
    """Degrees of the turn that triangles cover about a shape's axis."""
    return angular_coverage(shape, body.corners, body.triangles[triangles], body.areas[triangles])[1]
