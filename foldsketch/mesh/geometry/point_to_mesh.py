"""Point to mesh: how far points are from a surface of triangles, exactly, through a tree of boxes."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.mesh.geometry.measure import row_dots, row_norms, triangle_cross_products

TRIANGLES_PER_LEAF = 8
"""Triangles in a smallest box of the tree."""

MAX_PAIRS_PER_BATCH = 400_000
"""Pairs of a point and a triangle that are measured at once."""


def distances_to_mesh(points: Array, corners: Array, triangles: Ints) -> Array:
    """Distance (n,) in mm from points (n, 3) to the nearest of triangles (m, 3).

    Triangles are put in an order in which neighbours in space are neighbours in the row; boxes about 8 of them, and
    about two boxes, and so on, make the tree. A box farther off than a surface point that is known is passed over.

    >>> square = np.array([[0.0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]])
    >>> points = np.array([[0.5, 0.5, 2.0], [4.0, 1.0, 0.0]])
    >>> distances_to_mesh(points, square, np.array([[0, 1, 2], [0, 2, 3]])).tolist()
    [2.0, 3.0]
    """
    order = _morton_order(corners[triangles[:, 0]] + corners[triangles[:, 1]] + corners[triangles[:, 2]])
    p, q, r = (corners[triangles[order, k]] for k in range(3))
    levels = _box_hierarchy(np.minimum(np.minimum(p, q), r), np.maximum(np.maximum(p, q), r))
    bound = _distance_upper_bound(points, corners, triangles)
    row = np.arange(len(points))
    box = np.zeros(len(points), dtype=np.int64)
    for low, high in levels[1:]:
        row, box = np.repeat(row, 2), np.repeat(2 * box, 2)
        box[1::2] += 1
        there = box < len(low)
        row, box = row[there], box[there]
        near = _distance_to_box(points[row], low[box], high[box]) <= bound[row]
        row, box = row[near], box[near]
    low, high = levels[-1]
    away = _distance_to_box(points[row], low[box], high[box])
    first = np.lexsort((away, row))
    row, box, away = row[first], box[first], away[first]
    lead = np.r_[True, row[1:] != row[:-1]]
    for mine in (lead, ~lead):
        some = mine & (away <= bound[row])
        rows = np.repeat(row[some], TRIANGLES_PER_LEAF)
        at = (TRIANGLES_PER_LEAF * box[some][:, None] + np.arange(TRIANGLES_PER_LEAF)).ravel()
        rows, at = rows[at < len(order)], at[at < len(order)]
        for a in range(0, len(rows), MAX_PAIRS_PER_BATCH):
            k, t = rows[a : a + MAX_PAIRS_PER_BATCH], at[a : a + MAX_PAIRS_PER_BATCH]
            np.minimum.at(bound, k, _distance_to_triangle(points[k], p[t], q[t], r[t]))
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


def _distance_upper_bound(points: Array, corners: Array, triangles: Ints) -> Array:
    """Distance to a corner near by: no surface is farther off."""
    from scipy.spatial import cKDTree

    some = np.unique(triangles[:: max(1, len(triangles) // 20_000)])
    found: Array = cKDTree(corners[some]).query(points)[0]
    return found * (1 + 1e-12) + 1e-12


def _distance_to_box(x: Array, low: Array, high: Array) -> Array:
    off = np.maximum(np.maximum(low - x, x - high), 0.0)
    out: Array = row_norms(off)
    return out


def _distance_to_triangle(x: Array, a: Array, b: Array, c: Array) -> Array:
    """Distances (n,) from points to triangles, row by row: inside the face, else the nearest edge."""
    ab, ac, ax = b - a, c - a, x - a
    n = np.cross(ab, ac)
    nn = np.maximum(row_dots(n, n), 1e-300)
    height = row_dots(ax, n)
    v = row_dots(np.cross(ax, ac), n) / nn
    w = row_dots(np.cross(ab, ax), n) / nn
    inside = (v >= 0) & (w >= 0) & (v + w <= 1)
    out = np.where(inside, np.abs(height) / np.sqrt(nn), np.inf)
    for s, e in ((a, b), (b, c), (c, a)):
        d = e - s
        t = np.clip(row_dots(x - s, d) / np.maximum(row_dots(d, d), 1e-300), 0, 1)
        out = np.minimum(out, np.linalg.norm(x - s - t[:, None] * d, axis=1))
    return out
