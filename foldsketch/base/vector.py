"""Cross products of arrays of vectors; on the small arrays of a model quicker than numpy.cross."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array


def cross(a: Array, b: Array) -> Array:
    """Cross products of (..., 3) and (..., 3) vectors.

    >>> cross(np.array([1.0, 0, 0]), np.array([0, 1.0, 0])).tolist()
    [0.0, 0.0, 1.0]
    """
    ax, ay, az = a[..., 0], a[..., 1], a[..., 2]
    bx, by, bz = b[..., 0], b[..., 1], b[..., 2]
    shape = np.broadcast_shapes(a.shape, b.shape)
    out = np.empty(shape)
    out[..., 0] = ay * bz - az * by
    out[..., 1] = az * bx - ax * bz
    out[..., 2] = ax * by - ay * bx
    return out
