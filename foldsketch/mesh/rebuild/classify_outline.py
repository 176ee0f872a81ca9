"""Outline: a border of a section becomes discs, hulls, regular polygons and plates, nothing guessed."""

from __future__ import annotations

from typing import Any

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.mesh.rebuild.cross_sections import SectionLoop, SectionRun
from foldsketch.mesh.rebuild.ribs_and_keyways import rib_or_keyway_from_polygons, rib_or_keyway_from_runs
from foldsketch.mesh.rebuild.section_shapes import (
    SectionCircle,
    SectionContext,
    SectionShape,
    circle_to_polygon,
    remove_redundant_corners,
)


def classify_loop(loop: SectionLoop, context: SectionContext) -> list[SectionShape]:
    """Figures that make up what a loop encloses: material first, then what is cut from it."""
    rings = _circles_on_loop(loop, context)
    if len(rings) == 1 and all(r.owner == rings[0][0].feature_index for r in loop.runs):
        return [_disc_shape(rings[0][0], loop.hole)]
    polygon = _loop_polygon(loop)
    hull = _hull_shape(loop, polygon, [r for r, _ in rings if r.inner == loop.hole])
    if hull is not None:
        return [hull]
    best = rings[0] if rings else None
    if best is not None and best[0].inner == loop.hole and best[1] > np.radians(100):
        made = _disc_with_ribs_and_cutouts(loop, polygon, rings, context)
        if made is not None:
            return made
    return _polygon_shape(loop, context)


def _circles_on_loop(loop: SectionLoop, context: SectionContext) -> list[tuple[SectionCircle, float]]:
    """Circles on a loop with the angle, radians, that it covers of each; the most covered first."""
    angle: dict[int, float] = {}
    ring: dict[int, SectionCircle] = {}
    for run in loop.runs:
        c = context.circle_of(run.owner) if run.owner >= 0 and run.owner not in context.left_out else None
        if c is None:
            continue
        q = run.points - np.array([c.x, c.y])
        turn = np.diff(np.unwrap(np.arctan2(q[:, 1], q[:, 0])))
        ring[run.owner] = c
        angle[run.owner] = angle.get(run.owner, 0.0) + abs(float(turn.sum()))
    return sorted(((ring[k], angle[k]) for k in ring), key=lambda p: -p[1])


def _disc_shape(circle: SectionCircle, cut: bool) -> SectionShape:
    return SectionShape("disc", cut, circle.feature_index, ((circle.x, circle.y, circle.r),))


def _loop_polygon(loop: SectionLoop) -> Any:
    from shapely import Polygon

    made = Polygon(loop.points)
    return made if made.is_valid else made.buffer(0)


def _disc_with_ribs_and_cutouts(
    loop: SectionLoop, polygon: Any, circles: list[tuple[SectionCircle, float]], context: SectionContext
) -> list[SectionShape] | None:
    """The disc that a loop mostly follows, with what it lacks cut out of it, or what it has more put on.

    For the border of a hole the disc is a cut; what it lacks is material again, so such a loop keeps its outline.
    """
    ring, angle = circles[0]
    disc = circle_to_polygon(ring)
    # chords lie inside of the circle: what is thinner than a chord error is nothing
    chord = max(8 * context.slack, *(_sagitta(loop, r) for r, _ in circles))
    whole, discs = disc, [ring]
    for other, _ in circles[1:]:
        second = circle_to_polygon(other)
        if other.inner == ring.inner and not _without_slivers(second.difference(polygon), chord):
            whole, discs = whole.union(second), [*discs, other]
    lacks, more = _without_slivers(disc.difference(polygon), chord), _without_slivers(polygon.difference(whole), chord)
    if lacks and (more or loop.hole):
        return None
    if more and angle < np.radians(190) and sum(p.area for p in more) > 0.5 * disc.area:
        return None
    out = [_disc_shape(r, loop.hole) for r in discs]
    for piece in (*lacks, *more):
        if _is_cross_feature_only(piece, loop, context):
            continue
        less = any(piece is p for p in lacks)
        clean = rib_or_keyway_from_runs(loop, ring, piece, less, context)
        out.append(clean or rib_or_keyway_from_polygons(polygon, ring, piece, chord, less, loop.hole, context))
    return out


def _sagitta(loop: SectionLoop, circle: SectionCircle) -> float:
    worst = 0.0
    for run in loop.runs:
        if run.owner == circle.feature_index and len(run.points) > 1:
            middle = (run.points[1:] + run.points[:-1]) / 2
            off = circle.r - np.hypot(middle[:, 0] - circle.x, middle[:, 1] - circle.y)
            worst = max(worst, float(np.abs(off).max()))
    return worst * 1.2


def _without_slivers(shape: Any, chord: float) -> list[Any]:
    """Pieces of a shape that hold a disc of half a chord error, without the thin rest that hangs on them."""
    opened = shape.buffer(-0.55 * chord - 1e-9).buffer(0.55 * chord + 1e-9, join_style="mitre")
    parts = list(getattr(opened, "geoms", [opened]))
    return [p for p in parts if p.geom_type == "Polygon" and p.area > chord**2 * 4]


