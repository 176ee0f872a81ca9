"""Holes: rings of open edges, filled flat or along the round about them where they are small."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.base.vector import cross
from foldsketch.mesh.geometry.measure import row_norms, triangle_areas, triangle_cross_products

MAX_HOLE_EDGES = 96
"""Edges of a ring that is filled: the triangles are found in a time that grows with their cube."""

AREA_PER_BEND = 1e-3
"""Weight of a fill's area over the hole's size beside its bend: of fills that bend alike the smallest is taken."""

MAX_HOLE_AREA_RATIO = 0.1
"""Area that fills all holes, over that of the mesh, up to which they are small."""


def fill_small_holes(corners: Array, triangles: Ints, open_edges: Ints) -> tuple[Ints, int, float]:
    """Triangles (k, 3) that close the small holes of a mesh, how many holes that are, and their area, mm2.

    open_edges: (j, 2) corners of edges of one triangle, as they run in it.

    >>> corners = np.array([[0.0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0], [0, 0, 1]])
    >>> walls = np.array([[0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4]])
    >>> edges = np.array([[0, 1], [1, 2], [2, 3], [3, 0]])
    >>> fill_small_holes(100 * corners, np.tile(walls, (20, 1)), edges)[1:]
    (1, 10000.0)
    """
    normals, areas = _unit_normals(corners, triangles)
    most = MAX_HOLE_AREA_RATIO * float(areas.sum())
    beyond = _triangles_at(open_edges, triangles, len(corners))
    added: list[Ints] = []
    total = 0.0
    for ring in _rings(open_edges):
        if len(ring) > MAX_HOLE_EDGES:
            continue
        at_edges = [beyond[b, a] for a, b in pairwise([*ring, ring[0]])]
        new = _least_bent_triangles(corners[ring], normals[at_edges])
        area = float(triangle_areas(corners[ring], new).sum())
        if area <= most:
            added.append(np.array(ring)[new])
            total += area
    if total > most:  # a torn surface, not a worn one
        return np.zeros((0, 3), dtype=np.int64), 0, 0.0
    return np.concatenate(added) if added else np.zeros((0, 3), dtype=np.int64), len(added), total


def _rings(open_edges: Ints) -> list[list[int]]:
    """Closed rings of corners against the sense of the open edges, so that a fill is wound as its neighbours are."""
    after: dict[int, list[int]] = {}
    for a, b in open_edges.tolist():
        after.setdefault(b, []).append(a)
    rings = []
    while after:
        path = [next(iter(after))]
        place = {path[0]: 0}
        while path and after.get(path[-1]):
            step = after[path[-1]].pop()
            if not after[path[-1]]:
                del after[path[-1]]
            if step in place:  # a ring is closed: take it off the path
                ring = path[place[step] :]
                if len(ring) >= 3:
                    rings.append(ring)
                for v in ring[1:]:
                    del place[v]
                path = path[: place[step] + 1]
                if step not in after:
                    break
            else:
                place[step] = len(path)
                path.append(step)
        if path and path[-1] not in after:  # what does not close
            after.pop(path[0], None)
    return rings


def _triangles_at(open_edges: Ints, triangles: Ints, count: int) -> dict[tuple[int, int], int]:
    """The triangle that each open edge belongs to, by the corners of the edge."""
    start, end = triangles.ravel(), np.roll(triangles, -1, axis=1).ravel()
    key = start * count + end
    rows = np.flatnonzero(np.isin(key, open_edges[:, 0] * count + open_edges[:, 1]))
    return {(a, b): k for a, b, k in zip(start[rows].tolist(), end[rows].tolist(), (rows // 3).tolist(), strict=True)}


def _unit_normals(corners: Array, triangles: Ints) -> tuple[Array, Array]:
    """Unit normal (m, 3) of triangles, none for those without area, and their areas (m,)."""
    normals = triangle_cross_products(corners, triangles)[1]
    length = row_norms(normals)
    return normals / np.maximum(length, 1e-300)[:, None], length / 2


def _least_bent_triangles(ring: Array, beyond: Array) -> Ints:
    """Triangles (n - 2, 3) of a ring of corners (n, 3) that bend the least, at their own edges and at the ring's.

    So a hole in a round is filled along it, and an open end flat. The bend of an edge is its length times the square
    of the angle. beyond: (n, 3) unit normals on the far side of the edge after each corner. By dynamic programming over
    stretches of the ring [Barequet and Sharir, CAGD 12 (1995) 207; Liepa, SGP 2003; from memory].
    """
    n = len(ring)
    least, split = np.zeros((n, n)), np.zeros((n, n), dtype=np.int64)
    normal = np.zeros((n, n, 3))
    normal[np.arange(n - 1), np.arange(1, n)] = beyond[:-1]
    length = row_norms((ring[:, None] - ring[None]).reshape(-1, 3)).reshape(n, n)
    per_area = AREA_PER_BEND / max(float(length.max()), 1e-300)
    for width in range(2, n):
        for i in range(n - width):
            j = i + width
            m = np.arange(i + 1, j)
            across = cross(ring[m] - ring[i], ring[j] - ring[i])
            twice = row_norms(across)
            across /= np.maximum(twice, 1e-300)[:, None]
            total = least[i, m] + least[m, j] + per_area * twice / 2
            total += (
                length[i, m] * _angles(across, normal[i, m]) ** 2 + length[m, j] * _angles(across, normal[m, j]) ** 2
            )
            if width == n - 1:
                total += length[i, j] * _angles(across, beyond[-1:]) ** 2
            k = int(np.argmin(total))
            least[i, j], split[i, j], normal[i, j] = total[k], m[k], across[k]
    out: list[tuple[int, int, int]] = []
    todo = [(0, n - 1)]
    while todo:
        i, j = todo.pop()
        if j - i >= 2:
            m_best = int(split[i, j])
            out.append((i, m_best, j))
            todo += [(i, m_best), (m_best, j)]
    return np.array(out, dtype=np.int64)


def _angles(a: Array, b: Array) -> Array:
    """Radians (n,) between unit vectors, row by row."""
    out: Array = np.arccos(np.clip((a * b).sum(axis=1), -1.0, 1.0))
    return out
