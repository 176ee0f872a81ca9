"""Feet on tongues: a block stands on tongues of its walls that pass through slits along its outline, bent inwards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import atan2, cos, dist, pi, tan
from typing import Any, NamedTuple

import numpy as np

from foldsketch.base.arrays import Array, Point
from foldsketch.net.edge_tabs import split_edge
from foldsketch.net.folding import tabs_behind_panels
from foldsketch.net.model import ButtEdge, JointFacts, MatingEdge, Panel, PaperLine, Piece, Tab

MIN_TONGUE_WIDTH_MM, MAX_TONGUE_WIDTH_MM, SHOULDER_MM = 4.0, 14.0, 1.0
"""Bounds of a tongue's width, and wall that is left at either side of it to stand on the face, mm."""

TONGUE_LENGTH_MM, MIN_TONGUE_LENGTH_MM = 7.0, 4.0
"""Usual and least length of a tongue, mm."""

TONGUE_TAPER_RAD = 15 * pi / 180
"""Slant of a tongue's sides."""

KEY_MM, MIN_KEYED_WIDTH_MM = 2.0, 6.0
"""The first tongue is so much narrower, so that its block goes on in one position; if it is as wide as the second."""

CREASE_BELOW_FOOT_MM = 0.3
"""The crease is so far below the foot: card of 0.2 mm is between, and turns [1.5 times its thickness]."""

SLIT_PLAY_MM, SLIT_DISTANCE_MM, FACE_INSET_MM, LIP_DISTANCE_MM = 0.3, 3.0, 0.6, 1.1
"""Play at each end of a slit; distance of a slit from others, edges and holes; of a tongue from the face's edge, and
from a lip behind the face, mm."""

MIN_TONGUES = 3
"""So many tongues hold a foot; two do that are not parallel."""


@dataclass(frozen=True, slots=True)
class _Side:
    """One edge of a foot. piece: of the wall; edge: as it is held without tongues; there: its ends on the face."""

    piece: str
    edge: Tab | ButtEdge
    there: PaperLine

    @property
    def length(self) -> float:
        return dist(*self.there)


class _Tongue(NamedTuple):
    """A tongue. root: its ends on the face; length, slant: mm."""

    root: PaperLine
    length: float
    slant: float


def put_feet_on_tongues(
    pieces: Sequence[Piece], joints: Sequence[JointFacts]
) -> tuple[list[Piece], frozenset[int], tuple[int, ...]]:
    """The pieces with tongues where a block has no end of its own; joints held so; joints where none fit.

    What held such a foot before, glue or tape, is gone.
    """
    made = {p.id: p for p in pieces}
    held: list[int] = []
    for number in sorted({j for p in pieces for j in p.open}):
        sides = _sides_of_foot(made.values(), number)
        tongues = _choose_tongues(sides, made, joints[number].outline) if sides else {}
        if not tongues:
            continue
        held.append(number)
        for name in {s.piece for s in sides}:
            own = {s.edge.number: (s, tongues.get(k)) for k, s in enumerate(sides) if s.piece == name}
            made[name] = _with_tongues(made[name], number, own)
    left = tuple(k for k in range(len(joints)) if k not in held)
    return [made[p.id] for p in pieces], frozenset(held), left


def _sides_of_foot(pieces: Any, joint: int) -> list[_Side]:
    """The edges around a foot, in order."""
    edges: list[tuple[str, Tab | ButtEdge]] = [
        (p.id, e) for p in pieces for e in (*p.tabs, *p.butts) if e.joint == joint
    ]
    if len({(e.meets.piece, e.meets.panel) for _, e in edges}) != 1:
        return []
    sides = [_Side(name, e, (e.meets.line[1], e.meets.line[0])) for name, e in edges]
    middles = np.array([np.mean(s.there, axis=0) for s in sides])
    x, y = (middles - middles.mean(axis=0)).T
    return [sides[k] for k in np.argsort(np.arctan2(y, x)).tolist()]