def _is_cross_feature_only(piece: Any, loop: SectionLoop, context: SectionContext) -> bool:
    """Whether what bounds a piece, apart from the circle, are cross features, which are made on their own axes."""
    from shapely import MultiPoint

    if not context.cross_features:
        return False
    reach = piece.buffer(max(20 * context.slack, 1e-3))
    touched: set[int] = set()
    for run in loop.runs:
        middle = (run.points[1:] + run.points[:-1]) / 2
        if len(middle) and reach.intersects(MultiPoint(middle)):
            inside = [p for p in middle if reach.covers(MultiPoint([p]))]
            if len(inside) >= max(1, 0.5 * len(middle)) and context.circle_of(run.owner) is None:
                touched.add(run.owner)
    return bool(touched) and touched <= context.cross_features


def _hull_shape(loop: SectionLoop, polygon: Any, circles: list[SectionCircle]) -> SectionShape | None:
    """The convex hull of the loop's circles, when that is what the loop is."""
    if len(circles) < 2:
        return None
    from shapely import union_all

    hull = union_all([circle_to_polygon(r) for r in circles]).convex_hull
    if abs(hull.area - polygon.area) > 0.012 * hull.area or hull.symmetric_difference(polygon).area > 0.02 * hull.area:
        return None
    return SectionShape("hull", loop.hole, circles=tuple((r.x, r.y, r.r) for r in circles))


def _polygon_shape(loop: SectionLoop, context: SectionContext) -> list[SectionShape]:
    """A regular polygon or a plain outline; roundings that are left out become sharp corners again."""
    corners = _loop_corners(loop, context)
    if loop.hole:
        corners = corners[::-1]
    regular = _fit_regular_polygon(corners)
    if regular is not None:
        centre, across, turn = regular
        return [
            SectionShape("regular", loop.hole, sides=len(corners), across_flats=across, rotation=turn, centre=centre)
        ]
    return [SectionShape("outline", loop.hole, points=tuple((float(x), float(y)) for x, y in corners))]


def _loop_corners(loop: SectionLoop, context: SectionContext) -> Array:
    """Corners of a loop, anticlockwise as it runs: arcs in steps of at most 15 degrees."""
    from shapely import LineString

    runs = [r for r in loop.runs if len(r.points) >= 2]
    pieces: list[Array] = []
    for k, run in enumerate(runs):
        soft = run.owner in context.left_out
        if soft and len(runs) > 2:
            before, after = runs[k - 1], runs[(k + 1) % len(runs)]
            corner = _intersect_runs(before, after)
            if corner is not None:
                pieces.append(corner[None, :])
                continue
        ring = context.circle_of(run.owner) if run.owner >= 0 else None
        tolerance = (
            4 * context.slack if ring is None else max(4 * context.slack, ring.r * (1 - np.cos(np.radians(7.5))))
        )
        points = np.array(LineString(run.points).simplify(max(tolerance, 1e-3)).coords)
        skip_first = runs[k - 1].owner in context.left_out and len(runs) > 2
        points = points[1:] if skip_first else points
        pieces.append(points[:-1])
    joined = np.concatenate([p for p in pieces if len(p)]) if any(len(p) for p in pieces) else loop.points
    return remove_redundant_corners(joined, max(4 * context.slack, 1e-3))


def _intersect_runs(a: SectionRun, b: SectionRun) -> Array | None:
    """Where the straight ends of two runs meet when they are made longer."""
    p, d = a.points[-1], a.points[-1] - a.points[0]
    q, e = b.points[0], b.points[-1] - b.points[0]
    cross = d[0] * e[1] - d[1] * e[0]
    if abs(cross) < 1e-9 * max(float(np.abs(d).max() * np.abs(e).max()), 1e-300):
        return None
    t = ((q - p)[0] * e[1] - (q - p)[1] * e[0]) / cross
    out: Array = p + t * d
    return out if np.linalg.norm(out - p) < 3 * np.linalg.norm(q - p) else None


def _fit_regular_polygon(corners: Array) -> tuple[tuple[float, float], float, float] | None:
    """Centre, across flats and turn (radians, to the middle of a side) of a regular polygon of 3 to 12 corners."""
    n = len(corners)
    if not 3 <= n <= 12:
        return None
    centre = corners.mean(axis=0)
    r = np.hypot(*(corners - centre).T)
    side = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)
    if np.ptp(r) > 2e-4 * r.mean() or np.ptp(side) > 4e-4 * side.mean():
        return None
    middle = (corners[0] + corners[1]) / 2 - centre
    turn = float(np.arctan2(middle[1], middle[0]) % (2 * np.pi / n))
    if turn > np.pi / n:
        turn -= 2 * np.pi / n
    return (float(centre[0]), float(centre[1])), float(2 * r.mean() * np.cos(np.pi / n)), turn
