"""Outline: a border of a section becomes discs, hulls, regular polygons and plates, nothing guessed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from foldsketch.mesh.slices import Loop, Run

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Ring2:
    """The circle that a piece makes in a section: its piece, centre, radius (mm); inner: emptiness inside."""

    piece: int
    x: float
    y: float
    r: float
    inner: bool


@dataclass(frozen=True, slots=True)
class Figure:
    """A plane figure of the paper model. kind: disc, hull, regular or outline; cut: it takes material away.

    circles: for disc and hull; sides, across_flats, turn: for regular, about centre; points: for outline.
    """

    kind: str
    cut: bool
    piece: int = -1
    circles: tuple[tuple[float, float, float], ...] = ()
    sides: int = 0
    across_flats: float = 0.0
    turn: float = 0.0
    centre: tuple[float, float] = (0.0, 0.0)
    points: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Known:
    """What the outline may know of pieces: their circle in this section, which are left out, which are cross."""

    circle: Callable[[int], Ring2 | None]
    left_out: frozenset[int]
    cross: frozenset[int]
    slack: float


def figures(loop: Loop, known: Known) -> list[Figure]:
    """Figures that make up what a loop encloses: material first, then what is cut from it."""
    rings = _rings(loop, known)
    if len(rings) == 1 and all(r.owner == rings[0][0].piece for r in loop.runs):
        return [_disc(rings[0][0], loop.hole)]
    polygon = _polygon(loop)
    hull = _hull(loop, polygon, [r for r, _ in rings if r.inner == loop.hole])
    if hull is not None:
        return [hull]
    best = rings[0] if rings else None
    if best is not None and best[0].inner == loop.hole and best[1] > np.radians(100):
        made = _disc_and_rest(loop, polygon, rings, known)
        if made is not None:
            return made
    return _straight(loop, known)


def _rings(loop: Loop, known: Known) -> list[tuple[Ring2, float]]:
    """Circles on a loop with the angle, radians, that it covers of each; the most covered first."""
    angle: dict[int, float] = {}
    ring: dict[int, Ring2] = {}
    for run in loop.runs:
        c = known.circle(run.owner) if run.owner >= 0 and run.owner not in known.left_out else None
        if c is None:
            continue
        q = run.points - np.array([c.x, c.y])
        turn = np.diff(np.unwrap(np.arctan2(q[:, 1], q[:, 0])))
        ring[run.owner] = c
        angle[run.owner] = angle.get(run.owner, 0.0) + abs(float(turn.sum()))
    return sorted(((ring[k], angle[k]) for k in ring), key=lambda p: -p[1])


def _disc(ring: Ring2, cut: bool) -> Figure:
    return Figure("disc", cut, ring.piece, ((ring.x, ring.y, ring.r),))


def _polygon(loop: Loop) -> Any:
    from shapely import Polygon

    made = Polygon(loop.points)
    return made if made.is_valid else made.buffer(0)


def _circle_polygon(ring: Ring2, n: int = 720) -> Any:
    from shapely import Polygon

    t = np.arange(n) * (2 * np.pi / n)
    r = ring.r * np.sqrt(2 * np.pi / n / np.sin(2 * np.pi / n))
    return Polygon(np.column_stack((ring.x + r * np.cos(t), ring.y + r * np.sin(t))))


def _disc_and_rest(loop: Loop, polygon: Any, rings: list[tuple[Ring2, float]], known: Known) -> list[Figure] | None:
    """The disc that a loop mostly follows, with what it lacks cut out of it, or what it has more put on.

    For the border of a hole the disc is a cut; what it lacks is material again, so such a loop keeps its outline.
    """
    ring, angle = rings[0]
    disc = _circle_polygon(ring)
    # chords lie inside of the circle: what is thinner than a chord error is nothing
    chord = max(8 * known.slack, *(_sagitta(loop, r) for r, _ in rings))
    whole, discs = disc, [ring]
    for other, _ in rings[1:]:
        second = _circle_polygon(other)
        if other.inner == ring.inner and not _thick(second.difference(polygon), chord):
            whole, discs = whole.union(second), [*discs, other]
    lacks, more = _thick(disc.difference(polygon), chord), _thick(polygon.difference(whole), chord)
    if lacks and (more or loop.hole):
        return None
    if more and angle < np.radians(190) and sum(p.area for p in more) > 0.5 * disc.area:
        return None
    out = [_disc(r, loop.hole) for r in discs]
    for piece in (*lacks, *more):
        if _only_cross(piece, loop, known):
            continue
        less = any(piece is p for p in lacks)
        clean = _beside(loop, ring, piece, less, known)
        out.append(clean or _rough(polygon, ring, piece, chord, less, loop.hole, known))
    return out


def _beside(loop: Loop, ring: Ring2, piece: Any, less: bool, known: Known) -> Figure | None:
    """What a disc lacks or has more, from the corners of the loop there; None when the corners are not plain.

    A cut runs on straight, past the circle; a plate runs on into the disc, so that it holds there.
    """
    away = [k for k, run in enumerate(loop.runs) if run.owner != ring.piece]
    near = piece.buffer(max(20 * known.slack, 1e-3 * ring.r))
    mine = [k for k in away if _covers(near, loop.runs[k].points.mean(axis=0))]
    if not mine or len(mine) == len(loop.runs) or any(loop.runs[k].owner in known.left_out for k in mine):
        return None
    first = next((k for k in mine if (k - 1) % len(loop.runs) not in mine), mine[0])
    order = [(first + i) % len(loop.runs) for i in range(len(mine))]
    if sorted(order) != sorted(mine):
        return None
    steps = [_simple(loop.runs[k], known) for k in order]
    chain = np.concatenate([steps[0], *(s[1:] for s in steps[1:])])
    middle = np.array([ring.x, ring.y])
    reach = 1.12 * ring.r if less else 0.75 * ring.r
    if less:
        ends = [_run_on(chain[1], chain[0], middle, reach), _run_on(chain[-2], chain[-1], middle, reach)]
        if ends[0] is None or ends[1] is None:
            return None
        corners = np.vstack((ends[0][None, :], chain, ends[1][None, :]))
        corners = np.vstack((corners, _round_outside(ends[1], ends[0], chain.mean(axis=0), middle, reach)))
    else:
        inner = [middle + (p - middle) * 0.75 for p in (chain[0], chain[-1])]
        corners = np.vstack((inner[0][None, :], chain, inner[1][None, :]))
    from shapely import Polygon

    shape = Polygon(corners)
    if not shape.is_valid or not shape.buffer(1e-6).covers(piece.buffer(-max(8 * known.slack, 2e-3 * ring.r))):
        return None
    return _outline(shape, less != loop.hole, known)


def _covers(shape: Any, p: Array) -> bool:
    from shapely import Point

    return bool(shape.covers(Point(p[0], p[1])))


def _simple(run: Run, known: Known) -> Array:
    """A run's corners: both ends of a straight one, steps of 15 degrees on a round one."""
    from shapely import LineString

    ring = known.circle(run.owner) if run.owner >= 0 else None
    tolerance = 4 * known.slack if ring is None else max(4 * known.slack, ring.r * (1 - np.cos(np.radians(7.5))))
    return np.array(LineString(run.points).simplify(max(tolerance, 1e-3)).coords)


