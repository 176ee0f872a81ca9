"""Crosses, pin holes and letters where axes go through panels."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, hypot, pi, sin

import numpy as np

from foldsketch.base.arrays import Point
from foldsketch.geometry.polygon_loops import PolygonLoop, point_in_polygon, ray_distance
from foldsketch.net.marks.feature_labels import LABEL_HEIGHTS_MM
from foldsketch.net.marks.panel_view import PanelView, ScaledAxis, axes_through_panels
from foldsketch.net.model import Mark

PIN_HOLE_RADIUS_MM = 0.75
"""Radius of a pin hole, mm: a thin knitting needle or a cocktail stick pierces it to size."""

CROSS_EDGE_GAP_MM, MIN_CROSS_RAY_MM, MIN_CROSS_EDGE_GAP_MM = 3.25, 1.7, 1.2
"""The rays of a cross end so far from the edge of the panel, mm; where they would reach less far than the second of
these, the third: at the edge they would look like ticks."""

BORE_RAY_ANGLES_RAD = (0.8, 2.4, 3.9, 5.5)
"""Bearings, radians, of the four lines that point to a centre in a bore; between level and upright."""

_BORE_RAYS = [(cos(t), sin(t)) for t in BORE_RAY_ANGLES_RAD]

Centre = tuple[ScaledAxis, Point, PolygonLoop | None]
"""An axis that goes through a panel, where, and the hole that it goes through."""


def mark_centres(views: Sequence[PanelView], lines: Sequence[ScaledAxis]) -> list[list[Centre]]:
    """A cross and a pin hole for every axis that goes through a panel, lines round a bore; returns what is marked."""
    return [
        _mark_panel_centres(s, own) if own else []
        for s, own in zip(views, axes_through_panels(views, lines), strict=True)
    ]


def pierces_squarely(s: PanelView, line: ScaledAxis) -> bool:
    """Whether an axis goes through a panel at a right angle."""
    return abs(abs(float(line.direction @ s.normal)) - 1) < 1e-9


def _mark_panel_centres(s: PanelView, own: Sequence[tuple[ScaledAxis, Point]]) -> list[Centre]:
    seen: list[Point] = []
    centres: list[Centre] = []
    for line, p in own:
        if any(hypot(q[0] - p[0], q[1] - p[1]) < 1e-6 for q in seen):
            continue
        ring = next((h for h in s.loops[1:] if point_in_polygon(h, p)), None)
        if ring is None and not s.contains(p):
            continue
        seen.append(p)
        square = pierces_squarely(s, line)
        if square or ring is None:
            centres.append((line, p, ring))
        if ring is None:
            _draw_cross(s, line, p, square)
            s.marks.append(Mark("pin", s.panel.id, line.name, p, dots=((*p, PIN_HOLE_RADIUS_MM),)))
        elif square:
            _draw_bore_cross(s, line, p, ring)
    return centres


def _draw_cross(s: PanelView, line: ScaledAxis, p: Point, square: bool) -> None:
    """A centre cross around a pin hole; smaller where the axis goes through a side."""
    paths: list[tuple[Point, ...]] = []
    ux, uy = _paper_up(s)
    rays = ((ux, uy), (-uy, ux), (-ux, -uy), (uy, -ux))
    near = PIN_HOLE_RADIUS_MM + 0.3
    for dx, dy in rays:
        most = 5.0 if square else 2.0
        free = s.free_space.distance_to_edge(p, (dx, dy), most + CROSS_EDGE_GAP_MM)
        # The strip along the edge is left to its number, unless too little of the ray would remain.
        far = min(most - 0.4, free - CROSS_EDGE_GAP_MM)
        if far < MIN_CROSS_RAY_MM:
            far = min(most - 0.4, free - MIN_CROSS_EDGE_GAP_MM)
        # At the tip of a cone a ray may run off the panel at once.
        if far >= PIN_HOLE_RADIUS_MM + 0.6 and s.free_space.contains((p[0] + dx * near, p[1] + dy * near)):
            paths.append(((p[0] + dx * near, p[1] + dy * near), (p[0] + dx * far, p[1] + dy * far)))
    s.marks.append(Mark("centre", s.panel.id, line.name, p, paths=tuple(paths)))
    for path in paths:
        s.free_space.add_obstacle(path)
    r = PIN_HOLE_RADIUS_MM + 0.2
    s.free_space.add_obstacle(
        ((p[0] - r, p[1]), (p[0], p[1] + r), (p[0] + r, p[1]), (p[0], p[1] - r), (p[0] - r, p[1]))
    )


def _draw_bore_cross(s: PanelView, line: ScaledAxis, p: Point, ring: PolygonLoop) -> None:
    """For a centre in a bore: four short lines point to it from corners of the bore, between the edge numbers."""
    paths = []
    away = [(x, y, (x - p[0]) / far, (y - p[1]) / far) for x, y in ring if (far := hypot(x - p[0], y - p[1])) >= 0.5]
    # No corner where the axis runs along an edge.
    nearest = {max(range(len(away)), key=lambda k: away[k][2] * c + away[k][3] * t) for c, t in _BORE_RAYS if away}
    for k in sorted(nearest):
        x, y, dx, dy = away[k]
        x, y = x + 0.5 * dx, y + 0.5 * dy
        more = s.free_space.distance_to_edge((x, y), (dx, dy), 3.0)
        if more > 1.2:
            paths.append(((x, y), (x + dx * (more - 0.4), y + dy * (more - 0.4))))
    s.marks.append(Mark("centre", s.panel.id, line.name, p, paths=tuple(paths)))
    for path in paths:
        s.free_space.add_obstacle(path)


def _paper_up(s: PanelView) -> tuple[float, float]:
    """A direction on paper for crosses: the projection of a main direction of the part."""
    m = s.panel.to_space[:, :2].tolist()
    for axis in (1, 0, 2):
        x, y = m[axis]
        n = hypot(x, y)
        if n > 0.5:
            return (x / n, y / n)
    return (0.0, 1.0)


_NEAR_LETTER_SPOTS = [
    (r, cos(t), sin(t))
    for r in (0.0, 1.2, 2.5, 4.5)
    for t in (pi / 4, 3 * pi / 4, 5 * pi / 4, 7 * pi / 4, pi / 8, 5 * pi / 8, 9 * pi / 8, 13 * pi / 8)
]
"""Where a letter is tried: distance beyond its centre's cross, and the direction."""

