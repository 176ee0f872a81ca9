"""Free space on a panel: where words fit without crossing an edge, a line or other words."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from itertools import pairwise
from math import cos, hypot, pi, sin

from foldsketch.base.lettering import text_width
from foldsketch.base.points import Point
from foldsketch.geometry.box_clearance import is_box_free, lines_near_box
from foldsketch.geometry.polygon_loops import (
    PolygonLoop,
    SegmentCoords,
    loop_segments,
    point_in_polygon,
    ray_distance,
)
from foldsketch.net.labels.occupancy_grid import OccupancyGrid
from foldsketch.net.model import Panel

LABEL_CLEARANCE_MM = 0.7
"""Clear paper around words, mm."""


class PanelSpace:
    """The free space of one panel; positions are on paper, mm.

    loops: its outline and holes; low, high: corners of its bounding box; hidden_areas: what another block will hide;
    quarter: quarter turns, anticlockwise, by which its net lies turned on the page.
    """

    def __init__(self, panel: Panel, quarter: int = 0) -> None:
        self.panel = panel
        self.quarter = quarter
        self.loops: list[PolygonLoop] = [loop.tolist() for loop in (panel.outline, *panel.holes)]
        x, y = zip(*self.loops[0], strict=True)
        self.low: Point = (min(x), min(y))
        self.high: Point = (max(x), max(y))
        self.hidden_areas: list[list[SegmentCoords]] = []
        self._cells: OccupancyGrid | None = None
        self._obstacles_in_grid = 0

    @cached_property
    def bounds(self) -> list[SegmentCoords]:
        """The lower left and upper right corner of the box around every loop."""
        return [(min(x), min(y), max(x), max(y)) for x, y in (zip(*loop, strict=True) for loop in self.loops)]

    @cached_property
    def edges(self) -> list[SegmentCoords]:
        """The edges of the panel."""
        return [edge for loop in self.loops for edge in loop_segments(loop)]

    @cached_property
    def obstacles(self) -> list[SegmentCoords]:
        """All that words must keep off, the edges first."""
        return self.edges.copy()

    def add_obstacle(self, path: Sequence[Point]) -> None:
        """Keep words off a run of lines."""
        self.obstacles += [(*a, *b) for a, b in pairwise(path)]

    def hide_area(self, loop: Sequence[Point]) -> None:
        """Note that another block will cover the inside of a loop."""
        self.hidden_areas.append(loop_segments(loop))

    def distance_to_edge(self, p: Point, direction: Point, limit: float) -> float:
        """Distance from a point in a direction (of length 1) to an edge of the panel, at most limit, mm."""
        (x, y), (dx, dy) = p, direction
        for loop, (left, under, right, over) in zip(self.loops, self.bounds, strict=True):
            u, v = x + dx * limit, y + dy * limit
            beside = (x < left and u < left) or (x > right and u > right)
            if not beside and (y >= under or v >= under) and (y <= over or v <= over):
                limit = ray_distance(loop, p, direction, limit)
        return limit

    def contains(self, p: Point) -> bool:
        """Whether a point is on the panel and not in a hole."""
        x, y = p
        if not point_in_polygon(self.loops[0], p):
            return False
        for loop, (left, under, right, over) in zip(self.loops[1:], self.bounds[1:], strict=True):
            if left < x < right and under < y < over and point_in_polygon(loop, p):
                return False
        return True

    def place(
        self,
        lines: Sequence[str],
        sizes: Sequence[float],
        angle: float,
        spots: Sequence[Point],
        clear: float = LABEL_CLEARANCE_MM,
    ) -> tuple[Point, float] | None:
        """Centre and capital height for lines of words at an angle; None where they do not fit.

        The largest size at the first of the spots that is free. The place is then occupied.
        """
        w, h = _half_size_of_text(lines, sizes[0], clear)
        reach = hypot(w, h)
        x, y = zip(*spots, strict=True)
        close = lines_near_box(self.obstacles, min(x) - reach, min(y) - reach, max(x) + reach, max(y) + reach)
        for size in sizes:
            w, h = _half_size_of_text(lines, size, clear)
            spot = next((p for p in spots if is_box_free(close, *p, w, h, angle) and self.contains(p)), None)
            if spot is not None:
                self.occupy(spot, w - clear, h - clear, angle)
                return spot, size
        return None

    @property
    def level(self) -> float:
        """Angle on the net of words that are upright on the page, radians."""
        return -self.quarter * pi / 2

    def on_page(self, x: float, y: float) -> Point:
        """A direction on the page, x to the right and y up, as one on the net."""
        for _ in range(self.quarter % 4):
            x, y = y, -x
        return x, y

    def place_level(
        self, lines: Sequence[str], sizes: Sequence[float], clear: float = LABEL_CLEARANCE_MM
    ) -> tuple[Point, float, float] | None:
        """Centre, capital height and angle of words that are upright on the page; None where they do not fit.

        As near the middle as can be, and if possible not where another block will cover them.
        """
        across, up = self.high[0] - self.low[0], self.high[1] - self.low[1]
        tried = False
        for size in sizes:
            w, h = _half_size_of_text(lines, size, clear)
            a, b = (h, w) if self.quarter % 2 else (w, h)
            if 2 * a > across or 2 * b > up:
                continue
            spot = self._middle(a, b)
            if spot is None:
                # Where the smallest words do not fit larger ones need not be tried.
                if size > sizes[-1] and not tried and not self._can_fit(lines, sizes[-1], clear):
                    return None
                tried = True
                spot = self._occupancy_grid().best_centre(a, b, self.contains)
            if spot is not None:
                self.occupy(spot, w - clear, h - clear, self.level)
                return spot, size, self.level
        return None

    def place_upward(self, lines: Sequence[str], sizes: Sequence[float]) -> tuple[Point, float, float] | None:
        """The same for words that run up the page, on walls too narrow for level ones."""
        self.quarter -= 1
        found = self.place_level(lines, sizes)
        self.quarter += 1
        return found

    def _can_fit(self, lines: Sequence[str], size: float, clear: float) -> bool:
        w, h = _half_size_of_text(lines, size, clear)
        return self._occupancy_grid().can_fit(*((h, w) if self.quarter % 2 else (w, h)))

    def _middle(self, a: float, b: float) -> Point | None:
        """The middle of the panel if a level box of half sides a, b is free there and nothing will cover it."""
        if self.hidden_areas:
            return None
        x, y = middle = (self.low[0] + self.high[0]) / 2, (self.low[1] + self.high[1]) / 2
        return middle if is_box_free(self.obstacles, x, y, a, b) and self.contains(middle) else None

    def _occupancy_grid(self) -> OccupancyGrid:
        """The panel as cells, with all lines that it has by now."""
        if self._cells is None:
            self._cells = OccupancyGrid(self.low, self.high, self.edges, self.hidden_areas, len(self.loops) > 1)
        if self._obstacles_in_grid < len(self.obstacles):
            self._cells.add_obstacles(self.obstacles[self._obstacles_in_grid :])
            self._obstacles_in_grid = len(self.obstacles)
        return self._cells

    def occupy(self, at: Point, w: float, h: float, angle: float) -> None:
        """Mark a box of words as an obstacle: its outline, and lines through it so that no smaller word fits inside."""
        c, s = cos(angle), sin(angle)
        wx, wy, hx, hy = w * c, w * s, -h * s, h * c
        px, py, qx, qy = at[0] - wx - hx, at[1] - wy - hy, at[0] + wx - hx, at[1] + wy - hy
        rows = int(2 * h / 2.8) + 1
        hx, hy = 2 * hx / rows, 2 * hy / rows
        self.obstacles += [(px + k * hx, py + k * hy, qx + k * hx, qy + k * hy) for k in range(rows + 1)]
        hx, hy = hx * rows, hy * rows
        self.obstacles += ((px, py, px + hx, py + hy), (qx, qy, qx + hx, qy + hy))


def _half_size_of_text(lines: Sequence[str], size: float, clear: float) -> tuple[float, float]:
    """Half width and half height, mm, of words set under one another, with clear paper around them."""
    return max([text_width(line, size) for line in lines]) / 2 + clear, text_height(len(lines), size) / 2 + clear


def text_height(lines: int, size: float) -> float:
    """Height in mm of words set under one another: capitals, tails and the leading between lines."""
    return size * (1.35 + 1.6 * (lines - 1))


def text_line_centres(at: Point, lines: int, size: float, angle: float) -> list[Point]:
    """Where the middle of every line's capitals goes when the block is centred on a point."""
    up = (-sin(angle), cos(angle))
    top = size * 0.8 * (lines - 1)
    return [(at[0] + up[0] * (top - k * 1.6 * size), at[1] + up[1] * (top - k * 1.6 * size)) for k in range(lines)]