def _run_on(a: Array, b: Array, middle: Array, reach: float) -> Array | None:
    """The point past b on the line from a where it leaves a circle of radius reach about middle."""
    d = (b - a) / max(float(np.hypot(*(b - a))), 1e-300)
    q = b - middle
    half = float(q @ d)
    level = half * half - float(q @ q) + reach * reach
    if level < 0:
        return None
    out: Array = b + (-half + np.sqrt(level)) * d
    return out


def _round_outside(start: Array, stop: Array, by: Array, middle: Array, reach: float) -> Array:
    """Corners outside of a circle, from start round to stop on the side of a point, in steps of at most 40 degrees."""
    angles = [float(np.arctan2(*(p - middle)[::-1])) for p in (start, by, stop)]
    for sign in (1.0, -1.0):
        whole = (sign * (angles[2] - angles[0])) % (2 * np.pi)
        part = (sign * (angles[1] - angles[0])) % (2 * np.pi)
        if part <= whole:
            break
    n = max(1, int(np.ceil(whole / np.radians(40))))
    t = angles[0] + sign * whole * (np.arange(n) + 0.5) / n
    r = reach / np.cos(whole / n / 2)
    return middle + r * np.column_stack((np.cos(t), np.sin(t)))


def _rough(polygon: Any, ring: Ring2, piece: Any, chord: float, less: bool, hole: bool, known: Known) -> Figure:
    """The same by way of polygons, where the corners are not plain."""
    if less:
        grown = piece.buffer(1.5 * chord + 0.02 * ring.r, join_style="mitre", mitre_limit=3.0)
        shape = piece.buffer(1e-9).union(grown.difference(_circle_polygon(ring).buffer(-chord * 0.5)))
    else:
        inward = polygon.intersection(piece.buffer(max(3 * chord, 0.25 * ring.r), join_style="mitre"))
        shape = piece.buffer(1e-9).union(inward)
    return _outline(shape, less != hole, known)


def _sagitta(loop: Loop, ring: Ring2) -> float:
    worst = 0.0
    for run in loop.runs:
        if run.owner == ring.piece and len(run.points) > 1:
            middle = (run.points[1:] + run.points[:-1]) / 2
            off = ring.r - np.hypot(middle[:, 0] - ring.x, middle[:, 1] - ring.y)
            worst = max(worst, float(np.abs(off).max()))
    return worst * 1.2


def _thick(shape: Any, chord: float) -> list[Any]:
    """Pieces of a shape that hold a disc of half a chord error, without the thin rest that hangs on them."""
    opened = shape.buffer(-0.55 * chord - 1e-9).buffer(0.55 * chord + 1e-9, join_style="mitre")
    parts = list(getattr(opened, "geoms", [opened]))
    return [p for p in parts if p.geom_type == "Polygon" and p.area > chord**2 * 4]


