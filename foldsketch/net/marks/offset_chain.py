"""Offsets as a chain of dimensions beside the centres: from the datum axis to every other one on the panel."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import atan2, cos, dist, pi, sin

from foldsketch.base.lettering import text_width
from foldsketch.base.points import Point
from foldsketch.base.units import normalized_degrees
from foldsketch.geometry.box_clearance import is_box_free
from foldsketch.geometry.polygon_loops import point_in_polygon
from foldsketch.net.marks.axis_centres import LARGE_CROSS_RAY_MM, Centre
from foldsketch.net.marks.dimension_text import length_text
from foldsketch.net.marks.panel_view import PanelView, ScaledAxis, intersect_panel_plane
from foldsketch.net.model import Mark

FIGURE_HEIGHTS_MM = (5.0, 3.5, 2.5)
"""Capital heights of offsets that are tried, mm."""

LARGE_FACE_MM = 40.0
"""On a face narrower than this, mm, the largest figures are not tried."""

ARROW_LENGTH_MM, ARROW_HALF_WIDTH_MM = 2.8, 0.45
"""Size of an arrowhead, mm."""

LANE_STEP_MM, MIN_LANE_MM, MAX_LANE_MM = 1.5, 4.0, 60.0
"""Lanes are tried in such steps, from so near to so far beside the centres, mm."""

LANE_CLEARANCE_MM, FIGURE_CLEARANCE_MM = 1.0, 0.7
"""Clear paper beside a dimension line, and around its figure, mm."""

EXTENSION_MM, SHORT_EXTENSION_MM, EXTENSION_GAP_MM = 1.5, 0.4, 1.2
"""How far the lines from the centres go beyond the dimension, and beside figures that stand there, and how far from the
centre they begin, mm."""


def mark_offsets(s: PanelView, centres: Sequence[Centre], base: ScaledAxis, units: str, plain: bool) -> set[str]:
    """Chains of dimensions from the datum axis; returns the axes that they locate.

    plain: all angles are seen, and not written.
    """
    start = intersect_panel_plane(s, base)
    shown = [c for c in centres if c[0].parallel and c[0].offset > 1e-9]
    if start is None or not shown or not point_in_polygon(s.loops[0], start):
        return set()
    if sum(1 for c in shown if not c[0].adds_material) > 3:
        shown = [c for c in shown if c[0].adds_material]
    done = set()
    for u, row in _rows(s, start, shown):
        chain = _Chain(s, start, u, base.name, [(line, p, offset_figure(line, units, plain)) for line, p in row])
        if chain.draw():
            done |= {line.name for line, _ in row}
    return done


def _rows(
    s: PanelView, start: Point, shown: Sequence[Centre]
) -> Iterator[tuple[Point, list[tuple[ScaledAxis, Point]]]]:
    """Directions on the net, to the right on the page, and at most one centre on either side of the datum axis."""
    lines: dict[int, tuple[Point, list[tuple[float, ScaledAxis, Point]]]] = {}
    for line, p, _ in shown:
        away = dist(p, start)
        u = ((p[0] - start[0]) / away, (p[1] - start[1]) / away)
        bearing = atan2(u[1], u[0]) + s.free_space.quarter * pi / 2
        key = round(bearing / pi * 1e6) % 1_000_000
        if not -pi / 2 + 1e-6 < atan2(sin(bearing), cos(bearing)) <= pi / 2 + 1e-6:
            u, away = (-u[0], -u[1]), -away
        lines.setdefault(key, (u, []))[1].append((away, line, p))
    for u, found in lines.values():
        left = sorted((c for c in found if c[0] < 0), key=lambda c: -c[0])
        right = sorted((c for c in found if c[0] > 0), key=lambda c: c[0])
        for k in range(max(len(left), len(right))):
            yield u, [(line, p) for _, line, p in (*left[k : k + 1], *right[k : k + 1])]


class _Chain:
    """One row of dimensions. u: its direction on the net; row: an axis, its centre and figure, on either side."""

    def __init__(
        self, s: PanelView, start: Point, u: Point, base: str, row: Sequence[tuple[ScaledAxis, Point, str]]
    ) -> None:
        self.s, self.start, self.u, self.base, self.row = s, start, u, base, row
        self.angle = atan2(u[1], u[0])

    def draw(self) -> bool:
        """Draw it in the nearest free lane, above the centres if there is one; False where there is none."""
        across = min(v - w for v, w in zip(self.s.free_space.high, self.s.free_space.low, strict=True))
        lanes = [MIN_LANE_MM + k * LANE_STEP_MM for k in range(int((MAX_LANE_MM - MIN_LANE_MM) / LANE_STEP_MM))]
        for size in FIGURE_HEIGHTS_MM[across < LARGE_FACE_MM :]:
            for lane, side in (*((lane, side) for side in (1.0, -1.0) for lane in lanes), (0.0, 1.0)):
                figures = self._figures(side * lane, side, size)
                if figures is not None:
                    self._put(side * lane, side, size, figures)
                    return True
        return False

    def _at(self, p: Point, away: float, along: float = 0.0) -> Point:
        """A point beside another one, mm to its left and ahead in the direction of the chain."""
        (x, y), (u, v) = p, self.u
        return (x - away * v + along * u, y + away * u + along * v)

    def _figures(self, lane: float, side: float, size: float) -> list[tuple[Point, float]] | None:
        """For every dimension in a lane where its figure goes, and half of the gap in its line; None if not free."""
        space = self.s.free_space
        ends = [self.start, *(p for _, p, _ in self.row)]
        if lane and any(not self._reaches(p, lane, side) for p in ends):
            return None
        # Between the centres themselves the line runs along their crosses.
        spare = 0.2 if lane else LARGE_CROSS_RAY_MM + 1.0
        found = []
        for _, p, text in self.row:
            long, middle = dist(p, self.start), ((p[0] + self.start[0]) / 2, (p[1] + self.start[1]) / 2)
            at = self._at(middle, lane)
            if not is_box_free(space.obstacles, *at, max(0.1, long / 2 - spare), LANE_CLEARANCE_MM, self.angle):
                return None
            w, h = text_width(text, size) / 2 + FIGURE_CLEARANCE_MM, size / 2 + FIGURE_CLEARANCE_MM
            lean = self.angle - space.level
            gap = min(w / max(abs(cos(lean)), 1e-9), h / max(abs(sin(lean)), 1e-9))
            if long / 2 - gap < max(spare, ARROW_LENGTH_MM) + 0.5:
                gap = 0.0
                at = self._at(at, side * (abs(w * sin(lean)) + abs(h * cos(lean)) + 0.4))
            if not is_box_free(space.obstacles, *at, w, h, space.level) or not space.contains(at):
                return None
            found.append((at, gap))
        boxes = [(at, text_width(text, size) / 2 + 0.4) for (at, _), (_, _, text) in zip(found, self.row, strict=True)]
        if len(boxes) == 2 and dist(boxes[0][0], boxes[1][0]) < boxes[0][1] + boxes[1][1]:
            return None
        return found

    def _reaches(self, p: Point, lane: float, side: float) -> bool:
        """Whether the panel goes on from a lane beside a centre."""
        foot = self._at(p, lane)
        n = (-self.u[1] * side, self.u[0] * side)
        room = EXTENSION_MM + 0.8
        return self.s.free_space.contains(foot) and self.s.free_space.distance_to_edge(foot, n, room) >= room - 1e-9

    def _put(self, lane: float, side: float, size: float, figures: Sequence[tuple[Point, float]]) -> None:
        s, level = self.s, self.s.free_space.level
        beyond = EXTENSION_MM if all(gap for _, gap in figures) else SHORT_EXTENSION_MM
        if lane:
            self._extend(self.start, lane, side, beyond, self.base)
        for (line, p, text), (at, gap) in zip(self.row, figures, strict=True):
            if lane:
                self._extend(p, lane, side, beyond, line.name)
            tail, tip = self._at(self.start, lane), self._at(p, lane)
            long = dist(tail, tip)
            way = ((tip[0] - tail[0]) / long, (tip[1] - tail[1]) / long)
            if not lane:
                inset = min(EXTENSION_GAP_MM, long / 4)
                tail, tip = ((q[0] + k * inset * way[0], q[1] + k * inset * way[1]) for q, k in ((tail, 1), (tip, -1)))
                long = dist(tail, tip)
            runs = [(tail, tip)]
            if gap:
                middle = ((tail[0] + tip[0]) / 2, (tail[1] + tip[1]) / 2)
                near, far = ((middle[0] + k * gap * way[0], middle[1] + k * gap * way[1]) for k in (-1, 1))
                runs = [(tail, near), (far, tip)]
            heads = [_arrowhead(tip, way, long), _arrowhead(tail, (-way[0], -way[1]), long)]
            s.marks.append(Mark("offset", s.panel.id, line.name, tip, paths=(*runs, *heads)))
            s.marks.append(Mark("offset", s.panel.id, line.name, at, text, size, level))
            for path in (*runs, *heads):
                s.free_space.add_obstacle(path)
            s.free_space.occupy(at, text_width(text, size) / 2, size / 2, level)

    def _extend(self, p: Point, lane: float, side: float, beyond: float, axis: str) -> None:
        """The line from a centre to its dimension, as far as it is on the panel."""
        foot, back = self._at(p, lane), (self.u[1] * side, -self.u[0] * side)
        most = abs(lane) - EXTENSION_GAP_MM
        long = self.s.free_space.distance_to_edge(foot, back, most)
        path = (self._at(foot, side * beyond), self._at(foot, -side * (long if long == most else long - 0.4)))
        self.s.marks.append(Mark("offset", self.s.panel.id, axis, path[0], paths=(path,)))
        self.s.free_space.add_obstacle(path)


def _arrowhead(tip: Point, way: Point, long: float) -> tuple[Point, Point, Point]:
    """Barb, tip and barb of a head. way: in which it points; long: of its line, mm."""
    size = min(1.0, long / 3 / ARROW_LENGTH_MM)
    back, half = ARROW_LENGTH_MM * size, ARROW_HALF_WIDTH_MM * size
    x, y = tip[0] - back * way[0], tip[1] - back * way[1]
    return (x - half * way[1], y + half * way[0]), tip, (x + half * way[1], y - half * way[0])


def mark_offset_in_words(views: Sequence[tuple[PanelView, Centre]], base: str, text: str) -> bool:
    """An offset in words on the largest panel that has room for them; False where there is none."""
    for s, (line, _, _) in sorted(views, key=lambda v: (-v[0].area, v[0].face)):
        words = f"{base} to {line.name}: {text}"
        found = s.free_space.place_level([words], FIGURE_HEIGHTS_MM[1:])
        if found:
            at, size, angle = found
            s.marks.append(Mark("offset", s.panel.id, line.name, at, words, size, angle))
            return True
    return False


def offset_figure(line: ScaledAxis, units: str, plain: bool = False) -> str:
    """How far an axis is from the datum axis; and where, unless it is seen (plain)."""
    figure = length_text(line.offset, units).removesuffix(" mm")
    value = round(normalized_degrees(line.angle), 2) % 360
    return figure if plain else f"{figure} at {value:g}°"


def angles_are_seen(lines: Sequence[ScaledAxis]) -> bool:
    """Whether all offset axes are straight to the right or to the left of the datum axis."""
    return all(abs(sin(line.angle)) * line.offset < 1e-9 for line in lines if line.parallel)
