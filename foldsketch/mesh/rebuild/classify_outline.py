"""Classify outline: a border of a section becomes discs, hulls, regular polygons and plates."""

from __future__ import annotations

from typing import Any

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.mesh.rebuild.cross_sections import SectionLoop, SectionRun
from foldsketch.mesh.rebuild.ribs_and_keyways import rib_or_keyway_from_polygons, rib_or_keyway_from_runs, simplify_run
from foldsketch.mesh.rebuild.section_shapes import (
    SectionCircle,
    SectionContext,
    SectionShape,
    circle_to_polygon,
    outline_shape,
    remove_redundant_corners,
)

MIN_DISC_ANGLE_RAD = np.radians(100)
"""A loop that follows less of a circle is no disc."""

MIN_DISC_WITH_RIBS_ANGLE_RAD = np.radians(190)
"""A loop that follows less of a circle, and has much beside it, is a plate with a round end."""

Covered = list[tuple[SectionCircle, float]]
"""Circles on a loop with the angle, radians, that it covers of each; the most covered first."""


def classify_loop(loop: SectionLoop, context: SectionContext) -> list[SectionShape]:
    """Figures that make up what a loop encloses: material first, then what is cut from it."""
    circles = _circles_on_loop(loop, context)
    if len(circles) == 1 and all(r.owner == circles[0][0].feature_index for r in loop.runs):
        return [_disc_shape(circles[0][0], loop.hole)]
    polygon = _loop_polygon(loop)
    hull = _hull_shape(loop, polygon, [c for c, _ in circles if c.inner == loop.hole])
    if hull is not None:
        return [hull]
    if circles and circles[0][0].inner == loop.hole and circles[0][1] > MIN_DISC_ANGLE_RAD:
        made = _disc_with_ribs_and_cutouts(loop, polygon, circles, context)
        if made is not None:
            return made
    return [_polygon_shape(loop, context)]


def _circles_on_loop(loop: SectionLoop, context: SectionContext) -> Covered:
    angle: dict[int, float] = {}
    found: dict[int, SectionCircle] = {}
    for run in loop.runs:
        c = None if run.owner in context.left_out else context.circle_of(run.owner)
        if c is not None:
            q = run.points - np.array([c.x, c.y])
            turn = np.diff(np.unwrap(np.arctan2(q[:, 1], q[:, 0])))
            found[run.owner] = c
            angle[run.owner] = angle.get(run.owner, 0.0) + abs(float(turn.sum()))
    return sorted(((found[k], angle[k]) for k in found), key=lambda p: -p[1])


def _disc_shape(circle: SectionCircle, cut: bool) -> SectionShape:
    return SectionShape("disc", cut, circle.feature_index, ((circle.x, circle.y, circle.r),))


def _loop_polygon(loop: SectionLoop) -> Any:
    from shapely import Polygon

    made = Polygon(loop.points)
    return made if made.is_valid else made.buffer(0)


def _disc_with_ribs_and_cutouts(
    loop: SectionLoop, polygon: Any, circles: Covered, context: SectionContext
) -> list[SectionShape] | None:
    """The disc that a loop mostly follows, with what it lacks cut out of it, or what it has more added.

    For the border of a hole the disc is a cut; what it lacks is material again, so such a loop keeps its outline.
    """
    main, angle = circles[0]
    disc = circle_to_polygon(main)
    # Chords are inside the circle: what is thinner than a chord error is nothing.
    chord = max(8 * context.slack, *(_chord_error(loop, c) for c, _ in circles))
    discs = [main]
    for other, _ in circles[1:]:
        if other.inner == main.inner and not _without_slivers(circle_to_polygon(other).difference(polygon), chord):
            discs.append(other)
    whole = disc
    for other in discs[1:]:
        whole = whole.union(circle_to_polygon(other))
    lacks = _without_slivers(disc.difference(polygon), chord)
    more = _without_slivers(polygon.difference(whole), chord)
    much = sum(p.area for p in more) > 0.5 * disc.area
    if (lacks and (more or loop.hole)) or (much and angle < MIN_DISC_WITH_RIBS_ANGLE_RAD):
        return None
    out = [_disc_shape(c, loop.hole) for c in discs]
    for piece in lacks or more:
        if not _is_cross_feature_only(piece, loop, context):
            made = rib_or_keyway_from_runs(loop, main, piece, bool(lacks), context)
            out.append(made or rib_or_keyway_from_polygons(discs, piece, chord, bool(lacks), loop.hole, context))
    return out