def _choose_tongues(sides: Sequence[_Side], pieces: dict[str, Piece], outline: Array) -> dict[int, _Tongue]:
    """Which sides have a tongue, with the ends of its root on the face; none where too few fit.

    outline: of the joint in space, (n, 3); one that is not convex has none.
    """
    import shapely

    n = len(sides)
    target = pieces[sides[0].edge.meets.piece]
    panel = target.panel(sides[0].edge.meets.panel)
    face = shapely.Polygon(panel.outline, panel.holes)
    inner, near = face.buffer(-SLIT_DISTANCE_MM), face.buffer(-FACE_INSET_MM)
    slits = [shapely.LineString(t.slit) for p in pieces.values() for t in p.tabs if t.slit and _meets(t, target, panel)]
    behind = _behind(pieces.values(), target, panel)
    foot = shapely.Polygon((outline - panel.origin) @ panel.to_space[:, :2])
    if foot.convex_hull.area > foot.area * (1 + 1e-6):
        return {}
    fits: dict[bool, dict[int, tuple[PaperLine, Any]]] = {False: {}, True: {}}
    for beside in (False, True):
        for k, s in enumerate(sides):
            root = _root(s, n, beside)
            if root is None or _length_and_slant(dist(*root), s, sides, beside)[0] < MIN_TONGUE_LENGTH_MM:
                continue
            slit = shapely.LineString(slit_of(root))
            shape = shapely.Polygon(_shape_inside(root, s, sides, beside))
            clear = inner.covers(slit) and near.covers(shape) and foot.buffer(1e-6).covers(shape)
            clear = clear and all(slit.distance(other) >= SLIT_DISTANCE_MM for other in slits)
            if clear and not any(shape.intersects(other) for other in behind):
                fits[beside][k] = (root, shape)
    every_other = max(({k for k in fits[False] if k % 2 == odd} for odd in (0, 1)), key=len)
    if n % 2 == 0 and len(every_other) >= MIN_TONGUES:
        chosen = {k: fits[False][k] for k in sorted(every_other)}
    else:
        chosen = fits[True]
        ways = {round(_direction(sides[k]) % pi, 3) % round(pi, 3) for k in chosen}
        if len(chosen) < 2 or len(ways) < 2:
            return {}
    shapes = [shape for _, shape in chosen.values()]
    if any(a.distance(b) < 0.3 for i, a in enumerate(shapes) for b in shapes[:i]):
        return {}
    first = next(iter(chosen))
    roots = {k: root for k, (root, _) in chosen.items()}
    if dist(*roots[first]) >= MIN_KEYED_WIDTH_MM:
        roots[first] = _between(roots[first], KEY_MM / 2)
    beside = chosen is fits[True]
    return {k: _Tongue(r, *_length_and_slant(dist(*r), sides[k], sides, beside)) for k, r in roots.items()}


def _meets(t: Tab, target: Piece, panel: Panel) -> bool:
    return (t.meets.piece, t.meets.panel) == (target.id, panel.id)


def _behind(pieces: Any, target: Piece, panel: Panel) -> list[Any]:
    """What lies behind a face already, as polygons: tabs that are glued there, tongues, and lips with room around."""
    import shapely

    from foldsketch.geometry.ragged_polygons import RaggedPolygons

    there = [t for p in pieces for t in p.tabs if (t.joint is None or t.slit) and _meets(t, target, panel)]
    if not there:
        return []
    placed = tabs_behind_panels(there, RaggedPolygons.from_loops([(t.behind,) for t in there]))
    room = [LIP_DISTANCE_MM if t.part == "lip" else 0.0 for t in there]
    return [shapely.make_valid(shape).buffer(r) for shape, r in zip(placed.shapes, room, strict=True)]


def _direction(s: _Side) -> float:
    (x0, y0), (x1, y1) = s.there
    return atan2(y1 - y0, x1 - x0)


def _root(s: _Side, n: int, beside: bool) -> PaperLine | None:
    """The ends of a tongue's root on the face; beside: the next sides have tongues too."""
    width = min(s.length - 2 * SHOULDER_MM, MAX_TONGUE_WIDTH_MM)
    if beside:
        width = min(width, s.length - 2 * SLIT_PLAY_MM - SLIT_DISTANCE_MM / cos(pi / max(n, 3)))
    return _between(s.there, (s.length - width) / 2) if width >= MIN_TONGUE_WIDTH_MM else None


