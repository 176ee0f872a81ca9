"""Measure: boxes, areas and volumes of triangles."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array, Ints


def coordinate_bounds(points: Array) -> tuple[Array, Array]:
    """Lowest and highest coordinates (3,) of points (n, 3); column by column, which is much the faster way."""
    columns = [points[:, k] for k in range(3)]
    return np.array([c.min() for c in columns]), np.array([c.max() for c in columns])


def signed_volume(corners: Array, triangles: Ints) -> float:
    """Volume inside outward triangles, mm3."""
    a, cross = triangle_cross_products(corners, triangles)
    return float(np.einsum("ij,ij->", a, cross)) / 6.0


def triangle_cross_products(corners: Array, triangles: Ints) -> tuple[Array, Array]:
    """First corner (m, 3) of triangles and the cross product (m, 3) of their first two sides: twice the area."""
    a = np.take(corners, triangles[:, 0], axis=0)
    u = np.take(corners, triangles[:, 1], axis=0) - a
    v = np.take(corners, triangles[:, 2], axis=0) - a
    cross = np.empty_like(a)
    for k in range(3):
        i, j = (k + 1) % 3, (k + 2) % 3
        cross[:, k] = u[:, i] * v[:, j] - u[:, j] * v[:, i]
    return a, cross


def corners_used(count: int, triangles: Ints) -> Ints:
    """Numbers of the corners that triangles (m, 3) use, each once, in order; count: how many corners there are."""
    if triangles.size * 12 < count:
        return np.unique(triangles)
    mark = np.zeros(count, dtype=bool)
    mark[triangles.ravel()] = True
    return np.flatnonzero(mark)


def reindex_corners(count: int, triangles: Ints) -> tuple[Ints, Ints]:
    """Numbers of the corners that triangles (m, 3) use, and the triangles (m, 3) in places of that list."""
    if triangles.size * 12 < count:
        used, local = np.unique(triangles, return_inverse=True)
        return used, local.reshape(-1, 3)
    used = corners_used(count, triangles)
    place = np.zeros(count, dtype=np.int64)
    place[used] = np.arange(len(used))
    return used, place[triangles]
