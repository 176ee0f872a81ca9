"""A panel as cells of a level grid, to find the best place for level words."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

import numpy as np

from foldsketch.net.bits import block, spread, stride_of, unpacked
from foldsketch.net.boxes import Segment
from foldsketch.net.model import Array, Point
from foldsketch.net.raster import crossed, filled


class Cells:
    """inside, covered: cells whose centre lies on the panel, or where another block will stand; taken: cells that a
    line runs through; all as bits."""

    def __init__(self, low: Point, high: Point, edges: Sequence[Segment], covered: Sequence[Sequence[Segment]]) -> None:
        self.low = low
        self.size = (high[0] - low[0], high[1] - low[1])
        self.cell = max(0.5, max(self.size) / 128)
        self.columns, self.rows = (int(v / self.cell) + 1 for v in self.size)
        self.stride = stride_of(self.columns)
        self.inside = filled(self._in_cells(edges), self.columns, self.rows)
        self.covered = 0
        for loop in covered:
            self.covered |= filled(self._in_cells(loop), self.columns, self.rows)
        self.taken = 0
        self.wide: dict[int, int] = {}

    def _in_cells(self, lines: Sequence[Segment]) -> Array:
        moved: Array = (np.array(lines) - self.low * 2) / self.cell
        return moved

    def bar(self, lines: Sequence[Segment]) -> None:
        """Take the cells that lines run through."""
        self.taken |= crossed(self._in_cells(lines), self.columns, self.rows)
        self.wide = {}

    def best(self, a: float, b: float) -> Point | None:
        """Centre of a level box of half sides a, b mm that no line runs through: the nearest to the middle, if it may
        be where no other block will stand; None where there is none."""
        ka, kb = ceil(a / self.cell), ceil(b / self.cell)
        columns, rows = self.columns - 2 * ka, self.rows - 2 * kb
        if columns < 1 or rows < 1:
            return None
        if ka not in self.wide:
            self.wide[ka] = spread(self.taken, 2 * ka + 1, 1)
        # Bits stand for the lower left cell of a box; what is asked of its centre is moved there.
        to_centre = ka + kb * self.stride
        free = block(columns, rows, self.stride) & (self.inside >> to_centre)
        free &= ~spread(self.wide[ka], 2 * kb + 1, self.stride)
        if not free:
            return None
        row, column = unpacked(free & ~(self.covered >> to_centre) or free, rows, self.stride).nonzero()
        x = (column + (ka + 0.5)) * self.cell - self.size[0] / 2
        y = (row + (kb + 0.5)) * self.cell - self.size[1] / 2
        # A hair of slope makes the choice between equal places always the same one.
        k = int((np.hypot(x, y) + (1e-4 * x - 2e-4 * y)).argmin())
        return float(self.low[0] + self.size[0] / 2 + x[k]), float(self.low[1] + self.size[1] / 2 + y[k])
