"""Noise: how far the corners of a mesh are off smooth surfaces, found from the mesh itself."""

from __future__ import annotations

import numpy as np

from foldsketch.mesh.repair.clean import Body

MIN_CORNERS = 10
"""Corners of a neighbourhood to which a quadric is fitted: it has six coefficients."""


def estimate_noise(body: Body, samples: int = 400) -> tuple[float, float]:
    """Standard deviation of the corners off a smooth surface, mm, and the size of the neighbourhoods looked at, mm.

    Where that is much of the body, the first is worth nothing.

    About evenly chosen corners a quadric is fitted to the corners within two edges. The lower quartile of what is left
    over is taken, since sharp edges only ever make it larger.
    """
    from scipy.sparse import coo_matrix

    n = len(body.corners)
    one, other = body.face_adjacency_edges.T
    link = coo_matrix((np.ones(len(one) * 2, np.int8), (np.r_[one, other], np.r_[other, one])), shape=(n, n)).tocsr()
    left, far = [], []
    for corner in range(0, n, max(1, n // samples)):
        first = link[corner].indices
        near = np.unique(link[first].indices)
        if len(near) < MIN_CORNERS:
            continue
        p = body.corners[near] - body.corners[corner]
        _, axes = np.linalg.eigh(p.T @ p)
        z, x, y = (p @ axes[:, k] for k in range(3))
        scale = float(np.abs(p).max()) or 1.0
        far.append(scale)
        x, y = x / scale, y / scale
        design = np.column_stack((np.ones(len(x)), x, y, x * x, x * y, y * y))
        rest = z - design @ np.linalg.lstsq(design, z, rcond=None)[0]
        left.append(float(np.sqrt((rest**2).sum() / (len(near) - 6))))
    return (float(np.percentile(left, 25)), float(np.median(far))) if len(left) >= 8 else (0.0, 0.0)
