"""Point to mesh: how far points are from a surface of triangles, exactly, through a tree of boxes."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.base.vector import cross
from foldsketch.mesh.geometry.measure import row_dots, row_norms, triangle_cross_products

TRIANGLES_PER_LEAF = 2
"""Triangles in a smallest box of the tree."""

TRIANGLES_TRIED_FIRST = 4
"""Triangles near a point that give a first bound of its distance."""

MAX_PAIRS_PER_BATCH = 400_000
"""Pairs of a point and a triangle that are measured at once."""


def distances_to_mesh(points: Array, corners: Array, triangles: Ints) -> Array:
    """Distance (n,) in mm from points (n, 3) to the nearest of triangles (m, 3).

    Triangles are put in an order in which neighbours in space are neighbours in the row; boxes about two of them, and
    about two boxes, and so on, make the tree. A box farther off than a surface point that is known is passed over.

    >>> square = np.array([[0.0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]])
    >>> points = np.array([[0.5, 0.5, 2.0], [4.0, 1.0, 0.0]])
    >>> distances_to_mesh(points, square, np.array([[0, 1, 2], [0, 2, 3]])).tolist()
    [2.0, 3.0]
    """
    order = _morton_order(corners[triangles[:, 0]] + corners[triangles[:, 1]] + corners[triangles[:, 2]])
    at = corners[triangles[order]]
    levels = _box_hierarchy(at.min(axis=1), at.max(axis=1))
    bound = _distance_upper_bound(points, at)
    row = np.arange(len(points))
    box = np.zeros(len(points), dtype=np.int64)
    for low, high in levels[1:]:
        row, box = np.repeat(row, 2), np.repeat(2 * box, 2)
        box[1::2] += 1
        there = box < len(low)
        row, box = row[there], box[there]
        near = _distance_to_box(points[row], low[box], high[box]) <= bound[row]
        row, box = row[near], box[near]
    rows = np.repeat(row, TRIANGLES_PER_LEAF)
    member = (TRIANGLES_PER_LEAF * box[:, None] + np.arange(TRIANGLES_PER_LEAF)).ravel()
    rows, member = rows[member < len(order)], member[member < len(order)]
    for a in range(0, len(rows), MAX_PAIRS_PER_BATCH):
        k, t = rows[a : a + MAX_PAIRS_PER_BATCH], member[a : a + MAX_PAIRS_PER_BATCH]
        np.minimum.at(bound, k, _distance_to_triangle(points[k], at[t]))
    return bound


def sample_surface(corners: Array, triangles: Ints, count: int) -> Array:
    """Points (count, 3) spread over triangles by area: a low-discrepancy sequence, the same every time."""
    return sample_triangles(corners, triangles, count)[0]


def sample_triangles(corners: Array, triangles: Ints, count: int) -> tuple[Array, Ints]:
    """The same points, and the number (count,) of the triangle that each is on."""
    a, normal = triangle_cross_products(corners, triangles)
    total = np.cumsum(row_norms(normal))
    k = np.arange(count)
    golden = (np.sqrt(5) - 1) / 2
    at = np.searchsorted(total, (k + 0.5) / count * total[-1]).clip(0, len(triangles) - 1)
    u, v = np.mod((k + 1) * golden, 1.0), np.mod((k + 1) * golden * golden * 1.7320508, 1.0)
    fold = u + v > 1
    u, v = np.where(fold, 1 - u, u), np.where(fold, 1 - v, v)
    b, c = corners[triangles[at, 1]], corners[triangles[at, 2]]
    return a[at] + u[:, None] * (b - a[at]) + v[:, None] * (c - a[at]), at


def _morton_order(places: Array) -> Ints:
    """An order of places (n, 3) that keeps neighbours together: bits of the three coordinates in turn (Morton)."""
    low = places.min(axis=0)
    size = float((places.max(axis=0) - low).max()) or 1.0
    cell = ((places - low) * (1023.0 / size)).astype(np.int64)
    for shift, mask in ((16, 0x030000FF), (8, 0x0300F00F), (4, 0x030C30C3), (2, 0x09249249)):
        cell = (cell | (cell << shift)) & mask
    out: Ints = np.argsort(cell[:, 0] | (cell[:, 1] << 1) | (cell[:, 2] << 2), kind="stable")
    return out


def _box_hierarchy(low: Array, high: Array) -> list[tuple[Array, Array]]:
    """Lower and upper corners of the boxes of every level, the one about everything first."""
    at = np.arange(0, len(low), TRIANGLES_PER_LEAF)
    levels = [(np.minimum.reduceat(low, at), np.maximum.reduceat(high, at))]
    while len(levels[0][0]) > 1:
        low, high = levels[0]
        at = np.arange(0, len(low), 2)
        levels.insert(0, (np.minimum.reduceat(low, at), np.maximum.reduceat(high, at)))
    return levels


def _distance_upper_bound(points: Array, at: Array) -> Array:
    """Distance (n,) to the nearest of a few triangles whose middles are near; at: corners (m, 3, 3) of all."""
    from scipy.spatial import cKDTree

    at = at[:: max(1, len(at) // 20_000)]
    near = cKDTree(at.mean(axis=1)).query(points, min(TRIANGLES_TRIED_FIRST, len(at)))[1].reshape(len(points), -1)
    away = _distance_to_triangle(np.repeat(points, near.shape[1], axis=0), at[near.ravel()])
    out: Array = away.reshape(near.shape).min(axis=1) * (1 + 1e-12) + 1e-12
    return out


def _distance_to_box(x: Array, low: Array, high: Array) -> Array:
    off = np.maximum(np.maximum(low - x, x - high), 0.0)
    out: Array = row_norms(off)
    return out


def _distance_to_triangle(x: Array, at: Array) -> Array:
    """Distances (n,) from points (n, 3) to triangles (n, 3, 3), row by row: inside the face, else the nearest edge."""
    a, b, c = at[:, 0], at[:, 1], at[:, 2]
    ab, ac, ax = b - a, c - a, x - a
    n = cross(ab, ac)
    nn = row_dots(n, n)
    has_area = nn > 0
    nn[~has_area] = 1.0
    v, w = row_dots(cross(ax, ac), n) / nn, row_dots(cross(ab, ax), n) / nn
    inside = has_area & (v >= 0) & (w >= 0) & (v + w <= 1)
    out: Array = np.abs(row_dots(ax, n)) / np.sqrt(nn)
    edge = np.flatnonzero(~inside)
    x, at = x[edge], at[edge]
    least = np.full(len(edge), np.inf)
    for k in range(3):
        s, d = x - at[:, k], at[:, (k + 1) % 3] - at[:, k]
        t = np.clip(row_dots(s, d) / np.maximum(row_dots(d, d), 1e-300), 0, 1)
        least = np.minimum(least, row_norms(s - t[:, None] * d))
    out[edge] = least
    return out
