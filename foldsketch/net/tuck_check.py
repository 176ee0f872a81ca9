"""Check of what is tucked together: tongues in slits, lids that swing shut, rims that cannot give, locks in reach.

It sees only the flat nets: every tab is folded about its own crease, which is beside the root by the card's thickness.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import atan, pi, radians
from typing import Any, NamedTuple

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.vector import cross
from foldsketch.net.folding import fold_transforms
from foldsketch.net.model import Nets, Panel, PaperLine, Piece, Tab
from foldsketch.net.unfolding.tucked_prisms import CAP_SIDES, FLAP_SIDES, MAX_REACH_MM

ON_PLANE_MM, MIN_PLAY_MM, MIN_PAPER_MM = 1e-6, 0.25, 1.4
"""What is nearer to a plane is on it; least play of a tongue at each end of its slit, and least paper beside that."""

MIN_CATCH_MM, MIN_BENT_MM = 1.0, 2.5
"""Ears reach so far beyond the slit, both together, or one of a hook; what is bent over is so long at least; mm."""

SWING_ANGLES_RAD = tuple(radians(a) for a in range(5, 76, 5))
MAX_WALL_TOUCH_MM = 0.05
"""Angles at which a lid is tried on its way, and how far a flap may touch a wall then, mm: paper gives."""

MAX_LEAN_RAD = radians(17.0)
"""So far a flap or tongue opposite the hinge may have to lean to pass the rim."""


class _Placed(NamedTuple):
    """A tab, folded: its piece, and where its paper is in space: point = origin + frame @ (x, y, 0)."""

    piece: Piece
    tab: Tab
    frame: Array
    origin: Array

    def to_space(self, points: Any) -> Array:
        """Points (n, 2) of its paper in space."""
        placed: Array = np.asarray(points, dtype=float) @ self.frame[:, :2].T + self.origin
        return placed

    def to_paper(self, points: Array) -> Array:
        """Points (n, 3) in space in its own frame; the third number is the distance from its plane."""
        flat: Array = (points - self.origin) @ self.frame
        return flat


def tuck_faults(nets: Nets) -> list[str]:
    """What is wrong with the tucked blocks of a model, in words for whoever debugs it; nothing if all is well."""
    faults: list[str] = []
    for block in nets.blocks:
        pieces = [p for p in nets.pieces if p.block == block.id]
        tabs = [_place(p, t) for p in pieces for t in p.tabs if t.part]
        if tabs:
            faults += [f"block {block.id}: {fault}" for fault in _block_faults(pieces, tabs)]
    return faults


def _place(piece: Piece, t: Tab) -> _Placed:
    """A tab turned about its crease by its angle."""
    (turn,), (shift,) = fold_transforms(np.array([crease_of(t)]), np.array([t.angle]))
    panel = piece.panel(t.panel)
    return _Placed(piece, t, panel.to_space @ turn, panel.to_space @ shift + panel.origin)


def crease_of(t: Tab) -> PaperLine:
    """Where a tab is creased: its root, moved into the panel."""
    (x0, y0), (x1, y1) = t.line
    length = float(np.hypot(x1 - x0, y1 - y0))
    u, v = -(y1 - y0) / length * t.crease_shift, (x1 - x0) / length * t.crease_shift
    return ((x0 + u, y0 + v), (x1 + u, y1 + v))


def _block_faults(pieces: Sequence[Piece], tabs: Sequence[_Placed]) -> Iterator[str]:
    for slit in (t for t in tabs if t.tab.openings):
        yield from _slit_faults(slit, tabs)
    ends = [(p, e) for p in pieces for e in p.panels if e.kind == "end"]
    walls = [w for p in pieces for w in p.panels if w.kind == "side"]
    height = max(float(np.ptp(w.in_space(w.outline) @ e.to_space[:, 2])) for _, e in ends for w in walls)
    straight = sum(t.tab.bend is not None for t in tabs)
    if straight > 1 or (straight and height > MAX_REACH_MM):
        yield "a tongue is bent over where nobody can reach it"
    for piece, end in ends:
        hinge = _hinge(piece, end)
        if hinge is None:
            yield "an end hangs on no wall"
            continue
        own = [t for t in tabs if t.piece is piece and t.tab.panel == end.id]
        yield from _end_faults(end, hinge, own, walls, pieces)


def _slit_faults(own: _Placed, tabs: Sequence[_Placed]) -> Iterator[str]:
    """What keeps the tongues of an edge from going through the slits of its lip or land, and from staying there."""
    import shapely

    t = own.tab
    mates = [
        m for m in tabs if m.tab.number == t.number and m.tab.part in ("lock", "hook") and m.tab.meets.panel == t.panel
    ]
    if len(mates) != len(t.openings):
        yield f"{t.part} {t.number} has {len(t.openings)} slits for {len(mates)} tongues"
        return
    paper = shapely.Polygon(t.outline)
    sides = shapely.LineString(t.outline)  # all but the root
    for slit in t.openings:
        if any(sides.distance(shapely.Point(p)) < MIN_PAPER_MM for p in slit) or not paper.buffer(0.01).covers(
            shapely.LineString(slit)
        ):
            yield f"the slit in {t.part} {t.number} leaves too little paper beside it"
        faults = [_tongue_fault(m, own.to_space(slit)) for m in mates]
        if all(faults):
            yield f"{t.part} {t.number}: {faults[0]}"


def _tongue_fault(mate: _Placed, slit: Array) -> str:
    """Why a tongue is not held in a slit, whose ends (2, 3) are in space; nothing if it is."""
    import shapely

    ends = mate.to_paper(slit)
    if abs(ends[:, 2]).max() > ON_PLANE_MM:
        return "the tongue is beside the slit"
    a, b = ends[:, :2]
    length = float(np.hypot(*(b - a)))
    along = (b - a) / length
    across = np.array((-along[1], along[0]))
    crease = np.array(crease_of(mate.tab))
    paper = np.concatenate((crease[:1], mate.tab.outline, crease[1:]))
    shape = shapely.Polygon((paper - a) @ np.column_stack((along, across)))
    neck = shape.intersection(shapely.LineString([(-50.0, 0.0), (length + 50.0, 0.0)]))
    if neck.is_empty or neck.geom_type != "LineString":
        return "the tongue does not reach the slit"
    left, _, right, _ = neck.bounds
    if left < MIN_PLAY_MM - 1e-6 or right > length - MIN_PLAY_MM + 1e-6:
        return "the neck has no play in the slit"
    beyond = -np.sign((crease.mean(axis=0) - a) @ across)
    tip = shape.intersection(shapely.box(-50, min(0, 50 * beyond), length + 50, max(0, 50 * beyond)))
    if mate.tab.bend is not None:
        bend = float((np.mean(mate.tab.bend, axis=0) - a) @ across) * beyond
        deep = max(-tip.bounds[1], tip.bounds[3])
        return "" if bend > 0 and deep - bend >= MIN_BENT_MM else "too little is bent over"
    caught = max(0.0, -tip.bounds[0]) + max(0.0, tip.bounds[2] - length)
    return "" if caught >= MIN_CATCH_MM - 1e-6 else "no ear holds the tongue"


def _end_faults(
    end: Panel, hinge: tuple[Panel, Array], tabs: Sequence[_Placed], walls: Sequence[Panel], pieces: Sequence[Piece]
) -> Iterator[str]:
    """What keeps an end from swinging shut, or its rim from being rigid."""
    side, axis = hinge
    n = len(walls)
    by_name = {(p.id, w.id): w for p in pieces for w in p.panels}
    at = [_steps_between(side, by_name[t.tab.meets[:2]], n) for t in tabs]
    flaps = sorted(k for k, t in zip(at, tabs, strict=True) if t.tab.part == "flap")
    locked = any(t.tab.part == "lock" for t in tabs)
    wanted = sorted(min(k, n - k) for k in (FLAP_SIDES if locked else CAP_SIDES).get(n, (-1,)))
    if flaps != wanted or any(k != n // 2 for k, t in zip(at, tabs, strict=True) if t.tab.part == "lock"):
        yield "the rim can give: flaps and lock are not where they make it rigid"
    outward = end.to_space[:, 2]
    level = float(outward @ end.origin)
    plan = _plan(walls, outward)
    for k, t in zip(at, tabs, strict=True):
        points = t.to_space(t.tab.behind)
        deep = level - float((points @ outward).min())
        if k > n / 4:
            distance = float(abs((points - axis[0]) @ side.to_space[:, 2]).max())
            if atan(deep / 2 / distance) > MAX_LEAN_RAD:
                yield "a flap opposite the hinge is too deep to pass the rim"
        elif _touches_wall(points, axis, outward, level, plan):
            yield "a flap hits a wall while the end swings shut"


def _touches_wall(points: Array, axis: Array, outward: Array, level: float, plan: tuple[Any, Array]) -> bool:
    """Whether a flap (n, 3) gets into a wall below the rim on its way. axis: both ends of the hinge, (2, 3)."""
    import shapely

    inside, frame = plan
    u = (axis[1] - axis[0]) / np.linalg.norm(axis[1] - axis[0])
    for angle in SWING_ANGLES_RAD:
        # Opening lifts what is beyond the hinge.
        best = max((_turn(points, axis[0], u, s * angle) for s in (1, -1)), key=lambda q: float((q @ outward).mean()))
        flat = np.column_stack((best @ frame, best @ outward - level))
        below = _below(flat)
        if len(below) > 2 and not inside.buffer(MAX_WALL_TOUCH_MM).covers(shapely.MultiPoint(below[:, :2])):
            return True
    return False


def _below(points: Array) -> Array:
    """Corners of the part of a flat polygon (n, 3) with its third number below 0."""
    found = []
    for p, q in zip(points, np.roll(points, -1, axis=0), strict=True):
        if p[2] <= 0:
            found.append(p)
        if p[2] * q[2] < 0:
            found.append(p + (q - p) * (p[2] / (p[2] - q[2])))
    return np.array(found).reshape(-1, 3)


def _turn(points: Array, at: Array, u: Array, angle: float) -> Array:
    """Points turned about an axis through a point, by Rodrigues' formula."""
    p = points - at
    along = (p @ u)[:, None] * u
    turned: Array = at + along + (p - along) * np.cos(angle) + cross(np.broadcast_to(u, p.shape), p) * np.sin(angle)
    return turned


def _plan(walls: Sequence[Panel], outward: Array) -> tuple[Any, Array]:
    """The prism seen along its axis: its outline, and the frame (3, 2) in which it is drawn."""
    import shapely

    x = walls[0].to_space[:, 2]
    frame = np.column_stack((x, np.cross(outward, x)))
    corners = np.concatenate([w.in_space(w.outline) for w in walls]) @ frame
    return shapely.MultiPoint(corners).convex_hull, frame


def _steps_between(side: Panel, other: Panel, n: int) -> int:
    """How many sides apart two walls of a prism of n sides are."""
    cosine = float(np.clip(side.to_space[:, 2] @ other.to_space[:, 2], -1, 1))
    return round(float(np.arccos(cosine)) / (2 * pi / n))


def _hinge(piece: Piece, end: Panel) -> tuple[Panel, Array] | None:
    """The wall that an end hangs on, and the ends (2, 3) of the fold between."""
    for f in piece.folds:
        if end.id in f.panels:
            other = piece.panel(f.panels[0] if f.panels[1] == end.id else f.panels[1])
            if other.kind == "side":
                return other, other.in_space(np.array(f.line))
    return None
