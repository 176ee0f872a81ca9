"""Room on a panel: where words fit without crossing an edge, a line or other words."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import cos, hypot, pi, sin

import numpy as np

from foldsketch.base.lettering import width
from foldsketch.net.boxes import crossed, crossed_each
from foldsketch.net.cells import Cells
from foldsketch.net.model import Array, Panel, Point
from foldsketch.net.raster import Flags, edges_of

CLEAR = 0.7
"""Air around words, mm."""

Segment = tuple[float, float, float, float]


class Room:
    """The free room of one panel. Positions are on paper, mm; low, high: (2,) corners of its bounding box;
    covered: loops that another block will hide."""

    def __init__(self, panel: Panel) -> None:
        self.panel = panel
        self.covered: list[Array] = []
        self.low: list[float] = panel.outline.min(axis=0).tolist()
        self.high: list[float] = panel.outline.max(axis=0).tolist()
        self._edges: tuple[Array, Array] | None = None
        self._lines: tuple[Array, Array] | None = None
        self._more: list[Segment] = []
        self._new: list[Segment] = []
        self._cells: Cells | None = None

    @property
    def edges(self) -> tuple[Array, Array]:
        """Starts and ends, each (n, 2), of the panel's own edges."""
        if self._edges is None:
            self._edges = edges_of([self.panel.outline, *self.panel.holes])
        return self._edges

    def bar(self, path: Sequence[Point]) -> None:
        """Keep words off a run of lines."""
        self._more += [(*a, *b) for a, b in pairwise(path)]

    def _barred(self) -> tuple[Array, Array]:
        """Starts and ends, each (n, 2), of every line that words must keep off."""
        if self._lines is None:
            self._lines = self.edges
        if self._more:
            more = np.array(self._more, dtype=float)
            starts, ends = self._lines
            self._lines = (np.concatenate((starts, more[:, :2])), np.concatenate((ends, more[:, 2:])))
            self._new += self._more
            self._more = []
        return self._lines

    def reach(self, p: Point, direction: tuple[float, float], limit: float) -> float:
        """How far one can go from a point on the panel before its edge, at most limit mm."""
        return self.reaches([p], [direction], limit)[0]

    def reaches(
        self, points: Sequence[Sequence[float]], rays: Sequence[Sequence[float]] | Array, limit: float
    ) -> list[float]:
        """The same for several points and unit directions, each (n, 2)."""
        starts, ends = self.edges
        p, d = np.asarray(points, dtype=float), np.asarray(rays, dtype=float)
        normal = np.array((-d[:, 1], d[:, 0]))
        # Distance of every edge's ends from every ray's line, (edges, rays), and how far along it they lie.
        away_p, along_p = (p * normal.T).sum(axis=1), (p * d).sum(axis=1)
        u, v = starts @ normal - away_p, ends @ normal - away_p
        a, b = starts @ d.T - along_p, ends @ d.T - along_p
        across = (u > 0) != (v > 0)
        along = a + (b - a) * (u / np.where(across, u - v, 1.0))
        along[~across | (along <= 1e-9)] = limit
        reach: list[float] = np.minimum(along.min(axis=0), limit).tolist()
        return reach

    def inside(self, p: Array) -> Flags:
        """Which of the points (n, 2) lie on the panel and not in a hole."""
        starts, ends = self.edges
        ay, by = starts[:, 1], ends[:, 1]
        y = p[:, 1:]
        up = (ay > y) != (by > y)
        rise = by - ay
        x = starts[:, 0] + (y - ay) * (ends[:, 0] - starts[:, 0]) / np.where(rise == 0, 1.0, rise)
        odd: Flags = ((up & (p[:, :1] < x)).sum(axis=1) % 2).astype(bool)
        return odd

    def place(
        self, lines: Sequence[str], sizes: Sequence[float], angle: float, spots: Array, clear: float = CLEAR
    ) -> tuple[Point, float] | None:
        """Centre and capital height for lines of words set under one another at an angle: the largest size at the
        first of the spots (n, 2) with room; None where there is none. The words are then barred for others."""
        starts, ends = self._barred()
        reach = max(width(line, sizes[0]) for line in lines) + block_height(len(lines), sizes[0]) + clear
        low, high = spots.min(axis=0) - reach, spots.max(axis=0) + reach
        near = ((np.minimum(starts, ends) < high) & (np.maximum(starts, ends) > low)).all(axis=1)
        starts, ends = starts[near], ends[near]
        for size in sizes:
            w = max(width(line, size) for line in lines) / 2 + clear
            h = block_height(len(lines), size) / 2 + clear
            free = ~crossed(spots, w, h, angle, starts, ends)
            if free.any():
                some = spots[free]
                inside = self.inside(some)
                if inside.any():
                    x, y = some[int(inside.argmax())].tolist()
                    self._take(x, y, w - clear, h - clear, angle)
                    return (x, y), size
        return None

    def place_each(
        self, texts: Sequence[str], size: float, spots: Array, angles: Array, clear: float = CLEAR
    ) -> list[tuple[Point, float] | None]:
        """Put every text at the first of its own spots (n, k, 2), turned by angles (n, k) or (n, 1), that is free;
        returns where each was put and its angle."""
        h = block_height(1, size) / 2 + clear
        half = [width(t, size) / 2 + clear for t in texts]
        angles = np.broadcast_to(angles, spots.shape[:2])
        w = np.repeat(half, spots.shape[1])
        free = ~crossed_each(spots.reshape(-1, 2), w, h, angles.ravel(), *self._barred()).reshape(spots.shape[:2])
        taken: list[tuple[float, float, float]] = []
        result: list[tuple[Point, float] | None] = []
        places, turns = spots.tolist(), angles.tolist()
        flags: list[list[bool]] = np.asarray(free).tolist()
        for k, open_ in enumerate(flags):
            reach = hypot(half[k], h)
            found: tuple[Point, float] | None = None
            for ok, (x, y), angle in zip(open_, places[k], turns[k], strict=True):
                if ok and not any((x - u) ** 2 + (y - v) ** 2 < (reach + r) ** 2 for u, v, r in taken):
                    found = (x, y), angle
                    taken.append((x, y, reach))
                    self._take(x, y, half[k] - clear, h - clear, angle)
                    break
            result.append(found)
        return result

    def place_level(
        self, lines: Sequence[str], sizes: Sequence[float], clear: float = CLEAR
    ) -> tuple[Point, float, float] | None:
        """Centre, capital height and angle anywhere on the panel, level or upright on paper, as near the middle as
        there is room and not where another block will cover it."""
        least = max(width(line, sizes[-1]) for line in lines) + 2 * clear
        across, up = self.high[0] - self.low[0], self.high[1] - self.low[1]
        if least > max(across, up) or block_height(len(lines), sizes[-1]) + 2 * clear > min(across, up):
            return None
        starts, ends = self._barred()
        if self._cells is None:
            self._cells = Cells(self.panel.outline, *self.edges, self.covered)
            self._cells.bar(starts, ends)
        elif self._new:
            more = np.array(self._new)
            self._cells.bar(more[:, :2], more[:, 2:])
        self._new = []
        for size in sizes:
            w = max(width(line, size) for line in lines) / 2 + clear
            h = block_height(len(lines), size) / 2 + clear
            for angle, (a, b) in ((0.0, (w, h)), (pi / 2, (h, w))):
                if 2 * a > across or 2 * b > up:
                    continue
                spot = self._cells.best(a, b)
                if spot is not None:
                    self._take(*spot, w - clear, h - clear, angle)
                    return spot, size, angle
        return None

    def _take(self, x: float, y: float, w: float, h: float, angle: float) -> None:
        """Bar a box of words: its outline, and lines through it so that no smaller word fits inside."""
        c, s = cos(angle), sin(angle)
        wx, wy, hx, hy = w * c, w * s, -h * s, h * c
        px, py, qx, qy = x - wx - hx, y - wy - hy, x + wx - hx, y + wy - hy
        rows = int(2 * h / 2.8) + 1
        self._more += [
            (px + 2 * hx * u, py + 2 * hy * u, qx + 2 * hx * u, qy + 2 * hy * u)
            for u in (k / rows for k in range(rows + 1))
        ]
        self._more += ((qx, qy, qx + 2 * hx, qy + 2 * hy), (px + 2 * hx, py + 2 * hy, px, py))


def block_height(lines: int, size: float) -> float:
    """Height in mm of words set under one another: capitals, tails and the leading between lines."""
    return size * (1.35 + 1.6 * (lines - 1))


def baselines(at: Point, lines: int, size: float, angle: float) -> list[Point]:
    """Where the middle of every line's capitals goes when the block is centred on a point."""
    up = (-sin(angle), cos(angle))
    top = size * 0.8 * (lines - 1)
    return [(at[0] + up[0] * (top - k * 1.6 * size), at[1] + up[1] * (top - k * 1.6 * size)) for k in range(lines)]