def _only_cross(piece: Any, loop: Loop, known: Known) -> bool:
    """Whether what bounds a piece, apart from the circle, are cross features, which are made on their own axes."""
    from shapely import MultiPoint

    if not known.cross:
        return False
    reach = piece.buffer(max(20 * known.slack, 1e-3))
    touched: set[int] = set()
    for run in loop.runs:
        middle = (run.points[1:] + run.points[:-1]) / 2
        if len(middle) and reach.intersects(MultiPoint(middle)):
            inside = [p for p in middle if reach.covers(MultiPoint([p]))]
            if len(inside) >= max(1, 0.5 * len(middle)) and known.circle(run.owner) is None:
                touched.add(run.owner)
    return bool(touched) and touched <= known.cross


def _outline(shape: Any, cut: bool, known: Known) -> Figure:
    polygon = max(getattr(shape, "geoms", [shape]), key=lambda p: p.area)
    ring = polygon.exterior.simplify(max(4 * known.slack, 2e-3))
    points = np.array(ring.coords)[:-1]
    if ring.is_ccw is False:
        points = points[::-1]
    points = _tidy(points, max(4 * known.slack, 2e-3))
    return Figure("outline", cut, points=tuple((float(x), float(y)) for x, y in points))


def _hull(loop: Loop, polygon: Any, rings: list[Ring2]) -> Figure | None:
    """The convex hull of the loop's circles, when that is what the loop is."""
    if len(rings) < 2:
        return None
    from shapely import union_all

    hull = union_all([_circle_polygon(r) for r in rings]).convex_hull
    if abs(hull.area - polygon.area) > 0.012 * hull.area or hull.symmetric_difference(polygon).area > 0.02 * hull.area:
        return None
    return Figure("hull", loop.hole, circles=tuple((r.x, r.y, r.r) for r in rings))


def _straight(loop: Loop, known: Known) -> list[Figure]:
    """A regular polygon or a plain outline; roundings that are left out become sharp corners again."""
    corners = _corners(loop, known)
    if loop.hole:
        corners = corners[::-1]
    regular = _regular(corners)
    if regular is not None:
        centre, across, turn = regular
        return [Figure("regular", loop.hole, sides=len(corners), across_flats=across, turn=turn, centre=centre)]
    return [Figure("outline", loop.hole, points=tuple((float(x), float(y)) for x, y in corners))]


def _corners(loop: Loop, known: Known) -> Array:
    """Corners of a loop, anticlockwise as it runs: arcs in steps of at most 15 degrees."""
    from shapely import LineString

    runs = [r for r in loop.runs if len(r.points) >= 2]
    pieces: list[Array] = []
    for k, run in enumerate(runs):
        soft = run.owner in known.left_out
        if soft and len(runs) > 2:
            before, after = runs[k - 1], runs[(k + 1) % len(runs)]
            corner = _meet(before, after)
            if corner is not None:
                pieces.append(corner[None, :])
                continue
        ring = known.circle(run.owner) if run.owner >= 0 else None
        tolerance = 4 * known.slack if ring is None else max(4 * known.slack, ring.r * (1 - np.cos(np.radians(7.5))))
        points = np.array(LineString(run.points).simplify(max(tolerance, 1e-3)).coords)
        skip_first = runs[k - 1].owner in known.left_out and len(runs) > 2
        points = points[1:] if skip_first else points
        pieces.append(points[:-1])
    joined = np.concatenate([p for p in pieces if len(p)]) if any(len(p) for p in pieces) else loop.points
    return _tidy(joined, max(4 * known.slack, 1e-3))


def _meet(a: Run, b: Run) -> Array | None:
    """Where the straight ends of two runs meet when they are made longer."""
    p, d = a.points[-1], a.points[-1] - a.points[0]
    q, e = b.points[0], b.points[-1] - b.points[0]
    cross = d[0] * e[1] - d[1] * e[0]
    if abs(cross) < 1e-9 * max(float(np.abs(d).max() * np.abs(e).max()), 1e-300):
        return None
    t = ((q - p)[0] * e[1] - (q - p)[1] * e[0]) / cross
    out: Array = p + t * d
    return out if np.linalg.norm(out - p) < 3 * np.linalg.norm(q - p) else None


def _tidy(points: Array, slack: float) -> Array:
    """Without doubled corners and corners on a straight line."""
    keep = np.linalg.norm(points - np.roll(points, 1, axis=0), axis=1) > slack
    points = points[keep] if keep.sum() >= 3 else points
    for _ in range(4):
        before, after = np.roll(points, 1, axis=0), np.roll(points, -1, axis=0)
        span = after - before
        length = np.maximum(np.hypot(span[:, 0], span[:, 1]), 1e-300)
        off = np.abs((points - before)[:, 0] * span[:, 1] - (points - before)[:, 1] * span[:, 0]) / length
        bent = off > slack
        if bent.all() or bent.sum() < 3:
            break
        points = points[bent]
    return points


def _regular(corners: Array) -> tuple[tuple[float, float], float, float] | None:
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
