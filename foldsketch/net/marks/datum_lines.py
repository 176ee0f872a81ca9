"""What ties blocks together on paper: ticks in the datum direction, and the outlines of joints."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from itertools import pairwise
from math import dist

import numpy as np

from foldsketch.base.arrays import Array, Point
from foldsketch.base.vector import cross
from foldsketch.geometry.polygon_loops import PolygonLoop
from foldsketch.net.marks.panel_view import PanelView, ScaledAxis, intersect_panel_plane
from foldsketch.net.model import Mark
from foldsketch.solid.faceting.facet import FacetedPart
from foldsketch.solid.joining.blocks import Solids
from foldsketch.solid.joining.joints import Joint

TICK_LENGTH_MM, MAX_WALL_TICK_SHARE = 3.2, 0.4
"""Length of a datum tick, mm; and the share of a wall that it takes at most."""

ON_LEVEL_MM = 1e-3
"""An edge of a wall is at a level when it is nearer than this, mm."""

TICK_OPENING_GAP_MM, MIN_TICK_LENGTH_MM = 0.5, 0.8
"""A tick stays so far from an opening, mm, for over its edge it would look like a cut; unless less than so much of it
would be left, mm: then it is drawn as ever."""


def mark_joint_outline(
    faceted: FacetedPart,
    solids: Solids,
    joint: Joint,
    by_face: dict[tuple[int, int], PanelView],
    lines: Sequence[ScaledAxis],
    datum: Array,
) -> tuple[int, ...]:
    """The outline of the smaller face on the larger one that receives it, with its datum tick.

    Returns the blocks whose walls need a tick there: that which stands on the other, or both where they are flush.
    """
    there = [by_face[key] for key in zip(joint.blocks, joint.faces, strict=True) if key in by_face]
    own = max(there, key=lambda s: s.area)
    other = joint.blocks[0] if own.block == joint.blocks[1] else joint.blocks[1]
    back = faceted.rotation_to_part.T
    outlined = any(abs(own.area - s.area) > 0.5 for s in there) or len(there) == 1
    loops: list[PolygonLoop] = [own.to_paper(ring @ back).tolist() for ring in (joint.outline, *joint.holes)]
    feature = faceted.prisms[solids.blocks[other].features[0]].feature
    if outlined:
        paths = tuple(tuple((x, y) for x, y in (*loop, loop[0])) for loop in loops)
        x, y = (sum(v) / len(loops[0]) for v in zip(*loops[0], strict=True))
        # What runs along an edge of the panel is cut or creased there, which a line on top of it would hide.
        drawn = tuple(run for path in paths for run in _parts_off_edges(path, own.loops))
        own.marks.append(Mark("outline", own.panel.id, feature.axis, (x, y), paths=drawn))
        own.free_space.hide_area(paths[0][:-1])
        for path in drawn:
            own.free_space.add_obstacle(path)
    line = next((x for x in lines if x.name == feature.axis), None)
    if line is not None and line.parallel:
        centre = intersect_panel_plane(own, line)
        if centre is not None:
            _draw_tick(own, loops[0], centre, datum, line.name, outlined)
    return (other,) if outlined else joint.blocks


def _parts_off_edges(path: Sequence[Point], loops: Sequence[PolygonLoop]) -> list[tuple[Point, ...]]:
    """The parts of a closed line that do not run along the edges of loops."""
    points = np.array(path)
    a = np.concatenate([np.array(loop, dtype=float) for loop in loops])
    b = np.concatenate([np.roll(np.array(loop, dtype=float), -1, axis=0) for loop in loops])
    apart = (np.hypot(*(points[:, None] - end).transpose(2, 0, 1)) for end in (a, b))
    beside = sum(apart) < np.hypot(*(b - a).T) + 1e-9
    edged = (beside[:-1] & beside[1:]).any(axis=1).tolist()
    runs: list[list[Point]] = []
    for k, (p, q) in enumerate(pairwise(path)):
        if edged[k]:
            continue
        if k == 0 or edged[k - 1]:
            runs.append([p])
        runs[-1].append(q)
    if len(runs) > 1 and runs[0][0] == runs[-1][-1]:
        runs[0] = runs.pop()[:-1] + runs[0]
    return [tuple(run) for run in runs]


def _draw_tick(s: PanelView, loop: PolygonLoop, centre: Point, datum: Array, axis: str, beyond: bool = False) -> None:
    """A short line at the edge of a loop where the datum line from its centre leaves it.

    beyond: outside the loop if there is room, for what is glued onto it would hide it inside.
    """
    dx, dy = (datum @ s.panel.to_space[:, :2]).tolist()
    far = _last_crossing(loop, centre, (dx, dy))
    if far is None:
        return
    near = far - min(TICK_LENGTH_MM, far * 0.5)
    crossed = [t for own in s.loops for t in _crossings(own, centre, (dx, dy))]
    x, y = centre
    ahead = min((t for t in crossed if t > far + 1e-6), default=far) - far - TICK_OPENING_GAP_MM
    if beyond and ahead >= MIN_TICK_LENGTH_MM:
        end = far + min(TICK_LENGTH_MM, ahead)
        _add_datum_mark(s, axis, ((x + dx * far, y + dy * far), (x + dx * end, y + dy * end)), 0)
        return
    edges = [t for t in crossed if t < far - 1e-6]
    strip = far - max(edges, default=0.0)  # what is left of the panel there, beside an opening or a notch
    if strip - TICK_OPENING_GAP_MM >= MIN_TICK_LENGTH_MM:
        near = max(near, far - strip + TICK_OPENING_GAP_MM)
    _add_datum_mark(s, axis, ((x + dx * near, y + dy * near), (x + dx * far, y + dy * far)), 1)


def _add_datum_mark(s: PanelView, axis: str, path: tuple[Point, Point], at: int) -> None:
    s.marks.append(Mark("datum", s.panel.id, axis, path[at], paths=(path,)))
    s.free_space.add_obstacle(path)
    s.has_datum_mark = True


def _last_crossing(loop: PolygonLoop, start: Point, toward: Point) -> float | None:
    """Distance, above 0.5 mm, along a ray at which it last crosses a loop; None when it never does."""
    return max((t for t in _crossings(loop, start, toward) if t > 0.5), default=None)


def _crossings(loop: PolygonLoop, start: Point, toward: Point) -> list[float]:
    """Distances along a line, to both sides of its start, at which it crosses a loop."""
    x, y = start
    dx, dy = toward
    found = []
    ax, ay = loop[-1]
    u = dx * (ay - y) - dy * (ax - x)
    for bx, by in loop:
        v = dx * (by - y) - dy * (bx - x)
        if (u > 0) != (v > 0):
            a, b = (ax - x) * dx + (ay - y) * dy, (bx - x) * dx + (by - y) * dy
            found.append(a + (b - a) * (u / (u - v)))
        ax, ay, u = bx, by, v
    return found


def mark_datum(
    views: Sequence[PanelView],
    own: dict[str, ScaledAxis],
    datum: Array,
    walls: Container[str],
    loose: Mapping[int, Sequence[Array]],
) -> None:
    """Ticks in the datum direction: on the ends, and on walls where they are glued to another block or to a loose end.

    own: feature -> the axis it is on; walls: features whose walls are outside; loose: block -> levels of those edges,
    each (4,) as a normal and its height, mm.
    """
    sides: list[tuple[PanelView, ScaledAxis]] = []
    for s in views:
        line = own.get(s.panel.feature)
        if line is None or not line.parallel:
            continue
        if s.panel.kind != "end":
            if s.panel.feature in walls:
                sides.append((s, line))
            continue
        p = intersect_panel_plane(s, line)
        if p is not None and not any(m.kind == "datum" and m.axis == line.name for m in s.marks):
            _draw_tick(s, s.loops[0], p, datum, line.name)
    if sides:
        _draw_wall_ticks(sides, datum, loose)


def _draw_wall_ticks(
    sides: Sequence[tuple[PanelView, ScaledAxis]], datum: Array, loose: Mapping[int, Sequence[Array]]
) -> None:
    """Ticks on side panels, each with its axis."""
    across = cross(np.broadcast_to(datum, (len(sides), 3)), np.array([line.direction for _, line in sides]))
    turn = np.array([s.panel.to_space[:, :2] for s, _ in sides])
    place = np.array([s.panel.origin for s, _ in sides]) - np.array([line.point for _, line in sides])
    # Level above the datum plane and distance toward the datum, for every corner of every panel.
    size = np.array([len(s.panel.outline) for s, _ in sides])
    which = np.repeat(np.arange(len(sides)), size)
    corners = np.concatenate([s.panel.outline for s, _ in sides])
    level = (corners * (across[:, None] @ turn)[which, 0]).sum(axis=1) + (place * across).sum(axis=1)[which]
    facing = (corners * (datum @ turn)[which]).sum(axis=1) + (place @ datum)[which]
    first = np.cumsum(size) - size
    low, high = np.minimum.reduceat(level, first), np.maximum.reduceat(level, first)
    for k in np.nonzero((low <= 0) & (high > 0) & (np.maximum.reduceat(facing, first) > 0))[0].tolist():
        part = slice(first[k], first[k] + size[k])
        s, line = sides[k]
        ends = _datum_plane_crossings(s.loops[0], level[part].tolist(), facing[part].tolist())
        if len(ends) != 2 or dist(*ends) < 0.5:
            continue
        for p, q in (ends, ends[::-1]):
            foot = s.panel.in_space(np.array([p]))[0]
            if any(abs(float(level[:3] @ foot) - level[3]) < ON_LEVEL_MM for level in loose.get(s.block, ())):
                share = min(TICK_LENGTH_MM, MAX_WALL_TICK_SHARE * dist(p, q)) / dist(p, q)
                _add_datum_mark(s, line.name, (p, (p[0] + (q[0] - p[0]) * share, p[1] + (q[1] - p[1]) * share)), 0)


def _datum_plane_crossings(loop: PolygonLoop, level: Sequence[float], facing: Sequence[float]) -> list[Point]:
    """Where an outline goes through the datum plane on the side that faces the datum. level, facing: of its corners."""
    ends: list[Point] = []
    for i, (x, y) in enumerate(loop):
        j = (i + 1) % len(loop)
        if (level[i] > 0) != (level[j] > 0):
            k = level[i] / (level[i] - level[j])
            if facing[i] + (facing[j] - facing[i]) * k > 0:
                ends.append((x + (loop[j][0] - x) * k, y + (loop[j][1] - y) * k))
    return ends
