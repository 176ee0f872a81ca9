"""Area and moments of the material that a level plane cuts, exact for straight and circular edges."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from math import atan2, cos, hypot, pi, sin, sqrt

from foldsketch.part.mass.region import Arc, Edge, Region, Segment
from foldsketch.part.model import Point2

SectionMoments = tuple[float, float, float, float, float, float]
"""Integrals over a section of 1, x, y, x x, y y, x y: mm2, mm3, mm3, mm4, mm4, mm4."""

PROBE_OFFSET_SHARE = 1e-7
"""How far beside an edge the material is asked for, as a share of the size of the section."""

# Gauss-Legendre abscissae and weights on [-1, 1], 10 points: exact to degree 19 [Abramowitz & Stegun, table 25.4].
_GAUSS_ABSCISSAE = (0.1488743389816312, 0.4333953941292472, 0.6794095682990244, 0.8650633666889845, 0.9739065285171717)
_GAUSS_WEIGHTS = (0.2955242247147529, 0.2692667193099964, 0.2190863625159820, 0.1494513491505806, 0.0666713443086881)
GAUSS_POINTS = tuple((s * x, w) for x, w in zip(_GAUSS_ABSCISSAE, _GAUSS_WEIGHTS, strict=True) for s in (-1.0, 1.0))


def section_moments(layers: Sequence[tuple[Region, bool]]) -> SectionMoments:
    """Moments of regions laid one after the other; True for one that takes material away."""
    sums = [0.0] * 6
    for e, forward in material_boundary(layers):
        for k, v in enumerate(_segment_moments(e) if isinstance(e, Segment) else _arc_moments(e)):
            sums[k] += v if forward else -v
    return (sums[0], sums[1], sums[2], sums[3], sums[4], sums[5])


def material_boundary(layers: Sequence[tuple[Region, bool]]) -> list[tuple[Edge, bool]]:
    """The edges of the material, cut where they meet; False for one that has the material on its right."""
    edges = [e for region, _ in layers for e in region.all_edges()]
    size = max((_largest_coordinate(e) for e in edges), default=1.0)
    if len(layers) == 1 and not layers[0][0].holes:
        return [] if layers[0][1] else [(e, True) for e in edges]
    kept: list[tuple[Edge, bool]] = []
    seen: set[tuple[int, int]] = set()
    boxes = [_bounding_box(e) for e in edges]
    air = 1e-9 * size
    for k, e in enumerate(edges):
        x0, y0, x1, y1 = boxes[k]
        near = [
            o
            for j, (o, b) in enumerate(zip(edges, boxes, strict=True))
            if j != k and b[0] <= x1 + air and b[2] >= x0 - air and b[1] <= y1 + air and b[3] >= y0 - air
        ]
        for piece in _split_at_intersections(e, near):
            (x, y), (nx, ny) = _midpoint_and_normal(piece)
            d = PROBE_OFFSET_SHARE * size
            left = _is_material(layers, x + nx * d, y + ny * d)
            right = _is_material(layers, x - nx * d, y - ny * d)
            if left == right:
                continue
            place = (round(x / size * 1e9), round(y / size * 1e9))
            if any((place[0] + i, place[1] + j) in seen for i in (-1, 0, 1) for j in (-1, 0, 1)):
                continue  # two features share this edge
            seen.add(place)
            kept.append((piece, left))
    return kept


def _largest_coordinate(e: Edge) -> float:
    if isinstance(e, Segment):
        return max(abs(v) for v in (*e.a, *e.b))
    return max(abs(e.centre[0]), abs(e.centre[1])) + e.radius


def _bounding_box(e: Edge) -> tuple[float, float, float, float]:
    """A box around an edge: the whole circle for an arc."""
    if isinstance(e, Segment):
        (ax, ay), (bx, by) = e.a, e.b
        return min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)
    (x, y), r = e.centre, e.radius
    return x - r, y - r, x + r, y + r


def _is_material(layers: Sequence[tuple[Region, bool]], x: float, y: float) -> bool:
    for region, cut in reversed(layers):
        if region.has(x, y):
            return not cut
    return False


def _midpoint_and_normal(e: Edge) -> tuple[Point2, Point2]:
    """The middle of an edge and the unit normal to its left."""
    if isinstance(e, Segment):
        dx, dy = e.b[0] - e.a[0], e.b[1] - e.a[1]
        n = hypot(dx, dy)
        return ((e.a[0] + e.b[0]) / 2, (e.a[1] + e.b[1]) / 2), (-dy / n, dx / n)
    t = e.start + e.sweep / 2
    return (e.centre[0] + e.radius * cos(t), e.centre[1] + e.radius * sin(t)), (-cos(t), -sin(t))


def _split_at_intersections(e: Edge, others: Sequence[Edge]) -> list[Edge]:
    """An edge cut at every point where another one meets it."""
    points = [p for o in others for p in _intersections(e, o)]
    if isinstance(e, Segment):
        dx, dy = e.b[0] - e.a[0], e.b[1] - e.a[1]
        n = hypot(dx, dy)
        shares = sorted({((p[0] - e.a[0]) * dx + (p[1] - e.a[1]) * dy) / (n * n) for p in points})
        cuts = [0.0, *(s for s in shares if 1e-12 < s < 1 - 1e-12), 1.0]
        at = [(e.a[0] + dx * s, e.a[1] + dy * s) for s in cuts]
        return [Segment(p, q) for p, q, s, t in zip(at, at[1:], cuts, cuts[1:], strict=False) if (t - s) * n > 1e-12]
    turns = sorted({(atan2(p[1] - e.centre[1], p[0] - e.centre[0]) - e.start) % (2 * pi) for p in points})
    inner = [t for t in turns if 1e-12 < t < e.sweep - 1e-12]
    cuts = [0.0, *inner, e.sweep]
    return [
        Arc(e.centre, e.radius, e.start + s, t - s) for s, t in itertools.pairwise(cuts) if (t - s) * e.radius > 1e-12
    ]


def _intersections(a: Edge, b: Edge) -> list[Point2]:
    """Points where the lines or circles of two edges meet (beyond their ends too); ends of b that lie on a."""
    found: list[Point2] = []
    if isinstance(a, Segment) and isinstance(b, Segment):
        dx, dy = a.b[0] - a.a[0], a.b[1] - a.a[1]
        ux, uy = b.b[0] - b.a[0], b.b[1] - b.a[1]
        cross = dx * uy - dy * ux
        if abs(cross) > 1e-12 * hypot(dx, dy) * hypot(ux, uy):
            s = ((b.a[0] - a.a[0]) * uy - (b.a[1] - a.a[1]) * ux) / cross
            found.append((a.a[0] + dx * s, a.a[1] + dy * s))
        else:
            found += [b.a, b.b]
        return found
    if isinstance(a, Arc) and isinstance(b, Arc):
        dx, dy = b.centre[0] - a.centre[0], b.centre[1] - a.centre[1]
        d = hypot(dx, dy)
        if d < 1e-12 * (a.radius + b.radius):
            return [
                (b.centre[0] + b.radius * cos(t), b.centre[1] + b.radius * sin(t)) for t in (b.start, b.start + b.sweep)
            ]
        along = (d * d + a.radius**2 - b.radius**2) / (2 * d)
        high = a.radius**2 - along**2
        if high < 0:
            return []
        h = sqrt(high)
        x, y = a.centre[0] + dx / d * along, a.centre[1] + dy / d * along
        return [(x - dy / d * h, y + dx / d * h), (x + dy / d * h, y - dx / d * h)]
    line, arc = (a, b) if isinstance(a, Segment) else (b, a)
    assert isinstance(line, Segment) and isinstance(arc, Arc)
    dx, dy = line.b[0] - line.a[0], line.b[1] - line.a[1]
    n = hypot(dx, dy)
    along = ((arc.centre[0] - line.a[0]) * dx + (arc.centre[1] - line.a[1]) * dy) / n
    away = ((arc.centre[1] - line.a[1]) * dx - (arc.centre[0] - line.a[0]) * dy) / n
    high = arc.radius**2 - away**2
    if high < 0:
        return []
    h = sqrt(high)
    return [(line.a[0] + dx / n * (along + s), line.a[1] + dy / n * (along + s)) for s in (-h, h)]


def _segment_moments(e: Segment) -> SectionMoments:
    """Line integrals of Green's theorem along a straight edge; two Gauss points are exact for cubics."""
    (ax, ay), (bx, by) = e.a, e.b
    dx, dy = bx - ax, by - ay
    g = 1 / sqrt(3)
    sums = [0.0] * 6
    for s in ((1 - g) / 2, (1 + g) / 2):
        _add_line_integrals(sums, ax + dx * s, ay + dy * s, dx / 2, dy / 2)
    return (sums[0], sums[1], sums[2], sums[3], sums[4], sums[5])


def _arc_moments(e: Arc) -> SectionMoments:
    sums = [0.0] * 6
    parts = max(1, round(e.sweep / (pi / 2) + 0.49))
    half = e.sweep / parts / 2
    for k in range(parts):
        middle = e.start + (2 * k + 1) * half
        for x, w in GAUSS_POINTS:
            t = middle + half * x
            c, s = e.radius * cos(t), e.radius * sin(t)
            _add_line_integrals(sums, e.centre[0] + c, e.centre[1] + s, -s * w * half, c * w * half)
    return (sums[0], sums[1], sums[2], sums[3], sums[4], sums[5])


def _add_line_integrals(sums: list[float], x: float, y: float, dx: float, dy: float) -> None:
    sums[0] += (x * dy - y * dx) / 2
    sums[1] += x * x * dy / 2
    sums[2] -= y * y * dx / 2
    sums[3] += x * x * x * dy / 3
    sums[4] -= y * y * y * dx / 3
    sums[5] += x * x * y * dy / 2
