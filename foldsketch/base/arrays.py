"""Types of numpy arrays, and line segments as one array."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from foldsketch.base.points import Point as Point

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

_flatten = chain.from_iterable


def segments_to_array(lines: Sequence[Sequence[Sequence[float]]]) -> Array:
    """Segments between two points of the plane as an array (n, 2, 2). Takes half the time of numpy.array.

    >>> segments_to_array([((0, 1), (2, 3))]).tolist()
    [[[0.0, 1.0], [2.0, 3.0]]]
    """
    return np.fromiter(_flatten(_flatten(lines)), dtype=float, count=4 * len(lines)).reshape(-1, 2, 2)
