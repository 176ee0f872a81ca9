"""Turn: how triangles lie about an axis — what they span of the turn, how much of it they cover, where they bend."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface, perpendicular_axes
from foldsketch.mesh.geometry.measure import corners_used, row_dots, row_norms, weighted_scatter
from foldsketch.mesh.repair.clean import Body


def on_surface_corners(body: Body, loose: Bools | None, triangles: Ints) -> Array:
    """Corners (n, 3) of triangles, each once, without the loose ones where any are marked."""
    t = body.triangles[triangles]
    if loose is None:
        return np.take(body.corners, corners_used(len(body.corners), t), axis=0)
    held = np.unique(t[~loose[triangles]])
    return body.corners[held if len(held) else np.unique(t)]


def triangle_centroids(body: Body, triangles: Ints) -> Array:
    """Middles (m, 3) of triangles."""
    t = body.triangles[triangles]
    total = np.take(body.corners, t[:, 0], axis=0)
    total += np.take(body.corners, t[:, 1], axis=0)
    total += np.take(body.corners, t[:, 2], axis=0)
    total /= 3
    return total


def typical_angle_span(spans: Array, weight: Array) -> float:
    """The span that three quarters of the triangles do not pass."""
    real = spans[weight > 0]
    return float(np.percentile(real, 75)) if len(real) else 0.0


def is_doubly_curved(shape: AnalyticSurface, middle: Array, normals: Array, weight: Array) -> bool:
    """Whether facets bend in both directions, as on a ball or a tube. The corners of a row of flats lie on a sphere,
    and on many a torus, without being one."""
    if shape.kind == "sphere":
        values = np.linalg.eigvalsh(weighted_scatter(normals, weight))
        return bool(values[0] > 0.004 * values.sum())
    q = middle - shape.point
    radial = q - np.outer(q @ shape.direction, shape.direction)
    radial /= np.maximum(row_norms(radial), 1e-300)[:, None]
    sine, cosine = normals @ shape.direction, row_dots(normals, radial)
    mean = np.arctan2((sine * weight).sum(), (cosine * weight).sum())
    turn = np.mod(np.arctan2(sine, cosine) - mean + np.pi, 2 * np.pi) - np.pi
    low, high = np.percentile(turn[weight > 0], (5, 95))
    return bool(high - low > np.radians(6))


def find_flat_triangles(spans: Array, weight: Array) -> Bools:
    """Triangles that span far more of the turn than the next ones do: flats whose edges lie on the round."""
    real = np.sort(spans[weight > 0])
    top = real[int(0.6 * len(real)) :]
    jump = np.flatnonzero((top[1:] > 1.6 * top[:-1]) & (top[1:] > np.radians(14.0)))
    if len(jump) == 0:
        return np.zeros(len(spans), dtype=bool)
    wide: Bools = spans > top[jump[0]] * 1.0001
    return wide


def angular_coverage(
    shape: AnalyticSurface, corners: Array, triangles: Ints, weight: Array
) -> tuple[Array, float, float]:
    """Angle (m,) that each triangle spans about the axis; degrees that all cover; sides on a full turn."""
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
    bins = 1440
    start = np.floor((base[:, 0] + low) / (2 * np.pi) * bins + 1e-6).astype(np.int64)
    stop = np.ceil((base[:, 0] + high) / (2 * np.pi) * bins - 1e-6).astype(np.int64)
    marks = np.bincount(np.clip(start + bins, 0, 3 * bins), minlength=3 * bins + 2).astype(np.int64)
    marks -= np.bincount(np.clip(stop + bins, 0, 3 * bins + 1), minlength=3 * bins + 2)
    covered = (np.cumsum(marks)[: 3 * bins] > 0).reshape(3, bins).any(axis=0)
    wrap = float(covered.mean() * 360)
    typical = typical_angle_span(spans, weight)
    return spans, wrap, 2 * np.pi / typical if typical > 1e-9 else 0.0


def degrees_covered(shape: AnalyticSurface, body: Body, triangles: Ints) -> float:
    """Degrees of the turn that triangles cover about a shape's axis."""
    return angular_coverage(shape, body.corners, body.triangles[triangles], body.areas[triangles])[1]