def _between(line: PaperLine, inset: float) -> PaperLine:
    """A line without so much at both ends, mm; with so much more where it is negative."""
    (x0, y0), (x1, y1) = line
    u = inset / dist(*line)
    dx, dy = (x1 - x0) * u, (y1 - y0) * u
    return ((x0 + dx, y0 + dy), (x1 - dx, y1 - dy))


def slit_of(root: PaperLine) -> PaperLine:
    """The slit for a tongue."""
    return _between(root, -SLIT_PLAY_MM)


def _length_and_slant(width: float, s: _Side, sides: Sequence[_Side], beside: bool) -> tuple[float, float]:
    """Length of a tongue, and how much narrower it gets at either side."""
    n = len(sides)
    middle = np.mean([q for t in sides for q in t.there], axis=0)
    apothem = dist(np.mean(s.there, axis=0), middle)
    taper = max(TONGUE_TAPER_RAD, pi / n) if beside else TONGUE_TAPER_RAD
    length = min(TONGUE_LENGTH_MM, apothem - 1 - (width / 2 if n == 8 else 0.0))
    length = min(length, (width - 1.0) / 2 / tan(taper))
    return length, length * tan(taper)


def _shape_inside(root: PaperLine, s: _Side, sides: Sequence[_Side], beside: bool) -> list[Point]:
    """A tongue as it lies behind the face, inside the outline of its foot."""
    length, slant = _length_and_slant(dist(*root), s, sides, beside)
    (x0, y0), (x1, y1) = root
    u = np.subtract(root[1], root[0]) / dist(*root)
    inward = np.array((-u[1], u[0]))
    middle = np.mean([q for t in sides for q in t.there], axis=0)
    if float((middle - root[0]) @ inward) < 0:
        inward = -inward
    a, b = np.array((x0, y0)), np.array((x1, y1))
    tip = (b - u * slant + inward * length, a + u * slant + inward * length)
    return [(x0, y0), (x1, y1), *((float(p[0]), float(p[1])) for p in tip)]


def _with_tongues(piece: Piece, joint: int, own: dict[int, tuple[_Side, _Tongue | None]]) -> Piece:
    """A piece whose foot edges have tongues instead of what held them, or nothing."""
    tabs = [t for t in piece.tabs if t.joint != joint]
    butts = [b for b in piece.butts if b.joint != joint]
    panels = {p.id: p for p in piece.panels}
    for s, tongue in own.values():
        e = s.edge
        if tongue is None:
            butts.append(ButtEdge(e.number, e.panel, e.line, e.meets, True, 0, e.angle, joint))
            continue
        root = tongue.root
        inset = (dist(*s.there) - dist(*root)) / 2
        line = _between(e.line, inset)
        meets = MatingEdge(e.meets.piece, e.meets.panel, (root[1], root[0]))
        tabs.append(_tongue(e, line, meets, joint, tongue[1:]))
        panels[e.panel] = split_edge(panels[e.panel], line)
    return replace(piece, panels=tuple(panels[p.id] for p in piece.panels), tabs=tuple(tabs), butts=tuple(butts))


def _tongue(e: Tab | ButtEdge, line: PaperLine, meets: MatingEdge, joint: int, shape: tuple[float, float]) -> Tab:
    """The tongue on a wall. line: its root there; shape: its length, and how much narrower it gets at either side."""
    length, slant = shape
    p, q = np.array(line)
    u = (q - p) / dist(*line)
    out = np.array((u[1], -u[0])) * length
    outline = np.array((p, p + u * slant + out, q - u * slant + out, q))
    slit = slit_of((meets.line[1], meets.line[0]))
    return Tab(
        e.number, e.panel, outline, line, meets, e.angle, crease_shift=-CREASE_BELOW_FOOT_MM, joint=joint, slit=slit
    )
