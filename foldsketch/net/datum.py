"""What ties features together on paper: the datum line and its ticks, and the outlines of joints."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

import numpy as np

from foldsketch.net.marked import Line, Sheeted, pierce, point
from foldsketch.net.model import Array, Mark, Point
from foldsketch.solid.blocks import Joint, Solids
from foldsketch.solid.facet import Faceted


def mark_joint(
    faceted: Faceted,
    solids: Solids,
    joint: Joint,
    by_face: dict[tuple[int, int], Sheeted],
    lines: Sequence[Line],
    datum: Array,
) -> None:
    """The outline of the smaller face on the larger one that receives it, with its datum tick."""
    one, two = (by_face[b, f] for b, f in zip(joint.blocks, joint.faces, strict=True))
    own, other = (one, two) if one.area >= two.area else (two, one)
    back = faceted.turn.T
    loops = [own.flat(ring @ back) for ring in (joint.outline, *joint.holes)]
    feature = faceted.prisms[solids.blocks[other.block].features[0]].feature
    if abs(own.area - other.area) > 0.5:
        paths = tuple(tuple((float(x), float(y)) for x, y in (*loop, loop[0])) for loop in loops)
        own.marks.append(Mark("outline", own.panel.id, feature.axis, point(loops[0].mean(axis=0)), paths=paths))
        own.room.cover(paths[0][:-1])
        for path in paths:
            own.room.bar(path)
    line = next((x for x in lines if x.name == feature.axis), None)
    if line is not None and line.parallel:
        centre = pierce(own, line)
        if centre is not None:
            _tick(own, loops[0], centre, datum, line.name)


def _tick(s: Sheeted, loop: Array, centre: Point, datum: Array, axis: str) -> None:
    """A short line at the edge of a loop where the datum line from its centre leaves it."""
    toward = datum @ s.panel.to_space[:, :2]
    far = _leave(loop, centre, toward)
    if far is None:
        return
    reach = min(3.0, far * 0.5)
    a = (centre[0] + toward[0] * (far - reach), centre[1] + toward[1] * (far - reach))
    b = (centre[0] + toward[0] * far, centre[1] + toward[1] * far)
    _draw(s, axis, ((float(a[0]), float(a[1])), (float(b[0]), float(b[1]))), 1)


def _draw(s: Sheeted, axis: str, path: tuple[Point, Point], at: int) -> None:
    s.marks.append(Mark("datum", s.panel.id, axis, path[at], paths=(path,)))
    s.room.bar(path)
    s.dated = True


def _leave(loop: Array, start: Point, toward: Array) -> float | None:
    """Distance along a ray at which it last crosses a loop; None when it never does."""
    a, b = loop - np.array(start), np.roll(loop, -1, axis=0) - np.array(start)
    side_a, side_b = (toward[0] * p[:, 1] - toward[1] * p[:, 0] for p in (a, b))
    across = (side_a > 0) != (side_b > 0)
    if not across.any():
        return None
    a, b, p, q = a[across], b[across], side_a[across], side_b[across]
    at = a + (b - a) * (p / (p - q))[:, None]
    along = at @ toward
    return float(along.max()) if along.max() > 0.5 else None


def mark_datum(sheeted: Sequence[Sheeted], own: dict[str, Line], datum: Array) -> None:
    """The datum line: along the middle of the sides that face the datum direction, and a tick on the ends.

    own: feature -> the axis it is on.
    """
    sides: dict[str, list[Sheeted]] = {}
    for s in sheeted:
        line = own.get(s.panel.feature)
        if line is None or not line.parallel:
            continue
        if s.panel.kind != "end":
            sides.setdefault(line.name, []).append(s)
            continue
        p = pierce(s, line)
        if p is not None and not any(m.kind == "datum" and m.axis == line.name for m in s.marks):
            _tick(s, s.panel.outline, p, datum, line.name)
    by_name = {x.name: x for x in own.values()}
    for name, panels in sides.items():
        _datum_lines(panels, by_name[name], datum)


def _datum_lines(panels: Sequence[Sheeted], line: Line, datum: Array) -> None:
    """The datum line of one axis on all of its side panels."""
    d = line.direction
    across = np.array([datum[1] * d[2] - datum[2] * d[1], datum[2] * d[0] - datum[0] * d[2],
                       datum[0] * d[1] - datum[1] * d[0]])  # fmt: skip
    basis = np.array([across, datum])
    # Level above the datum plane and distance toward the datum, for every corner of every panel.
    turn = np.array([s.panel.to_space[:, :2] for s in panels])
    place = np.array([s.panel.origin for s in panels]) - line.point
    shares, bases = basis @ turn, place @ basis.T
    for s, share, base in zip(panels, shares, bases, strict=True):
        level, facing = (share @ s.panel.outline.T + base[:, None]).tolist()
        if max(level) <= 0 or min(level) > 0 or max(facing) <= 0:
            continue
        corners = s.panel.outline
        ends: list[Point] = []
        n = len(level)
        for i in range(n):
            j = (i + 1) % n
            if (level[i] > 0) != (level[j] > 0):
                k = level[i] / (level[i] - level[j])
                if facing[i] + (facing[j] - facing[i]) * k > 0:
                    ends.append(point(corners[i] + (corners[j] - corners[i]) * k))
        if len(ends) == 2 and hypot(ends[0][0] - ends[1][0], ends[0][1] - ends[1][1]) >= 0.5:
            _draw(s, line.name, (ends[0], ends[1]), 0)
