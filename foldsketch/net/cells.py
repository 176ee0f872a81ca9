"""A panel as cells of a level grid, to find the best place for level words."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

import numpy as np
from numpy.typing import NDArray

from foldsketch.net.model import Array, Point
from foldsketch.net.raster import edges_of, filled, summed


class Cells:
    """rank: for every cell how far its centre is from the middle, mm, more where another block covers it, infinite
    off the panel; hit: cells that a line runs through."""

    def __init__(self, outline: Array, starts: Array, ends: Array, covered: Sequence[Array]) -> None:
        self.low, high = outline.min(axis=0), outline.max(axis=0)
        size = high - self.low
        self.cell = max(0.5, float(size.max()) / 128)
        self.shape = (int(size[0] / self.cell) + 1, int(size[1] / self.cell) + 1)
        x = (np.arange(self.shape[0]) + 0.5) * self.cell - size[0] / 2
        y = (np.arange(self.shape[1]) + 0.5) * self.cell - size[1] / 2
        # A hair of slope makes the choice between equal places always the same one.
        self.rank = np.hypot(x[:, None], y[None, :]) + (1e-4 * x[:, None] - 2e-4 * y[None, :])
        for loop in covered:
            self.rank += 1000.0 * filled(*edges_of([loop]), self.low, self.cell, self.shape)
        if len(starts) != 4 or not _level(starts, ends):
            self.rank[~filled(starts, ends, self.low, self.cell, self.shape)] = np.inf
        self.hit = np.zeros(self.shape, dtype=bool)
        self.total: NDArray[np.int32] | None = None

    def bar(self, starts: Array, ends: Array) -> None:
        """Take the cells that lines (n, 2) run through."""
        nx, ny = self.shape
        ahead = ends - starts
        n = (np.abs(ahead).max(axis=1) / self.cell).astype(np.int64) + 1
        which = np.repeat(np.arange(len(n)), n)
        share = (np.arange(len(which)) - (np.cumsum(n) - n)[which] + 0.5) / n[which]
        index = ((starts[which] + ahead[which] * share[:, None] - self.low) / self.cell).astype(np.int64)
        index = index[((index >= 0) & (index < (nx, ny))).all(axis=1)]
        self.hit[index[:, 0], index[:, 1]] = True
        self.total = None

    def best(self, a: float, b: float) -> Point | None:
        """Centre of the best level box of half sides a, b mm that no line runs through; None where there is none."""
        ka, kb = 2 * ceil(a / self.cell) + 1, 2 * ceil(b / self.cell) + 1
        if ka > self.shape[0] or kb > self.shape[1]:
            return None
        if self.total is None:
            self.total = summed(self.hit)
        t = self.total
        free = t[ka:, kb:] - t[:-ka, kb:] == t[ka:, :-kb] - t[:-ka, :-kb]
        if not free.any():
            return None
        score = np.where(free, self.rank[ka // 2 : ka // 2 + free.shape[0], kb // 2 : kb // 2 + free.shape[1]], np.inf)
        i, j = divmod(int(score.argmin()), score.shape[1])
        if not np.isfinite(score[i, j]):
            return None
        return float(self.low[0]) + (i + ka / 2) * self.cell, float(self.low[1]) + (j + kb / 2) * self.cell


def _level(starts: Array, ends: Array) -> bool:
    """Whether every edge is level or upright, so that four of them make the bounding box itself."""
    return bool((np.abs(ends - starts).min(axis=1) < 1e-9).all())
