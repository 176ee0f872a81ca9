"""Room on a panel: where words fit without crossing an edge, a line or other words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import cos, hypot, pi, sin

import numpy as np
from numpy.typing import NDArray

from foldsketch.base.lettering import width
from foldsketch.net.model import Array, Panel, Point

Flags = NDArray[np.bool_]
Counts = NDArray[np.int64]

CLEAR = 0.7
"""Air around words, mm."""

_STEP = 1.0  # mm between the points that stand for a line; words are always taller than this


def dotted(a: Point, b: Point) -> list[Point]:
    """Points along a line, close enough that no word slips between them."""
    n = max(1, int(np.ceil(hypot(b[0] - a[0], b[1] - a[1]) / _STEP)))
    return [(a[0] + (b[0] - a[0]) * k / n, a[1] + (b[1] - a[1]) * k / n) for k in range(n + 1)]


def _ring(loop: Array) -> Array:
    ahead = np.roll(loop, -1, axis=0) - loop
    n = np.maximum(1, np.ceil(np.sqrt((ahead * ahead).sum(axis=1)) / _STEP).astype(int))
    which = np.repeat(np.arange(len(loop)), n)
    first = np.concatenate(([0], np.cumsum(n)[:-1]))
    share = (np.arange(len(which)) - first[which]) / n[which]
    dots: Array = loop[which] + ahead[which] * share[:, None]
    return dots


def _within(p: Array, loops: Sequence[Array]) -> Flags:
    """Which of the points (n, 2) lie inside an odd number of loops."""
    odd = np.zeros(len(p), dtype=bool)
    for a in loops:
        b = np.roll(a, -1, axis=0)
        up = (a[:, 1] > p[:, 1:]) != (b[:, 1] > p[:, 1:])
        with np.errstate(divide="ignore", invalid="ignore"):
            x = a[:, 0] + (p[:, 1:] - a[:, 1]) * (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1])
        odd ^= ((up & (p[:, :1] < x)).sum(axis=1) % 2).astype(bool)
    return odd


class Room:
    """The free room of one panel. Positions are on paper, mm."""

    def __init__(self, panel: Panel) -> None:
        self.panel = panel
        self.loops = (panel.outline, *panel.holes)
        self._dots = [_ring(loop) for loop in self.loops]
        self._cloud: Array | None = None
        self.covered: list[Array] = []

    def bar(self, points: Iterable[Point]) -> None:
        """Keep words off these points."""
        extra = np.array(list(points), dtype=float)
        if len(extra):
            self._dots.append(extra.reshape(-1, 2))
            self._cloud = None

    def inside(self, p: Array) -> Flags:
        """Which of the points (n, 2) lie on the panel and not in a hole."""
        return _within(p, self.loops)

    def place(
        self,
        lines: Sequence[str],
        sizes: Sequence[float],
        angles: Sequence[float],
        spots: Array,
        clear: float = CLEAR,
    ) -> tuple[Point, float, float] | None:
        """Centre, capital height and angle for lines of words set under one another: the largest size at the first
        of the spots (n, 2) with room; None where there is none. The words are then barred for others."""
        if self._cloud is None:
            self._cloud = np.concatenate(self._dots)
        if not len(spots):
            return None
        reach = max(width(line, sizes[0]) for line in lines) + 2 * clear
        low, high = spots.min(axis=0) - reach, spots.max(axis=0) + reach
        near = self._cloud[((self._cloud > low) & (self._cloud < high)).all(axis=1)]
        for size in sizes:
            w = max(width(line, size) for line in lines) / 2 + clear
            h = block_height(len(lines), size) / 2 + clear
            for angle in angles:
                c, s = cos(angle), sin(angle)
                away = near[None, :, :] - spots[:, None, :]
                along = np.abs(away[:, :, 0] * c + away[:, :, 1] * s)
                across = np.abs(away[:, :, 1] * c - away[:, :, 0] * s)
                free = ~((along < w) & (across < h)).any(axis=1)
                if free.any():
                    x, y = spots[int(np.argmax(free))]
                    self._take(float(x), float(y), w - clear, h - clear, angle)
                    return (float(x), float(y)), size, angle
        return None

    def place_level(
        self, lines: Sequence[str], sizes: Sequence[float], clear: float = CLEAR
    ) -> tuple[Point, float, float] | None:
        """The same anywhere on the panel, level or upright on paper, as near the middle as there is room and not where
        another block will cover it."""
        if self._cloud is None:
            self._cloud = np.concatenate(self._dots)
        low, high = self.panel.outline.min(axis=0), self.panel.outline.max(axis=0)
        cell = max(0.4, float((high - low).max()) / 240)
        index = ((self._cloud - low) / cell).astype(int)
        nx, ny = (int(v) + 1 for v in (high - low) / cell)
        taken = np.zeros((nx + 1, ny + 1), dtype=np.int32)
        keep = (index >= 0).all(axis=1) & (index[:, 0] < nx) & (index[:, 1] < ny)
        np.add.at(taken, (index[keep, 0] + 1, index[keep, 1] + 1), 1)
        total = taken.cumsum(axis=0).cumsum(axis=1)
        for size in sizes:
            w = max(width(line, size) for line in lines) / 2 + clear
            h = block_height(len(lines), size) / 2 + clear
            for angle, (a, b) in ((0.0, (w, h)), (pi / 2, (h, w))):
                spot = self._level_spot(total, low, cell, a, b)
                if spot is not None:
                    self._take(*spot, w - clear, h - clear, angle)
                    return spot, size, angle
        return None

    def _level_spot(self, total: Counts, low: Array, cell: float, a: float, b: float) -> Point | None:
        """The best centre for a level box of half sides a, b; total: summed counts of the barred cells."""
        ka, kb = 2 * int(np.ceil(a / cell)) + 1, 2 * int(np.ceil(b / cell)) + 1
        if ka >= total.shape[0] or kb >= total.shape[1]:
            return None
        inside = total[ka:, kb:] - total[:-ka, kb:] - total[ka:, :-kb] + total[:-ka, :-kb]
        free = np.argwhere(inside == 0)
        if not len(free):
            return None
        centres = low + (free + np.array([ka, kb]) / 2) * cell
        middle = (self.panel.outline.min(axis=0) + self.panel.outline.max(axis=0)) / 2
        rank = np.round(np.hypot(*(centres - middle).T), 3)
        for loop in self.covered:
            rank = rank + 1000.0 * _within(centres, (loop,))
        for k in np.lexsort((centres[:, 0], -centres[:, 1], rank))[:400]:
            if self.inside(centres[k : k + 1])[0]:
                return (float(centres[k, 0]), float(centres[k, 1]))
        return None

    def _take(self, x: float, y: float, w: float, h: float, angle: float) -> None:
        c, s = cos(angle), sin(angle)
        nx, ny = max(2, int(2 * w) + 1), max(2, int(2 * h) + 1)
        u, v = np.meshgrid(np.linspace(-w, w, nx), np.linspace(-h, h, ny))
        self.bar(np.column_stack((x + (u * c - v * s).ravel(), y + (u * s + v * c).ravel())))


def block_height(lines: int, size: float) -> float:
    """Height in mm of words set under one another: capitals, tails and the leading between lines."""
    return size * (1.35 + 1.6 * (lines - 1))


def baselines(at: Point, lines: int, size: float, angle: float) -> list[Point]:
    """Where the middle of every line's capitals goes when the block is centred on a point."""
    up = (-sin(angle), cos(angle))
    top = size * 0.8 * (lines - 1)
    return [(at[0] + up[0] * (top - k * 1.6 * size), at[1] + up[1] * (top - k * 1.6 * size)) for k in range(lines)]