LETTER_CLEARANCES_MM = (0.4, 0.12)
"""Clear paper around a letter, mm, and where there is no room for that on a small panel."""

MIN_LETTER_NEARNESS = 0.5
"""A letter is nearer to its centre than to another one by so much of their distance, if it can."""

_FAR_LETTER_SPOTS = [(r, cos(k * pi / 12), sin(k * pi / 12)) for r in (0.0, 1.2, 2.5, 4.5, 6.0, 7.5) for k in range(24)]
"""Where it is tried when none of those is free."""


def mark_letter(
    s: PanelView, line: ScaledAxis, p: Point, hole: PolygonLoop | None, others: Sequence[Point] = ()
) -> None:
    """The axis letter beside its centre, and clearly nearer to it than to the others on the panel, if it can."""
    start = 2.6
    if hole:
        start = max(ray_distance(hole, p, ray, 1e3) for ray in _BORE_RAYS) + 1.5
    for spots, sizes, clear in _letter_spots(p, start, others):
        found = s.free_space.place([line.name], sizes, 0.0, spots, clear) if spots else None
        if found:
            at, size = found
            s.marks.append(Mark("centre", s.panel.id, line.name, at, line.name, size))
            return


def _letter_spots(
    p: Point, start: float, others: Sequence[Point]
) -> Iterator[tuple[Sequence[Point], tuple[float, ...], float]]:
    """Where a letter is tried, how large and with how much clear paper around it, mm, one after another.

    Beside its own centre, farther away, small, wherever it is nearer to its own centre than elsewhere, and at last
    close to other lines.
    """
    clear, close = LETTER_CLEARANCES_MM
    large, middle, small = LABEL_HEIGHTS_MM
    near, far = (
        [(p[0] + (start + r) * c, p[1] + (start + r) * t) for r, c, t in ways]
        for ways in (_NEAR_LETTER_SPOTS, _FAR_LETTER_SPOTS)
    )
    shares = dict(zip(near, _nearness_ratios(near, p, others), strict=True))
    own = [at for at in near if shares[at] > MIN_LETTER_NEARNESS]
    yield own, (large, middle), clear
    shares |= zip(far, _nearness_ratios(far, p, others), strict=True)
    yield [at for at in far if shares[at] > MIN_LETTER_NEARNESS], (middle,), clear
    yield own, (small,), clear
    rest = sorted(near + far, key=lambda at: -round(shares[at], 6)) if others else near + far
    yield [at for at in rest if shares[at] <= MIN_LETTER_NEARNESS], (middle,), clear
    yield rest, (small,), clear
    yield [at for at in rest if shares[at] > 0], (small,), close


def _nearness_ratios(spots: Sequence[Point], p: Point, others: Sequence[Point]) -> list[float]:
    """How much nearer each place is to one centre than to any other, as a share of their distance: 1 to -1."""
    if not others:
        return [1.0] * len(spots)
    at, q = np.array(spots), np.array(others)
    own = np.hypot(*(at - p).T)[:, None]
    other = np.hypot(at[:, None, 0] - q[:, 0], at[:, None, 1] - q[:, 1])
    shares: list[float] = ((other - own) / np.hypot(*(q - p).T)).min(axis=1).tolist()
    return shares
