"""Crosses, pin holes and letters where axes go through panels."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, hypot, inf, pi, sin

import numpy as np

from foldsketch.base.arrays import Point
from foldsketch.geometry.polygon_loops import PolygonLoop, point_in_polygon, ray_distance
from foldsketch.net.marks.panel_view import PanelView, ScaledAxis, axes_through_panels
from foldsketch.net.model import Mark

PIN_HOLE_RADIUS_MM = 0.45
"""Radius of the dot at a centre, mm: there a thin knitting needle or a cocktail stick is pierced through."""

CROSS_RAY_MM, LARGE_CROSS_RAY_MM, LARGE_FACE_MM = 4.6, 8.0, 60.0
"""Length of a cross's rays, mm, and on a face of at least the last size, mm."""

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
    long = 0.4 + (LARGE_CROSS_RAY_MM if _breadth(s) >= LARGE_FACE_MM else CROSS_RAY_MM)
    for dx, dy in rays:
        most = long if square else 2.0
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


def _breadth(s: PanelView) -> float:
    """The smaller side of the box around a panel, mm."""
    return min(s.free_space.high[0] - s.free_space.low[0], s.free_space.high[1] - s.free_space.low[1])


AXIS_LETTER_HEIGHTS_MM = ((7.0, 60.0), (5.0, 24.0), (3.5, 0.0), (2.5, 0.0))
"""Capital heights that are tried for the letter of an axis, each from such a size of the face on, mm."""

MIN_LETTER_AT_HOLE_MM = 3.5
"""A letter beside a hole is no larger than the hole's radius, but this, mm."""

LETTER_BEARINGS = (1, 3, 7, 5, 0, 2, 6, 4)
"""Where a letter is tried, in eighths of a turn from the right on the page: at the upper right of its centre first."""

DATUM_BEARINGS = (6, 2, 1, 3, 7, 5, 0, 4)
"""The same for the datum axis among others: at the lower end of its centre line first."""

LETTER_STEPS_MM = (0.0, 1.2, 2.5, 4.5)
FAR_LETTER_STEPS_MM = (*LETTER_STEPS_MM, 6.0, 7.5)
"""How far beyond its centre's cross a letter is tried, mm; and when there is no place so near."""

MIN_LETTER_NEARNESS = 0.5
"""A letter is nearer to its centre than to another one by so much of their distance, if it can."""


def mark_letter(
    s: PanelView, line: ScaledAxis, p: Point, hole: PolygonLoop | None, others: Sequence[Point] = ()
) -> None:
    """The axis letter beside its centre, and clearly nearer to it than to the others on the panel, if it can."""
    start = 0.0
    if hole:
        start = max(ray_distance(hole, p, ray, 1e3) for ray in _BORE_RAYS)
    space = s.free_space
    datum = bool(others) and line.parallel and line.offset < 1e-9
    for spots, size in _letter_spots(s, p, start, others, datum):
        found = space.place([line.name], (size,), space.level, spots, clear=0.4) if spots else None
        if found:
            s.marks.append(Mark("centre", s.panel.id, line.name, found[0], line.name, size, space.level))
            return


def _letter_spots(
    s: PanelView, p: Point, start: float, others: Sequence[Point], datum: bool
) -> Iterator[tuple[Sequence[Point], float]]:
    """Where a letter is tried and how large, one after another.

    Beside its own centre, farther away, and then wherever it is nearer to its own centre than elsewhere.
    """
    breadth = _breadth(s)
    most = max(start, MIN_LETTER_AT_HOLE_MM) if start else inf
    sizes = [size for size, least in AXIS_LETTER_HEIGHTS_MM if breadth >= least and size <= most]
    rest: list[Point] = []

    def around(size: float, steps: Sequence[float], eighths: Sequence[float]) -> list[Point]:
        near = start + 0.75 * size + 1.0
        ways = [s.free_space.on_page(cos(k * pi / 4), sin(k * pi / 4)) for k in eighths]
        return [(p[0] + (near + r) * x, p[1] + (near + r) * y) for r in steps for x, y in ways]

    for size in sizes:
        for steps, eighths in (
            (LETTER_STEPS_MM, DATUM_BEARINGS if datum else LETTER_BEARINGS),
            (FAR_LETTER_STEPS_MM, [k / 3 for k in range(24)]),
        ):
            spots = around(size, steps, eighths)
            shares = _nearness_ratios(spots, p, others)
            yield [at for at, share in zip(spots, shares, strict=True) if share > MIN_LETTER_NEARNESS], size
            rest += [at for at, share in zip(spots, shares, strict=True) if share <= MIN_LETTER_NEARNESS]
    shares = _nearness_ratios(rest, p, others)
    yield [at for _, at in sorted(zip(shares, rest, strict=True), key=lambda v: -round(v[0], 6))], sizes[-1]


def _nearness_ratios(spots: Sequence[Point], p: Point, others: Sequence[Point]) -> list[float]:
    """How much nearer each place is to one centre than to any other, as a share of their distance: 1 to -1."""
    if not others or not spots:
        return [1.0] * len(spots)
    at, q = np.array(spots), np.array(others)
    own = np.hypot(*(at - p).T)[:, None]
    other = np.hypot(at[:, None, 0] - q[:, 0], at[:, None, 1] - q[:, 1])
    shares: list[float] = ((other - own) / np.hypot(*(q - p).T)).min(axis=1).tolist()
    return shares
