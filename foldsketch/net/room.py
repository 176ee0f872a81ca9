"""Room on a panel: where words fit without crossing an edge, a line or other words."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import cos, pi, sin

import numpy as np

from foldsketch.base.lettering import width
from foldsketch.net.model import Array, Panel, Point
from foldsketch.net.raster import Counts, Flags, edges_of, filled, summed

CLEAR = 0.7
"""Air around words, mm."""


def _within(p: Array, starts: Array, ends: Array) -> Flags:
    """Which of the points (n, 2) lie inside an odd number of loops, given by their edges."""
    ay, by = starts[:, 1], ends[:, 1]
    y = p[:, 1:]
    up = (ay > y) != (by > y)
    rise = by - ay
    x = starts[:, 0] + (y - ay) * (ends[:, 0] - starts[:, 0]) / np.where(rise == 0, 1.0, rise)
    odd: Flags = ((up & (p[:, :1] < x)).sum(axis=1) % 2).astype(bool)
    return odd


class _Grid:
    """A panel as cells of a level grid. rank: for every cell how far its centre is from the middle, mm, more where
    another block covers it, infinite off the panel."""

    def __init__(self, outline: Array, starts: Array, ends: Array, covered: Sequence[Array]) -> None:
        self.low, high = outline.min(axis=0), outline.max(axis=0)
        size = high - self.low
        self.cell = max(0.4, float(size.max()) / 160)
        self.shape = (int(size[0] / self.cell) + 1, int(size[1] / self.cell) + 1)
        x = (np.arange(self.shape[0]) + 0.5) * self.cell - size[0] / 2
        y = (np.arange(self.shape[1]) + 0.5) * self.cell - size[1] / 2
        # A hair of slope makes the choice between equal places always the same one.
        self.rank = np.hypot(x[:, None], y[None, :]) + 1e-4 * x[:, None] - 2e-4 * y[None, :]
        for loop in covered:
            self.rank += 1000.0 * filled(*edges_of([loop]), self.low, self.cell, self.shape)
        self.rank[~filled(starts, ends, self.low, self.cell, self.shape)] = np.inf

    def counted(self, starts: Array, ends: Array) -> Counts:
        """Summed counts of the cells that lines run through, for the number in any box of cells."""
        nx, ny = self.shape
        ahead = ends - starts
        n = (np.abs(ahead).max(axis=1) / self.cell).astype(np.int64) + 1
        which = np.repeat(np.arange(len(n)), n)
        share = (np.arange(len(which)) - np.repeat(np.cumsum(n) - n, n) + 0.5) / n[which]
        index = ((starts[which] + ahead[which] * share[:, None] - self.low) / self.cell).astype(np.int64)
        i, j = index[:, 0], index[:, 1]
        keep = (i >= 0) & (j >= 0) & (i < nx) & (j < ny)
        flat = np.bincount(i[keep] * ny + j[keep], minlength=nx * ny).reshape(nx, ny)
        return summed(flat)

    def best(self, total: Counts, a: float, b: float) -> Point | None:
        """Centre of the best level box of half sides a, b mm that no line runs through; None where there is none."""
        ka, kb = 2 * int(np.ceil(a / self.cell)) + 1, 2 * int(np.ceil(b / self.cell)) + 1
        if ka > self.shape[0] or kb > self.shape[1]:
            return None
        inside = total[ka:, kb:] - total[:-ka, kb:] - total[ka:, :-kb] + total[:-ka, :-kb]
        rank = self.rank[ka // 2 : ka // 2 + inside.shape[0], kb // 2 : kb // 2 + inside.shape[1]]
        score = np.where(inside == 0, rank, np.inf)
        k = int(score.argmin())
        i, j = divmod(k, score.shape[1])
        if not np.isfinite(score[i, j]):
            return None
        x, y = self.low + (np.array([i, j]) + np.array([ka, kb]) / 2) * self.cell
        return float(x), float(y)


class Room:
    """The free room of one panel. Positions are on paper, mm."""

    def __init__(self, panel: Panel) -> None:
        self.panel = panel
        self.loops = (panel.outline, *panel.holes)
        self.starts, self.ends = edges_of([panel.outline, *panel.holes])
        self._more: list[tuple[float, float, float, float]] = []
        self._lines = (self.starts, self.ends)
        self.covered: list[Array] = []
        self._grid: _Grid | None = None
        self._total: Counts | None = None
        span = panel.outline.max(axis=0) - panel.outline.min(axis=0)
        self.size = (float(span[0]), float(span[1]))

    def bar(self, path: Sequence[Point]) -> None:
        """Keep words off a run of lines."""
        self._more += [(*a, *b) for a, b in pairwise(path)]

    def _barred(self) -> tuple[Array, Array]:
        """Starts and ends, each (n, 2), of every line that words must keep off."""
        if self._more:
            more = np.array(self._more, dtype=float)
            starts, ends = self._lines
            self._lines = (np.concatenate((starts, more[:, :2])), np.concatenate((ends, more[:, 2:])))
            self._total = None
            self._more = []
        return self._lines

    def reach(self, p: Point, direction: tuple[float, float], limit: float) -> float:
        """How far one can go from a point on the panel before its edge, at most limit mm."""
        dx, dy = direction
        a, b = self.starts - p, self.ends - p
        u = dx * a[:, 1] - dy * a[:, 0]
        v = dx * b[:, 1] - dy * b[:, 0]
        across = (u > 0) != (v > 0)
        u, v, a, b = u[across], v[across], a[across], b[across]
        along = (a @ direction) + ((b - a) @ direction) * (u / (u - v))
        ahead = along[along > 1e-9]
        return min(limit, float(ahead.min())) if len(ahead) else limit

    def inside(self, p: Array) -> Flags:
        """Which of the points (n, 2) lie on the panel and not in a hole."""
        return _within(p, self.starts, self.ends)

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
        if not len(spots):
            return None
        starts, ends = self._barred()
        reach = max(width(line, sizes[0]) for line in lines) + block_height(len(lines), sizes[0]) + clear
        low, high = spots.min(axis=0) - reach, spots.max(axis=0) + reach
        near = ((np.minimum(starts, ends) < high) & (np.maximum(starts, ends) > low)).all(axis=1)
        starts, ends = starts[near], ends[near]
        for size in sizes:
            w = max(width(line, size) for line in lines) / 2 + clear
            h = block_height(len(lines), size) / 2 + clear
            for angle in angles:
                for k in range(0, len(spots), 64):
                    some = spots[k : k + 64]
                    for x, y in some[_free(some, w, h, angle, starts, ends)].tolist():
                        if self.inside(np.array([[x, y]]))[0]:
                            self._take(x, y, w - clear, h - clear, angle)
                            return (x, y), size, angle
        return None

    def place_each(
        self, texts: Sequence[str], size: float, spots: Array, angles: Array, clear: float = CLEAR
    ) -> list[bool]:
        """Put every text at its own spot (n, 2) and angle (n,) where it is free; returns which were put there."""
        w = np.array([width(t, size) / 2 + clear for t in texts])
        h = np.full(len(texts), block_height(1, size) / 2 + clear)
        free = _free(spots, w, h, angles, *self._barred())
        reach = np.hypot(w, h)
        done: list[int] = []
        result = []
        for k, (x, y) in enumerate(spots.tolist()):
            near = done and (np.hypot(*(spots[done] - spots[k]).T) < reach[done] + reach[k]).any()
            if not free[k] or near:
                result.append(False)
                continue
            done.append(k)
            result.append(True)
            self._take(x, y, float(w[k]) - clear, float(h[k]) - clear, float(angles[k]))
        return result

    def place_first(
        self, text: str, size: float, spots: Array, angles: Array, clear: float = CLEAR
    ) -> tuple[Point, float] | None:
        """Put one line of words at the first of the spots (n, 2) with their angles (n,) that is free."""
        w, h = width(text, size) / 2 + clear, block_height(1, size) / 2 + clear
        starts, ends = self._barred()
        reach = w + h
        near = (
            (np.minimum(starts, ends) < spots.max(axis=0) + reach)
            & (np.maximum(starts, ends) > spots.min(axis=0) - reach)
        ).all(axis=1)
        free = _free(spots, w, h, angles, starts[near], ends[near])
        k = int(free.argmax())
        if not free[k]:
            return None
        x, y = spots[k].tolist()
        self._take(x, y, w - clear, h - clear, float(angles[k]))
        return (x, y), float(angles[k])

    def place_level(
        self, lines: Sequence[str], sizes: Sequence[float], clear: float = CLEAR
    ) -> tuple[Point, float, float] | None:
        """The same anywhere on the panel, level or upright on paper, as near the middle as there is room and not where
        another block will cover it."""
        least = max(width(line, sizes[-1]) for line in lines) + 2 * clear
        size_x, size_y = self.size
        if least > max(size_x, size_y) or block_height(len(lines), sizes[-1]) + 2 * clear > min(size_x, size_y):
            return None
        if self._grid is None:
            self._grid = _Grid(self.panel.outline, self.starts, self.ends, self.covered)
        if self._total is None or self._more:
            self._total = self._grid.counted(*self._barred())
        total = self._total
        for size in sizes:
            w = max(width(line, size) for line in lines) / 2 + clear
            h = block_height(len(lines), size) / 2 + clear
            for angle, (a, b) in ((0.0, (w, h)), (pi / 2, (h, w))):
                spot = self._grid.best(total, a, b)
                if spot is not None:
                    self._take(*spot, w - clear, h - clear, angle)
                    return spot, size, angle
        return None

    def _take(self, x: float, y: float, w: float, h: float, angle: float) -> None:
        c, s = cos(angle), sin(angle)
        p, q, r, t = ((x + u * c - v * s, y + u * s + v * c) for u, v in ((-w, -h), (w, -h), (w, h), (-w, h)))
        self.bar((p, q, r, t, p))
        # And lines through it, so that no smaller word fits inside.
        rows = int(2 * h / 2.2) + 1
        for k in range(1, rows):
            u = k / rows
            self.bar(
                (
                    (p[0] + (t[0] - p[0]) * u, p[1] + (t[1] - p[1]) * u),
                    (q[0] + (r[0] - q[0]) * u, q[1] + (r[1] - q[1]) * u),
                )
            )


def _free(spots: Array, w: float | Array, h: float | Array, angle: float | Array, starts: Array, ends: Array) -> Flags:
    """For which centres (n, 2) a box of half sides w, h, turned by angle, is crossed by none of the lines; w, h and
    angle are one number for all or (n,).

    A line misses a box when it lies beyond one of its sides, or when all corners lie on one side of the line.
    """
    n = len(spots)
    c, s = (np.broadcast_to(v, n)[:, None] for v in (np.cos(angle), np.sin(angle)))
    w, h = (np.broadcast_to(v, n)[:, None] for v in (w, h))
    x, y = spots[:, :1], spots[:, 1:]
    ax, ay = starts[:, 0] - x, starts[:, 1] - y
    bx, by = ends[:, 0] - x, ends[:, 1] - y
    ax, ay = ax * c + ay * s, ay * c - ax * s
    bx, by = bx * c + by * s, by * c - bx * s
    beyond = (np.minimum(ax, bx) > w) | (np.maximum(ax, bx) < -w) | (np.minimum(ay, by) > h) | (np.maximum(ay, by) < -h)
    dx, dy = bx - ax, by - ay
    aside = np.abs(ax * dy - ay * dx) > w * np.abs(dy) + h * np.abs(dx)
    clear: Flags = (beyond | aside).all(axis=1)
    return clear


def block_height(lines: int, size: float) -> float:
    """Height in mm of words set under one another: capitals, tails and the leading between lines."""
    return size * (1.35 + 1.6 * (lines - 1))


def baselines(at: Point, lines: int, size: float, angle: float) -> list[Point]:
    """Where the middle of every line's capitals goes when the block is centred on a point."""
    up = (-sin(angle), cos(angle))
    top = size * 0.8 * (lines - 1)
    return [(at[0] + up[0] * (top - k * 1.6 * size), at[1] + up[1] * (top - k * 1.6 * size)) for k in range(lines)]
