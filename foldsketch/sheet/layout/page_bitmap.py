"""A page as one long number, a bit a cell: shifts find all free places of a shape at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from foldsketch.base.arrays import Bools
from foldsketch.geometry.bit_grid import rectangle_mask

CellRun = tuple[int, int, int]
"""Cells side by side: first column, row, number."""


def cell_runs(mask: Bools) -> tuple[CellRun, ...]:
    """The taken cells of a mask (rows, columns) as level runs, row by row.

    >>> cell_runs(np.array([[True, True, False], [False, False, True]]))
    ((0, 0, 2), (2, 1, 1))
    """
    rows, columns = mask.shape
    edge = np.zeros((rows, columns + 2), dtype=bool)
    edge[:, 1:-1] = mask
    # Every run has a step before it and one at its end.
    row, column = np.divmod(np.flatnonzero(edge[:, 1:] != edge[:, :-1]), columns + 1)
    first = column[::2]
    return tuple(zip(first.tolist(), row[::2].tolist(), (column[1::2] - first).tolist(), strict=True))


@dataclass(slots=True)
class PageBitmap:
    """Cells of a page in use.

    columns, rows: its size; taken: bit column + row * columns is set where paper is used; count: how many bits are set.
    """

    columns: int
    rows: int
    taken: int = 0
    count: int = 0

    def find_lowest(self, size: tuple[int, int], runs: tuple[CellRun, ...], top: int) -> tuple[int, int] | None:
        """The lowest, then leftmost place (column, row) where a shape overlaps nothing.

        size: columns and rows of the shape; top: it must not reach above this row. None where nothing is free.
        """
        across, up = self.columns - size[0] + 1, top - size[1] + 1
        if across < 1 or up < 1:
            return None
        if not self.taken:
            return (0, 0)
        wide = {1: self.taken & ((1 << top * self.columns) - 1)}
        blocked = 0
        for column, row, n in runs:
            hit = wide.get(n)
            if hit is None:
                hit = self._run_collisions(wide, n)
            blocked |= hit >> (column + row * self.columns)
        free = rectangle_mask(across, up, self.columns) & ~blocked
        if not free:
            return None
        row, column = divmod((free & -free).bit_length() - 1, self.columns)
        return column, row

    def _run_collisions(self, wide: dict[int, int], n: int) -> int:
        """Where a run of n cells would meet a taken one."""
        have = 1
        while 2 * have <= n:
            if 2 * have not in wide:
                wide[2 * have] = wide[have] | wide[have] >> have
            have *= 2
        if n not in wide:
            wide[n] = wide[have] | wide[have] >> (n - have)
        return wide[n]

    def occupy(self, at: tuple[int, int], runs: tuple[CellRun, ...]) -> None:
        """Take the cells of a shape."""
        shape = 0
        for column, row, n in runs:
            shape |= ((1 << n) - 1) << (column + row * self.columns)
            self.count += n
        self.taken |= shape << (at[0] + at[1] * self.columns)
