"""Flat shapes and lines as cells of a level grid, kept as bits (net/bits.py)."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from foldsketch.net.bits import stride_of
from foldsketch.net.model import Array

Ints = NDArray[np.int64]


def filled(lines: Array, columns: int, rows: int) -> int:
    """Cells whose centre lies inside an odd number of loops.

    lines: (n, 4) x, y, x, y in cells from the corner of the grid, the edges of the loops in any order. Every edge
    toggles all cells above it. Loops that meet along an edge count as one.
    """
    ay, ax, by, bx = _forward(lines[:, [1, 0, 3, 2]] - 0.5)
    which, column = _cells_of(np.ceil(ax), np.ceil(bx), columns)
    slope = (by - ay) / np.where(bx > ax, bx - ax, 1.0)
    row = np.ceil(ay[which] + (column - ax[which]) * slope[which]).astype(np.int64)
    toggles = np.zeros((rows, stride_of(columns)), dtype=np.uint8)
    kept = row < rows
    np.bitwise_xor.at(toggles, (np.maximum(row[kept], 0), column[kept]), 1)
    return _bits(np.bitwise_xor.accumulate(np.packbits(toggles, axis=1, bitorder="little"), axis=0))


def crossed(lines: Array, columns: int, rows: int) -> int:
    """Cells that lines run through, (n, 4) x, y, x, y in cells from the corner of the grid."""
    ax, ay, bx, by = _forward(lines)
    which, row = _cells_of(np.floor(ay), np.floor(by) + 1, rows)
    slope = ((bx - ax) / np.where(by > ay, by - ay, 1.0))[which]
    ax, ay, bx, by = ax[which], ay[which], bx[which], by[which]
    enters = ax + np.maximum(row - ay, 0) * slope
    leaves = np.where(row + 1 < by, ax + (row + 1 - ay) * slope, bx)
    span, column = _cells_of(np.floor(np.minimum(enters, leaves)), np.floor(np.maximum(enters, leaves)) + 1, columns)
    hit = np.zeros((rows, stride_of(columns)), dtype=np.uint8)
    hit[row[span], column] = 1
    return _bits(np.packbits(hit, axis=1, bitorder="little"))


def _bits(packed: NDArray[np.uint8]) -> int:
    return int.from_bytes(packed.tobytes(), "little")


def _forward(lines: Array) -> tuple[Array, Array, Array, Array]:
    """The coordinates of lines with the end of lower y first."""
    ax, ay, bx, by = lines.T
    back = ay > by
    return np.where(back, bx, ax), np.where(back, by, ay), np.where(back, ax, bx), np.where(back, ay, by)


def _cells_of(first: Array, beyond: Array, count: int) -> tuple[Ints, Ints]:
    """Every pair of a line and a row (or column) of the grid from its first to before the one beyond its last."""
    begin = np.clip(first, 0, count).astype(np.int64)
    n = np.clip(beyond, 0, count).astype(np.int64) - begin
    which = np.repeat(np.arange(len(n)), n)
    return which, np.arange(len(which)) + (begin - (np.cumsum(n) - n))[which]


def edges_of(loops: Sequence[Array]) -> tuple[Array, Array]:
    """Starts and ends, each (n, 2), of the edges of closed loops."""
    starts = np.concatenate(loops)
    size = np.array([len(a) for a in loops])
    last = np.cumsum(size) - 1
    following = np.arange(1, len(starts) + 1)
    following[last] -= size
    return starts, starts[following]
