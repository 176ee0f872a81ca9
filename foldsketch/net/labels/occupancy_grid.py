"""A panel as cells of a level grid, to find the best place for level words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cached_property
from math import ceil

import numpy as np

from foldsketch.base.arrays import Array, Point
from foldsketch.geometry.bit_grid import dilate, rectangle_mask, row_stride, unpack_bits
from foldsketch.geometry.polygon_loops import SegmentCoords
from foldsketch.geometry.rasterize import rasterize_lines, rasterize_loops

AXIS_PARALLEL_TOLERANCE_MM = 1e-6
"""A line that rises by less, mm, is level."""


class OccupancyGrid:
    """The cells of a panel as bits.

    covered: those that another block will hide; occupied: those that a line runs through; has_holes: the panel has
    holes, so that every cell is checked beforehand to be on the panel.
    """

    def __init__(
        self,
        low: Point,
        high: Point,
        edges: Sequence[SegmentCoords],
        covered: Sequence[Sequence[SegmentCoords]],
        has_holes: bool,
    ) -> None:
        self.low = low
        self.size = (high[0] - low[0], high[1] - low[1])
        self.cell = max(0.5, max(self.size) / 128)
        self.columns, self.rows = (int(v / self.cell) + 1 for v in self.size)
        self.stride = row_stride(self.columns)
        self.edges = edges
        self.has_holes = has_holes
        self.covered = 0
        for loop in covered:
            self.covered |= rasterize_loops(self._in_cells(loop), self.columns, self.rows)
        self.occupied = 0
        self._widened: dict[int, int] = {}

    @cached_property
    def _column(self) -> int:
        """The first column."""
        return rectangle_mask(1, self.rows, self.stride)

    @cached_property
    def inside(self) -> int:
        """Cells whose centre is on the panel."""
        return rasterize_loops(self._in_cells(self.edges), self.columns, self.rows)

    def _in_cells(self, lines: Sequence[SegmentCoords]) -> Array:
        moved: Array = (np.array(lines) - self.low * 2) / self.cell
        return moved

    def add_obstacles(self, lines: Sequence[SegmentCoords]) -> None:
        """Take the cells that lines run through."""
        slanted = []
        for line in lines:
            if (
                abs(line[0] - line[2]) < AXIS_PARALLEL_TOLERANCE_MM
                or abs(line[1] - line[3]) < AXIS_PARALLEL_TOLERANCE_MM
            ):
                self.occupied |= self._axis_parallel_cells(line)
            else:
                slanted.append(line)
        if slanted:
            self.occupied |= rasterize_lines(self._in_cells(slanted), self.columns, self.rows)
        self._widened = {}

    def _axis_parallel_cells(self, line: SegmentCoords) -> int:
        """The cells of a level or upright line: of the box around it."""
        (x, y), cell, stride = self.low, self.cell, self.stride
        ax, ay, bx, by = line
        if ax > bx:
            ax, bx = bx, ax
        if ay > by:
            ay, by = by, ay
        i, beyond = max(int((ax - x) / cell), 0), min(int((bx - x) / cell) + 1, self.columns)
        j, above = max(int((ay - y) / cell), 0), min(int((by - y) / cell) + 1, self.rows)
        if i >= beyond or j >= above:
            return 0
        if above - j == 1:
            return ((1 << (beyond - i)) - 1) << (i + j * stride)
        if beyond - i == 1:
            return (self._column & ((1 << ((above - j) * stride)) - 1)) << (i + j * stride)
        return rectangle_mask(beyond - i, above - j, stride) << (i + j * stride)

    def _free(self, ka: int, kb: int) -> int:
        """Where a box fits that no line runs through, as bits of the cell at its lower left corner.

        ka, kb: cells on either side of the one in its middle. Places off a panel without holes are among them.
        """
        columns, rows = self.columns - 2 * ka, self.rows - 2 * kb
        if columns < 1 or rows < 1:
            return 0
        if ka not in self._widened:
            self._widened[ka] = dilate(self.occupied, 2 * ka + 1, 1)
        free = rectangle_mask(columns, rows, self.stride) & ~dilate(self._widened[ka], 2 * kb + 1, self.stride)
        return free & (self.inside >> (ka + kb * self.stride)) if self.has_holes else free

    def can_fit(self, a: float, b: float) -> bool:
        """False where there is no place for a level box of half sides a, b mm."""
        return self._free(ceil(a / self.cell), ceil(b / self.cell)) > 0

    def best_centre(self, a: float, b: float, holds: Callable[[Point], bool]) -> Point | None:
        """Centre of a box of half sides a, b mm that no line runs through; None where there is no place.

        The nearest to the middle of the panel, if it may be where no other block will be. holds: whether a point is on
        the panel.
        """
        ka, kb = ceil(a / self.cell), ceil(b / self.cell)
        free = self._free(ka, kb)
        if not free:
            return None
        # The nearest place is on the panel as a rule; only where it is not are all cells checked.
        spot = self._nearest(free, ka, kb)
        if self.has_holes or holds(spot):
            return spot
        free &= self.inside >> (ka + kb * self.stride)
        return self._nearest(free, ka, kb) if free else None

    def _nearest(self, free: int, ka: int, kb: int) -> Point:
        free = free & ~(self.covered >> (ka + kb * self.stride)) or free
        cells = np.flatnonzero(unpack_bits(free, self.rows - 2 * kb, self.stride))
        row, column = np.divmod(cells, self.stride)
        x = (column + (ka + 0.5)) * self.cell - self.size[0] / 2
        y = (row + (kb + 0.5)) * self.cell - self.size[1] / 2
        # A little slope makes the choice between equal places always the same.
        k = int((x * x + y * y + 1e-4 * x - 2e-4 * y).argmin())
        return float(self.low[0] + self.size[0] / 2 + x[k]), float(self.low[1] + self.size[1] / 2 + y[k])
