"""Noise: how far the corners of a mesh are off smooth surfaces, found from the mesh itself."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.mesh.repair.clean import Body

MIN_CORNERS = 10
"""Corners of a neighbourhood to which a quadric is fitted: it has six coefficients."""

MIN_CORNERS_OF_CUBIC = 13
"""Corners of one to which a cubic, with ten coefficients, is fitted as well."""

MAX_SHAPE_RATIO = 0.5
"""What a cubic leaves over, over what a quadric does, below which that is the surface's own shape and no noise.

Noise gives 0.7 to 1.2; a lump, an egg and a tube without noise 0.2 to 0.4.
"""


def estimate_noise(body: Body, samples: int = 400) -> tuple[float, float]:
    """Standard deviation of the corners off a smooth surface, mm, and the size of the neighbourhoods looked at, mm.

    Where that is much of the body, the first is worth nothing; 0 where it is the shape of a free form.

    About evenly chosen corners a quadric is fitted to the corners within two edges. The lower quartile of what is left
    over is taken, since sharp edges only ever make it larger. A cubic leaves as much of noise, and far less of a shape.
    """
    from scipy.sparse import coo_matrix

    n = len(body.corners)
    one, other = body.face_adjacency_edges.T
    link = coo_matrix((np.ones(len(one) * 2, np.int8), (np.r_[one, other], np.r_[other, one])), shape=(n, n)).tocsr()
    left, far, ratio = [], [], []
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
        quadric = [np.ones(len(x)), x, y, x * x, x * y, y * y]
        left.append(_left_over(quadric, z))
        if len(near) >= MIN_CORNERS_OF_CUBIC and left[-1] > 0:
            ratio.append(_left_over([*quadric, x**3, x * x * y, x * y * y, y**3], z) / left[-1])
    if len(left) < 8:
        return 0.0, 0.0
    is_shape = len(ratio) >= 8 and np.median(ratio) < MAX_SHAPE_RATIO
    return 0.0 if is_shape else float(np.percentile(left, 25)), float(np.median(far))


def _left_over(terms: list[Array], z: Array) -> float:
    """Standard deviation of heights z (n,) off the sum of terms (n,) that is nearest to them."""
    design = np.column_stack(terms)
    rest = z - design @ np.linalg.lstsq(design, z, rcond=None)[0]
    return float(np.sqrt((rest**2).sum() / (len(z) - len(terms))))
