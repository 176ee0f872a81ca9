"""Exact corners: corners that the kernel hands over as 32-bit numbers, moved onto the exact surfaces of their faces."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface

STEPS = 3
"""Newton steps from corners that are off by 1e-6 of the part's size; two are enough."""

MAX_SURFACES = 3
"""Surfaces that fix a corner."""

MIN_INDEPENDENCE = 1e-3
"""Surfaces whose normals are nearer to parallel than this, radians, do not fix a point along their border."""


def move_onto_surfaces(
    corners: Array, triangles: Ints, face: Ints, surfaces: tuple[AnalyticSurface | None, ...], most: float
) -> Array:
    """Corners (n, 3), each moved to the nearest point that all exact surfaces of its triangles share.

    face: (m,) number of the surface of every triangle (m, 3), -1 for none; most: mm that a corner may be moved; one
    that would have to move farther stays, as on a face whose border is not exact.
    """
    known = np.array([s is not None for s in surfaces] + [False])
    use = np.flatnonzero(known[face])
    pairs = np.unique(np.column_stack((triangles[use].ravel(), np.repeat(face[use], 3))), axis=0)
    corner, number = pairs.T
    first = np.r_[True, corner[1:] != corner[:-1]]
    slot = np.arange(len(corner)) - np.flatnonzero(first)[np.cumsum(first) - 1]
    kept = slot < MAX_SURFACES
    corner, number, slot = corner[kept], number[kept], slot[kept]
    used, row = np.unique(corner, return_inverse=True)
    order = np.argsort(number, kind="stable")
    blocks = np.split(order, np.flatnonzero(np.diff(number[order])) + 1) if len(order) else []
    start = corners[used]
    points = start.copy()
    for _ in range(STEPS):
        off, normal = np.zeros((len(used), MAX_SURFACES)), np.zeros((len(used), MAX_SURFACES, 3))
        for block in blocks:
            shape = surfaces[number[block[0]]]
            assert shape is not None
            at = points[row[block]]
            off[row[block], slot[block]] = shape.distance(at)
            normal[row[block], slot[block]] = shape.normal(at)
        points -= np.einsum("nij,nj->ni", np.linalg.pinv(normal, rcond=MIN_INDEPENDENCE), off)
    moved = np.linalg.norm(points - start, axis=1)
    out = corners.copy()
    near = np.isfinite(moved) & (moved <= most)
    out[used[near]] = points[near]
    return out
