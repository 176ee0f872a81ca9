"""Crossing: whether a closed surface of few triangles runs through itself, which no paper can."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.mesh.geometry.measure import row_dots, row_norms

END_TOUCH_FRACTION = 1e-9
"""Share of an edge or a triangle within which a touch at its end is no crossing."""

FOLDED_FLAT_COSINE = np.cos(np.radians(179.5))
"""Neighbours whose normals are as opposed as this lie on one another."""


def count_self_intersections(corners: Array, triangles: Ints) -> int:
    """Number of pairs of triangles (m, 3) that cross, or lie folded flat on one another; corners: (n, 3) mm.

    Every pair whose boxes meet is looked at: an edge of one goes through the other (Möller and Trumbore's equations).

    >>> flat = np.array([[0.0, 0, 0], [4, 0, 0], [0, 4, 0], [1, 1, -1], [1, 1, 1], [9, 9, 0]])
    >>> count_self_intersections(flat, np.array([[0, 1, 2], [3, 4, 5]]))
    1
    """
    one, other = _overlapping_boxes(corners[triangles])
    a, b = triangles[one], triangles[other]
    shared = (a[:, :, None] == b[:, None, :]).any(axis=2)
    count = shared.sum(axis=1)
    through = np.zeros(len(one), dtype=bool)
    few = np.flatnonzero(count < 2)
    for mine, yours in ((a, b), (b, a)):
        for k in range(3):
            s, e = mine[few, k], mine[few, (k + 1) % 3]
            loose = ~((yours[few] == s[:, None]) | (yours[few] == e[:, None])).any(axis=1)
            rows = few[loose]
            through[rows] |= _edges_pierce_triangles(corners[s[loose]], corners[e[loose]], corners[yours[rows]])
    pairs = np.flatnonzero(count == 2)
    if len(pairs):
        n, m = (np.cross(t[:, 1] - t[:, 0], t[:, 2] - t[:, 0]) for t in (corners[a[pairs]], corners[b[pairs]]))
        size = np.maximum(np.linalg.norm(n, axis=1) * np.linalg.norm(m, axis=1), 1e-300)
        through[pairs] = row_dots(n, m) / size < FOLDED_FLAT_COSINE
    return int(through.sum())


def _overlapping_boxes(points: Array) -> tuple[Ints, Ints]:
    """Pairs of triangles (m, 3, 3) whose boxes meet."""
    low, high = points.min(axis=1), points.max(axis=1)
    one, other = [], []
    for start in range(0, len(points), 256):
        rows = slice(start, start + 256)
        meet: Bools = (low[rows, None] <= high[None]).all(axis=2) & (low[None] <= high[rows, None]).all(axis=2)
        i, j = np.nonzero(meet)
        i = i + start
        one.append(i[i < j])
        other.append(j[i < j])
    return np.concatenate(one), np.concatenate(other)


def _edges_pierce_triangles(start: Array, end: Array, triangle: Array) -> Bools:
    """Which edges (k, 3) to (k, 3) go through the inside of their triangle (k, 3, 3)."""
    along = end - start
    u, v = triangle[:, 1] - triangle[:, 0], triangle[:, 2] - triangle[:, 0]
    n = np.cross(u, v)
    slope = row_dots(along, n)
    size = row_norms(n) * row_norms(along)
    steep = np.abs(slope) > 1e-9 * size
    t = row_dots(triangle[:, 0] - start, n) / np.where(steep, slope, 1.0)
    p = start + t[:, None] * along - triangle[:, 0]
    nn = np.maximum(row_dots(n, n), 1e-300)
    beta = row_dots(np.cross(p, v), n) / nn
    gamma = row_dots(np.cross(u, p), n) / nn
    inside: Bools = (
        steep
        & (t > END_TOUCH_FRACTION)
        & (t < 1 - END_TOUCH_FRACTION)
        & (beta > END_TOUCH_FRACTION)
        & (gamma > END_TOUCH_FRACTION)
        & (beta + gamma < 1 - END_TOUCH_FRACTION)
    )
    return inside
