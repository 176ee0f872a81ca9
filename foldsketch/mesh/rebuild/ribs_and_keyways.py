"""Ribs and keyways: what a section has more, or less, than a disc (ribs, lugs, keyways, flats), as plates."""

from __future__ import annotations

from collections.abc import Sequence
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

CUT_OVERRUN_RATIO, RIB_ROOT_RATIO = 1.12, 0.75
"""Radius up to which a cut goes past its disc, and down to which a rib goes into it, over that of the disc."""

MAX_ARC_STEP_RAD = np.radians(15)
"""Largest step in which an arc is drawn."""


def rib_or_keyway_from_runs(
    loop: SectionLoop, circle: SectionCircle, piece: Any, less: bool, context: SectionContext
) -> SectionShape | None:
    """What a disc has more, or less, by the corners of the loop there; None when the corners are not plain.

    A cut continues straight, past the circle; a plate continues into the disc, so that it holds there.
    """
    chain = _corners_of_piece(loop, circle, piece, context)
    if chain is None:
        return None
    middle = np.array([circle.x, circle.y])
    if less:
        reach = CUT_OVERRUN_RATIO * circle.r
        start = _extend_to_circle(chain[1], chain[0], middle, reach)
        stop = _extend_to_circle(chain[-2], chain[-1], middle, reach)
        if start is None or stop is None:
            return None
        around = _corners_around_circle(stop, start, chain.mean(axis=0), middle, reach)
        corners = np.vstack((start, chain, stop, around))
    else:
        roots = middle + (chain[[0, -1]] - middle) * RIB_ROOT_RATIO
        corners = np.vstack((roots[0], chain, roots[1]))
    from shapely import Polygon

    shape = Polygon(corners)
    core = piece.buffer(-max(8 * context.slack, 2e-3 * circle.r))
    if not shape.is_valid or not shape.buffer(1e-6).covers(core):
        return None
    return make_outline(shape, less != loop.hole, context)


def _corners_of_piece(loop: SectionLoop, circle: SectionCircle, piece: Any, context: SectionContext) -> Array | None:
    """Corners (n, 2) of the runs of a loop that bound a piece beside a circle, in order.

    None where these are not one stretch, or have roundings that are left out.
    """
    import shapely

    runs, count = loop.runs, len(loop.runs)
    near = piece.buffer(max(20 * context.slack, 1e-3 * circle.r))
    mine = [
        k
        for k, run in enumerate(runs)
        if run.owner != circle.feature_index and shapely.intersects_xy(near, *run.points.mean(axis=0))
    ]
    if not mine or len(mine) == count or any(runs[k].owner in context.left_out for k in mine):
        return None
    first = next((k for k in mine if (k - 1) % count not in mine), mine[0])
    order = [(first + i) % count for i in range(len(mine))]
    if sorted(order) != mine:
        return None
    steps = [simplify_run(runs[k], context) for k in order]
    return np.concatenate([steps[0], *(s[1:] for s in steps[1:])])


def simplify_run(run: SectionRun, context: SectionContext) -> Array:
    """A run's corners (n, 2): both ends of a straight one, steps of at most 15 degrees on a round one."""
    from shapely import LineString

    circle = context.circle_of(run.owner)
    sagitta = 0.0 if circle is None else circle.r * (1 - np.cos(MAX_ARC_STEP_RAD / 2))
    return np.array(LineString(run.points).simplify(max(4 * context.slack, sagitta, 1e-3)).coords)


def _extend_to_circle(a: Array, b: Array, middle: Array, radius: float) -> Array | None:
    """The point past b on the line from a where it leaves a circle of some radius about a middle."""
    d = (b - a) / max(float(np.hypot(*(b - a))), 1e-300)
    q = b - middle
    half = float(q @ d)
    level = half * half - float(q @ q) + radius * radius
    if level < 0:
        return None
    out: Array = b + (-half + np.sqrt(level)) * d
    return out


def _corners_around_circle(start: Array, stop: Array, by: Array, middle: Array, radius: float) -> Array:
    """Corners (n, 2) outside a circle, from start round to stop on the side of a point, up to 40 degrees apart."""
    angles = [float(np.arctan2(*(p - middle)[::-1])) for p in (start, by, stop)]
    sign = 1.0
    if (angles[1] - angles[0]) % (2 * np.pi) > (angles[2] - angles[0]) % (2 * np.pi):
        sign = -1.0
    whole = (sign * (angles[2] - angles[0])) % (2 * np.pi)
    n = max(1, int(np.ceil(whole / np.radians(40))))
    t = angles[0] + sign * whole * (np.arange(n) + 0.5) / n
    r = radius / np.cos(whole / n / 2)
    out: Array = middle + r * np.column_stack((np.cos(t), np.sin(t)))
    return out


def rib_or_keyway_from_polygons(
    discs: Sequence[SectionCircle], piece: Any, chord: float, less: bool, hole: bool, context: SectionContext
) -> SectionShape:
    """The same by way of polygons, where the corners are not plain: a rib from one disc to another, say.

    discs: that the loop follows, the main one first; chord: mm by which its sides may be inside its arcs.
    """
    from shapely import union_all

    main = discs[0]
    if less:
        grown = piece.buffer(1.5 * chord + 0.02 * main.r, join_style="mitre", mitre_limit=3.0)
        shape = piece.buffer(1e-9).union(grown.difference(circle_to_polygon(main).buffer(-chord * 0.5)))
    else:
        roots = [root for d in discs for root in _roots(piece, d, 2 * chord)]
        shape = union_all([piece, *roots]).buffer(chord / 4).buffer(-chord / 4)
    return make_outline(shape, less != hole, context)


def _roots(piece: Any, circle: SectionCircle, slack: float) -> list[Any]:
    """What goes from the sides of a piece that are on a circle, within slack, on towards its middle."""
    from shapely import Polygon

    corners, middle = np.array(piece.exterior.coords)[:-1], np.array([circle.x, circle.y])
    on = np.abs(np.hypot(*(corners - middle).T) - circle.r) < slack
    if on.all() or not on.any():
        return []
    first = int(np.flatnonzero(on & ~np.roll(on, 1))[0])
    corners, on = np.roll(corners, -first, axis=0), np.roll(on, -first)
    runs = np.split(corners, np.flatnonzero(np.diff(on)) + 1)[::2]
    deep = [middle + (run[[-1, 0]] - middle) * RIB_ROOT_RATIO for run in runs]
    found = [Polygon(np.vstack((run, ends))) for run, ends in zip(runs, deep, strict=True) if len(run) > 1]
    return [p for p in found if p.is_valid]
