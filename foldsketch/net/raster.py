"""Flat shapes as cells of a level grid: which cells they cover, and the cells near them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from foldsketch.net.model import Array

Flags = NDArray[np.bool_]
Counts = NDArray[np.int32]


def filled(starts: Array, ends: Array, low: Array, cell: float, shape: tuple[int, int]) -> Flags:
    """(columns, rows) of cells whose centre lies inside an odd number of loops.

    starts, ends: (n, 2) mm, the edges of the loops in any order; low: (2,) corner of the grid. Every edge toggles all
    cells to its right. Loops that meet along an edge count as one.
    """
    nx, ny = shape
    y0, y1 = (starts[:, 1] - low[1]) / cell - 0.5, (ends[:, 1] - low[1]) / cell - 0.5
    x0, x1 = (starts[:, 0] - low[0]) / cell - 0.5, (ends[:, 0] - low[0]) / cell - 0.5
    first = np.clip(np.ceil(np.minimum(y0, y1)), 0, ny).astype(np.int64)
    last = np.clip(np.ceil(np.maximum(y0, y1)), 0, ny).astype(np.int64)
    n = last - first
    which = np.repeat(np.arange(len(n)), n)
    row = np.arange(len(which)) - np.repeat(np.cumsum(n) - n, n) + first[which]
    rise = y1 - y0
    slope = (x1 - x0) / np.where(rise == 0, 1.0, rise)
    x = x0[which] + (row - y0[which]) * slope[which]
    column = np.clip(np.ceil(x), 0, nx).astype(np.int64)
    toggles = np.bincount(column * ny + row, minlength=(nx + 1) * ny).reshape(nx + 1, ny)
    inside: Flags = (toggles.cumsum(axis=0)[:nx] & 1).astype(bool)
    return inside


def summed(mask: Flags) -> Counts:
    """Sums over all cells left of and below, (columns + 1, rows + 1), for the number in any box of cells."""
    total = np.zeros((mask.shape[0] + 1, mask.shape[1] + 1), dtype=np.int32)
    np.cumsum(mask, axis=0, dtype=np.int32, out=total[1:, 1:])
    np.cumsum(total[1:, 1:], axis=1, out=total[1:, 1:])
    return total


def grown(mask: Flags, by: int) -> Flags:
    """The mask with every cell within so many cells of it, on a grid larger by as many on every side."""
    total = summed(np.pad(mask, 2 * by))
    k = 2 * by + 1
    near: Flags = (total[k:, k:] - total[:-k, k:] - total[k:, :-k] + total[:-k, :-k]) > 0
    return near


def edges_of(loops: list[Array]) -> tuple[Array, Array]:
    """Starts and ends, each (n, 2), of the edges of closed loops."""
    return np.concatenate(loops), np.concatenate([np.concatenate((a[1:], a[:1])) for a in loops])
