"""Arrows that point to an axis from beside its opening, where the axis goes through no panel."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import atan2, cos, hypot, pi, sin

from foldsketch.base.arrays import Point
from foldsketch.geometry.box_clearance import is_box_free
from foldsketch.net.marks.feature_labels import LABEL_HEIGHTS_MM
from foldsketch.net.marks.panel_view import PanelView, ScaledAxis, intersect_panel_plane
from foldsketch.net.model import Mark

MAX_POINTER_REACH_MM = 40.0
"""A panel farther from the axis than this, mm, is not beside its opening."""

MIN_POINTER_SLOPE = 0.3
"""Cosine of the angle between an axis and the normal of a panel that it may be pointed to from."""

POINTER_LENGTH_MM, MIN_POINTER_LENGTH_MM, POINTER_EDGE_GAP_MM = 4.0, 2.0, 0.6
"""Length of an arrow and the least, and its distance from the edge of the opening, mm."""

POINTER_HALF_WIDTH_MM = 0.8
"""Clear paper on both sides of an arrow, mm; its head takes some 0.5."""

POINTER_TURNS_RAD = (0.0, 0.3, -0.3, 0.6, -0.6, 0.9, -0.9)
"""Bearings that are tried, from that to the nearest edge, radians."""

PANELS_TRIED = 8


def is_pointer(mark: Mark) -> bool:
    """Whether a mark is an arrow to an axis in an opening: a stem and a head."""
    return mark.kind == "centre" and [len(path) for path in mark.paths] == [2, 3]


def point_to_unmarked_axes(views: Sequence[PanelView], lines: Sequence[ScaledAxis]) -> None:
    """An arrow with its letter at either end of every axis that has no mark: a bore across facets leaves none whole."""
    marked = {m.axis for s in views for m in s.marks if m.kind == "centre"}
    for line in lines:
        for sense in () if line.name in marked else (1.0, -1.0):
            near = sorted(_panels_near(views, line, sense), key=lambda found: found[0])
            any(_draw_pointer(views[k], line, p, bearing) for _, k, p, bearing in near[:PANELS_TRIED])


def _panels_near(
    views: Sequence[PanelView], line: ScaledAxis, sense: float
) -> Iterator[tuple[tuple[float, int], int, Point, float]]:
    """Panels that face one end of an axis: distance and face, number, where the axis meets their plane, bearing."""
    import shapely

    for k, s in enumerate(views):
        p = intersect_panel_plane(s, line)
        if p is None or sense * float(line.direction @ s.normal) < MIN_POINTER_SLOPE:
            continue
        edge = shapely.Polygon(s.panel.outline, s.panel.holes).boundary
        at = edge.interpolate(edge.project(shapely.Point(p)))
        away = hypot(at.x - p[0], at.y - p[1])
        if 0 < away < MAX_POINTER_REACH_MM:
            yield (round(away, 3), s.face), k, p, atan2(at.y - p[1], at.x - p[0])


def _draw_pointer(s: PanelView, line: ScaledAxis, p: Point, bearing: float) -> bool:
    """An arrow toward p and the letter at its tail; False where there is no room."""
    for turn in POINTER_TURNS_RAD:
        u = (cos(bearing + turn), sin(bearing + turn))
        gap = s.free_space.distance_to_edge(p, u, 2 * MAX_POINTER_REACH_MM) + POINTER_EDGE_GAP_MM
        tip = (p[0] + u[0] * gap, p[1] + u[1] * gap)
        if not s.free_space.contains(tip):
            continue
        room = s.free_space.distance_to_edge(tip, u, POINTER_LENGTH_MM + POINTER_EDGE_GAP_MM) - POINTER_EDGE_GAP_MM
        middle = (tip[0] + u[0] * room / 2, tip[1] + u[1] * room / 2)
        if room < MIN_POINTER_LENGTH_MM or not is_box_free(
            s.free_space.obstacles, *middle, room / 2, POINTER_HALF_WIDTH_MM, bearing + turn
        ):
            continue
        tail = (tip[0] + u[0] * room, tip[1] + u[1] * room)
        around = [
            (tail[0] + r * cos(bearing + turn + a), tail[1] + r * sin(bearing + turn + a))
            for r in (2.2, 3.0, 4.0)
            for a in (0.0, pi / 4, -pi / 4, pi / 2, -pi / 2, 3 * pi / 4, -3 * pi / 4)
        ]
        found = s.free_space.place([line.name], LABEL_HEIGHTS_MM, s.free_space.level, around, clear=0.4)
        if found is None:
            continue
        head = min(1.6, room / 2)
        barbs = [
            (tip[0] + head * cos(bearing + turn + a), tip[1] + head * sin(bearing + turn + a)) for a in (0.3, -0.3)
        ]
        paths = ((tail, tip), (barbs[0], tip, barbs[1]))
        for path in paths:
            s.free_space.add_obstacle(path)
        s.marks.append(Mark("centre", s.panel.id, line.name, p, paths=paths))
        s.marks.append(Mark("centre", s.panel.id, line.name, found[0], line.name, found[1], s.free_space.level))
        return True
    return False
