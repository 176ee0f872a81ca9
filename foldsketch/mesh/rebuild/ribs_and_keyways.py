"""Beside: what a section has more, or less, than a disc — ribs and lugs, keyways and flats — as plates."""

from __future__ import annotations

from typing import Any

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.mesh.rebuild.cross_sections import SectionLoop, SectionRun
from foldsketch.mesh.rebuild.section_shapes import (
    SectionCircle,
    SectionContext,
    SectionShape,
    circle_to_polygon,
    make_outline,
)


def rib_or_keyway_from_runs(
    loop: SectionLoop, circle: SectionCircle, piece: Any, less: bool, context: SectionContext
) -> SectionShape | None:
    """What a disc lacks or has more, from the corners of the loop there; None when the corners are not plain.

    A cut runs on straight, past the circle; a plate runs on into the disc, so that it holds there.
    """
    away = [k for k, run in enumerate(loop.runs) if run.owner != circle.feature_index]
    near = piece.buffer(max(20 * context.slack, 1e-3 * circle.r))
    mine = [k for k in away if _contains_point(near, loop.runs[k].points.mean(axis=0))]
    if not mine or len(mine) == len(loop.runs) or any(loop.runs[k].owner in context.left_out for k in mine):
        return None
    first = next((k for k in mine if (k - 1) % len(loop.runs) not in mine), mine[0])
    order = [(first + i) % len(loop.runs) for i in range(len(mine))]
    if sorted(order) != sorted(mine):
        return None
    steps = [_simplify_run(loop.runs[k], context) for k in order]
    chain = np.concatenate([steps[0], *(s[1:] for s in steps[1:])])
    middle = np.array([circle.x, circle.y])
    reach = 1.12 * circle.r if less else 0.75 * circle.r
    if less:
        ends = [
            _extend_to_circle(chain[1], chain[0], middle, reach),
            _extend_to_circle(chain[-2], chain[-1], middle, reach),
        ]
        if ends[0] is None or ends[1] is None:
            return None
        corners = np.vstack((ends[0][None, :], chain, ends[1][None, :]))
        corners = np.vstack((corners, _corners_around_circle(ends[1], ends[0], chain.mean(axis=0), middle, reach)))
    else:
        inner = [middle + (p - middle) * 0.75 for p in (chain[0], chain[-1])]
        corners = np.vstack((inner[0][None, :], chain, inner[1][None, :]))
    from shapely import Polygon

    shape = Polygon(corners)
    if not shape.is_valid or not shape.buffer(1e-6).covers(piece.buffer(-max(8 * context.slack, 2e-3 * circle.r))):
        return None
    return make_outline(shape, less != loop.hole, context)


def _contains_point(shape: Any, p: Array) -> bool:
    from shapely import Point

    return bool(shape.covers(Point(p[0], p[1])))


def _simplify_run(run: SectionRun, context: SectionContext) -> Array:
    """A run's corners: both ends of a straight one, steps of 15 degrees on a round one."""
    from shapely import LineString

    ring = context.circle_of(run.owner) if run.owner >= 0 else None
    tolerance = 4 * context.slack if ring is None else max(4 * context.slack, ring.r * (1 - np.cos(np.radians(7.5))))
    return np.array(LineString(run.points).simplify(max(tolerance, 1e-3)).coords)


def _extend_to_circle(a: Array, b: Array, middle: Array, tolerance: float) -> Array | None:
    """The point past b on the line from a where it leaves a circle of radius reach about middle."""
    d = (b - a) / max(float(np.hypot(*(b - a))), 1e-300)
    q = b - middle
    half = float(q @ d)
    level = half * half - float(q @ q) + tolerance * tolerance
    if level < 0:
        return None
    out: Array = b + (-half + np.sqrt(level)) * d
    return out


def _corners_around_circle(start: Array, stop: Array, by: Array, middle: Array, tolerance: float) -> Array:
    """Corners outside of a circle, from start round to stop on the side of a point, in steps of at most 40 degrees."""
    angles = [float(np.arctan2(*(p - middle)[::-1])) for p in (start, by, stop)]
    for sign in (1.0, -1.0):
        whole = (sign * (angles[2] - angles[0])) % (2 * np.pi)
        part = (sign * (angles[1] - angles[0])) % (2 * np.pi)
        if part <= whole:
            break
    n = max(1, int(np.ceil(whole / np.radians(40))))
    t = angles[0] + sign * whole * (np.arange(n) + 0.5) / n
    r = tolerance / np.cos(whole / n / 2)
    out: Array = middle + r * np.column_stack((np.cos(t), np.sin(t)))
    return out


def rib_or_keyway_from_polygons(
    polygon: Any, circle: SectionCircle, piece: Any, chord: float, less: bool, hole: bool, context: SectionContext
) -> SectionShape:
    """The same by way of polygons, where the corners are not plain."""
    if less:
        grown = piece.buffer(1.5 * chord + 0.02 * circle.r, join_style="mitre", mitre_limit=3.0)
        shape = piece.buffer(1e-9).union(grown.difference(circle_to_polygon(circle).buffer(-chord * 0.5)))
    else:
        inward = polygon.intersection(piece.buffer(max(3 * chord, 0.25 * circle.r), join_style="mitre"))
        shape = piece.buffer(1e-9).union(inward)
    return make_outline(shape, less != hole, context)
