"""Measure: boxes, areas and volumes of triangles, and sums over the rows of arrays."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.base.vector import cross


def row_dots(a: Array, b: Array) -> Array:
    """Dot product (n,) of every row of a (n, k) with the same row of b (n, k)."""
    out: Array = np.einsum("ij,ij->i", a, b)
    return out


def row_norms(a: Array) -> Array:
    """Length (n,) of every row of a (n, k)."""
    out: Array = np.sqrt(row_dots(a, a))
    return out


def weighted_scatter(vectors: Array, weights: Array) -> Array:
    """Sum (k, k) of the outer products of vectors (n, k) with themselves, each times its weight (n,)."""
    out: Array = (vectors * weights[:, None]).T @ vectors
    return out


def coordinate_bounds(points: Array) -> tuple[Array, Array]:
    """Lowest and highest coordinates (3,) of points (n, 3); column by column, which is much the faster way."""
    columns = [points[:, k] for k in range(3)]
    return np.array([c.min() for c in columns]), np.array([c.max() for c in columns])


def grouped_bounds(values: Array, group: Ints, count: int) -> tuple[Array, Array]:
    """Lowest and highest of values (n,) in every group; infinity and its negative for a group without any.

    group: (n,) number of each value's group, below count.

    >>> low, high = grouped_bounds(np.array([3.0, 1.0, 2.0]), np.array([0, 0, 1]), 2)
    >>> low.tolist(), high.tolist()
    ([1.0, 2.0], [3.0, 2.0])
    """
    low, high = np.full(count, np.inf), np.full(count, -np.inf)
    np.minimum.at(low, group, values)
    np.maximum.at(high, group, values)
    return low, high


def rows_by_value(values: Ints) -> list[Ints]:
    """The rows of every value that occurs among values (n,), the lowest value first.

    >>> [rows.tolist() for rows in rows_by_value(np.array([7, 2, 7]))]
    [[1], [0, 2]]
    """
    if len(values) == 0:
        return []
    order = np.argsort(values, kind="stable")
    return np.split(order, np.flatnonzero(np.diff(values[order])) + 1)


def signed_volume(corners: Array, triangles: Ints) -> float:
    """Volume inside outward triangles, mm3."""
    a, normal = triangle_cross_products(corners, triangles)
    return float(np.einsum("ij,ij->", a, normal)) / 6.0


def triangle_cross_products(corners: Array, triangles: Ints) -> tuple[Array, Array]:
    """First corner (m, 3) of triangles, and the cross product (m, 3) of their first two sides.

    Along the normal, and twice the area long.
    """
    a = np.take(corners, triangles[:, 0], axis=0)
    u = np.take(corners, triangles[:, 1], axis=0) - a
    v = np.take(corners, triangles[:, 2], axis=0) - a
    return a, cross(u, v)


def triangle_areas(corners: Array, triangles: Ints) -> Array:
    """Areas (m,) of triangles (m, 3), mm2."""
    out: Array = row_norms(triangle_cross_products(corners, triangles)[1]) / 2
    return out


def corners_used(count: int, triangles: Ints) -> Ints:
    """Numbers of the corners that triangles (m, 3) use, each once, in order; count: how many corners there are."""
    if triangles.size * 12 < count:
        return np.unique(triangles)
    mark = np.zeros(count, dtype=bool)
    mark[triangles.ravel()] = True
    return np.flatnonzero(mark)


def reindex_corners(count: int, triangles: Ints) -> tuple[Ints, Ints]:
    """Numbers of the corners that triangles (m, 3) use, and the triangles (m, 3) as places in that list."""
    if triangles.size * 12 < count:
        used, local = np.unique(triangles, return_inverse=True)
        return used, local.reshape(-1, 3)
    used = corners_used(count, triangles)
    place = np.zeros(count, dtype=np.int64)
    place[used] = np.arange(len(used))
    return used, place[triangles]


def labels_at_corners(triangles: Ints, label: Ints, count: int) -> Ints:
    """How many different labels (m,) the triangles (m, 3) at each of so many corners have.

    >>> labels_at_corners(np.array([[0, 1, 2], [2, 1, 3]]), np.array([4, 7]), 5).tolist()
    [1, 2, 2, 1, 0]
    """
    corner, own = triangles.ravel(), np.repeat(label, 3)
    last = np.full(count, -1, dtype=np.int64)
    last[corner] = own
    out = (last >= 0).astype(np.int64)
    several = np.zeros(count, dtype=bool)
    several[corner[last[corner] != own]] = True  # all others have one label: only these are sorted
    rows = several[corner]
    if rows.any():
        pairs = np.sort(corner[rows] * (int(label.max()) + 1) + own[rows])
        fresh = pairs[np.r_[True, pairs[1:] != pairs[:-1]]]
        out[several] = np.bincount(fresh // (int(label.max()) + 1), minlength=count)[several]
    return out
