"""Polygons and lines as cells of a grid, in the bit order of bit_grid.py."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from foldsketch.base.arrays import Array
from foldsketch.geometry.bit_grid import row_stride


def rasterize_loops(lines: Array, columns: int, rows: int) -> int:
    """Cells whose centre is inside an odd number of loops.

    lines: (n, 4) x, y, x, y in cells from the corner of the grid: the edges of the loops in any order. An edge
    toggles all cells above it. Loops that share an edge count as one.
    """
    ax, ay, bx, by = lines.T - 0.5
    slope = (by - ay) / np.where(ax == bx, 1.0, bx - ax)
    begin = np.ceil(np.minimum(ax, bx)).clip(0, columns).astype(np.int64)
    n = np.ceil(np.maximum(ax, bx)).clip(0, columns).astype(np.int64) - begin
    which = np.repeat(np.arange(len(n)), n)
    column = np.arange(len(which)) + (begin - (np.cumsum(n) - n))[which]
    row = np.ceil((ay - ax * slope)[which] + column * slope[which]).astype(np.int64)
    stride = row_stride(columns)
    # One more row, for edges that begin above the grid.
    toggles = np.zeros((rows + 1) * stride, dtype=np.uint8)
    np.add.at(toggles, row.clip(0, rows) * stride + column, np.uint8(1))
    packed = np.packbits(toggles.reshape(-1, stride)[:rows] & 1, axis=1, bitorder="little")
    return _packed_to_int(np.bitwise_xor.accumulate(packed, axis=0))


def rasterize_lines(lines: Array, columns: int, rows: int) -> int:
    """Cells that lines run through.

    lines: (n, 4) x, y, x, y in cells from the corner of the grid. A cell of which a line cuts off a corner less than
    half a cell deep may be left out.
    """
    ax, ay, bx, by = lines.T
    dx, dy = bx - ax, by - ay
    n = (2 * np.maximum(np.abs(dx), np.abs(dy))).astype(np.int64) + 2
    which = np.repeat(np.arange(len(n)), n)
    first = np.cumsum(n) - n
    share = (np.arange(len(which)) - first[which]) / (n - 1)[which]
    x, y = ax[which] + dx[which] * share, ay[which] + dy[which] * share
    on = (x >= 0) & (x < columns) & (y >= 0) & (y < rows)
    hit = np.zeros((rows, row_stride(columns)), dtype=np.uint8)
    hit[y[on].astype(np.int64), x[on].astype(np.int64)] = 1
    return _packed_to_int(np.packbits(hit, axis=1, bitorder="little"))


def _packed_to_int(packed: NDArray[np.uint8]) -> int:
    return int.from_bytes(packed.tobytes(), "little")
