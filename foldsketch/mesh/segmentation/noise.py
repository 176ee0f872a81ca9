"""Noise: how far the corners of a mesh stray from smooth surfaces, found from the mesh itself."""

from __future__ import annotations

import numpy as np

from foldsketch.mesh.repair.clean import Body


def estimate_noise(body: Body, samples: int = 400) -> tuple[float, float]:
    """Standard deviation of the corners off a smooth surface, mm, and how far the corners looked at together reach,
    mm: where that is much of the body, the first is worth nothing.

    About evenly chosen corners a quadric is fitted to the corners within two edges; the lower quartile of what is left
    over is taken, since sharp edges only ever make it larger.
    """
    from scipy.sparse import coo_matrix

    n = len(body.corners)
    ends = body.face_adjacency_edges
    if len(ends) == 0:
        return 0.0, 0.0
    ones = np.ones(len(ends) * 2, dtype=np.int8)
    link = coo_matrix((ones, (np.r_[ends[:, 0], ends[:, 1]], np.r_[ends[:, 1], ends[:, 0]])), shape=(n, n)).tocsr()
    left, far = [], []
    for corner in range(0, n, max(1, n // samples)):
        first = link.indices[link.indptr[corner] : link.indptr[corner + 1]]
        if len(first) == 0:
            continue
        near = np.unique(np.concatenate([link.indices[link.indptr[k] : link.indptr[k + 1]] for k in first]))
        if len(near) < 10:
            continue
        p = body.corners[near] - body.corners[corner]
        _, axes = np.linalg.eigh(p.T @ p)
        z, x, y = (p @ axes[:, k] for k in range(3))
        scale = float(np.abs(p).max()) or 1.0
        far.append(scale)
        x, y = x / scale, y / scale
        design = np.column_stack((np.ones(len(x)), x, y, x * x, x * y, y * y))
        rest = z - design @ np.linalg.lstsq(design, z, rcond=None)[0]
        left.append(float(np.sqrt((rest**2).sum() / max(len(near) - 6, 1))))
    return (float(np.percentile(left, 25)), float(np.median(far))) if len(left) >= 8 else (0.0, 0.0)