def _chord_error(loop: SectionLoop, circle: SectionCircle) -> float:
    """How far the sides of a loop are inside a circle that it is on, mm, with a margin."""
    worst = 0.0
    for run in loop.runs:
        if run.owner == circle.feature_index and len(run.points) > 1:
            middle = (run.points[1:] + run.points[:-1]) / 2
            off = circle.r - np.hypot(middle[:, 0] - circle.x, middle[:, 1] - circle.y)
            worst = max(worst, float(np.abs(off).max()))
    return worst * 1.2


def _without_slivers(shape: Any, chord: float) -> list[Any]:
    """Pieces of a shape that hold a disc of half a chord error, without thin rests beside them."""
    opened = shape.buffer(-0.55 * chord - 1e-9).buffer(0.55 * chord + 1e-9, join_style="mitre")
    parts = list(getattr(opened, "geoms", [opened]))
    return [p for p in parts if p.geom_type == "Polygon" and p.area > chord**2 * 4]


def _is_cross_feature_only(piece: Any, loop: SectionLoop, context: SectionContext) -> bool:
    """Whether what bounds a piece, apart from the circle, are cross features, which are made on their own axes."""
    import shapely

    if not context.cross_features:
        return False
    reach = piece.buffer(max(20 * context.slack, 1e-3))
    touched: set[int] = set()
    for run in loop.runs:
        middle = (run.points[1:] + run.points[:-1]) / 2
        inside = int(shapely.intersects_xy(reach, middle[:, 0], middle[:, 1]).sum())
        if inside >= max(1, 0.5 * len(middle)) and context.circle_of(run.owner) is None:
            touched.add(run.owner)
    return bool(touched) and touched <= context.cross_features


def _hull_shape(loop: SectionLoop, polygon: Any, circles: list[SectionCircle]) -> SectionShape | None:
    """The convex hull of the loop's circles, when that is what the loop is."""
    from shapely import union_all

    if len(circles) < 2:
        return None
    hull = union_all([circle_to_polygon(c) for c in circles]).convex_hull
    if abs(hull.area - polygon.area) > 0.012 * hull.area or hull.symmetric_difference(polygon).area > 0.02 * hull.area:
        return None
    return SectionShape("hull", loop.hole, circles=tuple((c.x, c.y, c.r) for c in circles))


def _polygon_shape(loop: SectionLoop, context: SectionContext) -> SectionShape:
    """A regular polygon or a plain outline; roundings that are left out become sharp corners again."""
    corners = _loop_corners(loop, context)
    if loop.hole:
        corners = corners[::-1]
    regular = _regular_polygon(corners, loop.hole)
    return outline_shape(corners, loop.hole) if regular is None else regular


def _loop_corners(loop: SectionLoop, context: SectionContext) -> Array:
    """Corners of a loop, in its order: arcs in steps of at most 15 degrees."""
    runs = [r for r in loop.runs if len(r.points) >= 2]
    is_soft = [r.owner in context.left_out and len(runs) > 2 for r in runs]
    pieces: list[Array] = []
    for k, run in enumerate(runs):
        corner = _intersect_runs(runs[k - 1], runs[(k + 1) % len(runs)]) if is_soft[k] else None
        if corner is not None:
            pieces.append(corner[None, :])
        else:
            pieces.append(simplify_run(run, context)[1 if is_soft[k - 1] else 0 : -1])
    joined = np.concatenate(pieces) if any(len(p) for p in pieces) else loop.points
    return remove_redundant_corners(joined, max(4 * context.slack, 1e-3))


def _intersect_runs(a: SectionRun, b: SectionRun) -> Array | None:
    """Where the straight ends of two runs meet when they are made longer; None where that is far off."""
    p, d = a.points[-1], a.points[-1] - a.points[0]
    q, e = b.points[0], b.points[-1] - b.points[0]
    cross = d[0] * e[1] - d[1] * e[0]
    if abs(cross) < 1e-9 * max(float(np.abs(d).max() * np.abs(e).max()), 1e-300):
        return None
    t = ((q - p)[0] * e[1] - (q - p)[1] * e[0]) / cross
    out: Array = p + t * d
    return out if np.linalg.norm(out - p) < 3 * np.linalg.norm(q - p) else None


def _regular_polygon(corners: Array, cut: bool) -> SectionShape | None:
    """The regular polygon of 3 to 12 corners (n, 2), if they are one."""
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
    across = float(2 * r.mean() * np.cos(np.pi / n))
    return SectionShape(
        "regular",
        cut,
        sides=n,
        across_flats=across,
        rotation=turn,
        centre=(float(centre[0]), float(centre[1])),
    )
