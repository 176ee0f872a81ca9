"""Arrows from the datum axis to offset axes, with distance and angle."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, cos, dist, hypot, pi, sin

from foldsketch.base.arrays import Point
from foldsketch.base.units import normalized_degrees
from foldsketch.net.marks.axis_centres import PIN_HOLE_RADIUS_MM, Centre
from foldsketch.net.marks.dimension_text import length_text
from foldsketch.net.marks.feature_labels import PieceKeys, add_key_entry
from foldsketch.net.marks.panel_view import PanelView, ScaledAxis, intersect_panel_plane
from foldsketch.net.model import Mark
from foldsketch.solid.faceting.facet import FacetedPart

MIN_ARROW_LENGTH_MM = 2.5
"""An arrow no longer than this, mm, is not drawn."""

Arrow = tuple[ScaledAxis, Point, Point]
"""The axis that an arrow points to, its tip and its tail."""


def mark_arrows(s: PanelView, centres: Sequence[Centre], base: ScaledAxis) -> list[Arrow]:
    """Arrows from the datum axis to the centres on the panel."""
    shown = [c for c in centres if c[0].parallel and c[0].offset > 1e-9]
    if sum(1 for c in shown if not c[0].adds_material) > 3:
        shown = [c for c in shown if c[0].adds_material]
    if not shown:
        return []
    start = intersect_panel_plane(s, base)
    if start is None:
        return []
    return [_draw_arrow(s, line, start, p) for line, p, _ in shown]


def _draw_arrow(s: PanelView, line: ScaledAxis, start: Point, end: Point) -> Arrow:
    """From the datum axis to an offset centre, as far as it is on the panel."""
    total = hypot(end[0] - start[0], end[1] - start[1])
    d = ((start[0] - end[0]) / total, (start[1] - end[1]) / total)
    gap = PIN_HOLE_RADIUS_MM + 0.5
    inside = s.free_space.contains(end)
    first = gap
    if not inside:
        first = s.free_space.distance_to_edge(end, d, total) + 0.5
    probe = (end[0] + d[0] * first, end[1] + d[1] * first)
    length = s.free_space.distance_to_edge(probe, d, max(0.0, total - first - gap))
    if length < total - first - gap - 1e-6:
        length -= 0.5
    along = atan2(-d[1], -d[0])
    if length > MIN_ARROW_LENGTH_MM:
        tip, tail = probe, (probe[0] + d[0] * length, probe[1] + d[1] * length)
        head = min(2.2, length / 2)
        barbs = [(tip[0] + head * cos(along + pi + a), tip[1] + head * sin(along + pi + a)) for a in (0.26, -0.26)]
        s.marks.append(Mark("offset", s.panel.id, line.name, tip, paths=((tail, tip), (barbs[0], tip, barbs[1]))))
        s.free_space.add_obstacle((tail, tip))
        s.free_space.add_obstacle((barbs[0], tip, barbs[1]))
    else:
        tip, tail = probe, (probe[0] + d[0] * max(length, 0.0), probe[1] + d[1] * max(length, 0.0))
    return line, tip, tail


def is_drawn(arrow: Arrow) -> bool:
    """Whether an arrow is long enough to be drawn."""
    (_, tip, tail) = arrow
    return hypot(tip[0] - tail[0], tip[1] - tail[1]) > MIN_ARROW_LENGTH_MM


_ARROW_TEXT_OFFSETS = [
    (k, m) for k in (2.2, -2.2, 3.0, -3.0, 4.5, -4.5, 6.5, -6.5) for m in (0.0, 3.0, -3.0, 6.0, -6.0)
]
"""Where the words of an arrow are tried: to its left, and back along it."""


def mark_offset_beside_arrow(s: PanelView, arrow: Arrow, text: str, others: Sequence[Arrow]) -> bool:
    """Write distance and angle beside their arrow; False where they do not fit, or there is no arrow.

    others: drawn on the panel as well; the axis is named then, and the words are nearer to their own arrow than to any.
    """
    line, tip, tail = arrow
    if not is_drawn(arrow):
        return False
    along = atan2(tip[1] - tail[1], tip[0] - tail[0])
    c, t = cos(along), sin(along)
    upright = along if -pi / 2 < along <= pi / 2 else along + pi
    x, y = (tip[0] + tail[0]) / 2, (tip[1] + tail[1]) / 2
    near = [(x - k * t - m * c, y + k * c - m * t) for k, m in _ARROW_TEXT_OFFSETS]
    near = [at for at in near if all(_distance(at, arrow) < _distance(at, other) for other in others)]
    words = f"{line.name}: {text}" if others else text
    found = s.free_space.place([words], (2.5, 1.8), upright, near, clear=0.4) if near else None
    if found:
        at, size = found
        s.marks.append(Mark("offset", s.panel.id, line.name, at, words, size, upright))
    return found is not None


def _distance(p: Point, arrow: Arrow) -> float:
    """Of a point from the line of an arrow, or from its tip if it is not drawn, mm."""
    _, tip, tail = arrow
    if not is_drawn(arrow):
        return dist(p, tip)
    (ax, ay), ux, uy = tip, tail[0] - tip[0], tail[1] - tip[1]
    share = min(1.0, max(0.0, ((p[0] - ax) * ux + (p[1] - ay) * uy) / (ux * ux + uy * uy)))
    return hypot(p[0] - ax - share * ux, p[1] - ay - share * uy)


_NEAR_TIP_SPOTS = [(r * cos(k * pi / 12), r * sin(k * pi / 12)) for r in range(3, 31, 3) for k in range(24)]
"""Where words are tried around the tip of an arrow, mm."""


def mark_offset_elsewhere(s: PanelView, arrow: Arrow, text: str, keys: PieceKeys, others: Sequence[Arrow]) -> None:
    """Write distance and angle elsewhere on the panel, or in the key.

    others: arrows drawn on the panel as well; the axis is named then, and the words are nearer to its own.
    """
    line, (x, y), _ = arrow
    words = text if is_drawn(arrow) and not others else f"{line.name}: {text}"
    level = None if others else s.free_space.place_level([words], (2.5, 1.8))
    near = [(x + dx, y + dy) for dx, dy in _NEAR_TIP_SPOTS] if others else []
    near = [at for at in near if all(_distance(at, arrow) < _distance(at, other) for other in others)]
    for angle in (0.0, pi / 2) if near else ():
        found = s.free_space.place([words], (2.5, 1.8), angle, near, clear=0.4)
        if found:
            level = (*found, angle)
            break
    if level:
        at, size, angle = level
        s.marks.append(Mark("offset", s.panel.id, line.name, at, words, size, angle))
    else:
        add_key_entry(s, f"axis {line.name}: {text}", keys)


def offset_text(faceted: FacetedPart, line: ScaledAxis) -> str:
    """How far an axis is from the datum axis, and where."""
    return f"{length_text(line.offset, faceted.part.units)} at {_angle_text(line.angle)}"


def _angle_text(angle: float) -> str:
    value = round(normalized_degrees(angle), 2) % 360
    return f"{value:g}°"
