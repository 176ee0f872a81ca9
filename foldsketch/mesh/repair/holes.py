"""Holes: rings of open edges, filled with triangles between their own corners where they are small."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.mesh.geometry.measure import row_norms, triangle_areas

MAX_HOLE_EDGES = 96
"""Edges of a ring that is filled: the triangles are found in a time that grows with their cube."""

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
    most = MAX_HOLE_AREA_RATIO * float(triangle_areas(corners, triangles).sum())
    added: list[Ints] = []
    total = 0.0
    for ring in _rings(open_edges):
        if len(ring) > MAX_HOLE_EDGES:
            continue
        new = _least_area_triangles(corners[ring])
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


def _least_area_triangles(ring: Array) -> Ints:
    """Triangles (n - 2, 3) of a ring of corners (n, 3), of the least area in all.

    By dynamic programming over stretches of the ring [Barequet and Sharir, CAGD 12 (1995) 207; from memory].
    """
    n = len(ring)
    least = np.zeros((n, n))
    split = np.zeros((n, n), dtype=np.int64)
    for width in range(2, n):
        for i in range(n - width):
            j = i + width
            m = np.arange(i + 1, j)
            area = row_norms(np.cross(ring[m] - ring[i], ring[j] - ring[i])) / 2
            total = least[i, m] + least[m, j] + area
            k = int(np.argmin(total))
            least[i, j], split[i, j] = total[k], m[k]
    out: list[tuple[int, int, int]] = []
    todo = [(0, n - 1)]
    while todo:
        i, j = todo.pop()
        if j - i >= 2:
            m_best = int(split[i, j])
            out.append((i, m_best, j))
            todo += [(i, m_best), (m_best, j)]
    return np.array(out, dtype=np.int64)
