"""Fold-up check: nets are folded up again and measured. It sees only the flat nets and their fold angles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

import numpy as np

from foldsketch.base.arrays import Array, Ints, segments_to_array
from foldsketch.base.vector import cross
from foldsketch.geometry.ragged_polygons import RaggedPolygons, edge_starts_and_ends
from foldsketch.net.model import ButtEdge, Checks, Fold, JointFacts, Nets, Panel, Piece, Tab
from foldsketch.net.unfolding.overlaps import measure_overlaps, separating_shifts

MIN_SLIT_PLAY_MM, MIN_SLIT_DISTANCE_MM, MIN_TONGUE_INSET_MM = 0.25, 3.0, 0.5
"""Least play of a tongue at each end of its slit; distance of a slit from others, edges and holes; and of a tongue
behind a face from the face's edge, mm."""

PanelPlacement = tuple[Array, Array]
"""(3, 3) rotation and (3,) shift: from a piece's paper to space."""


def fold_transforms(lines: Array, angles: Array) -> tuple[Array, Array]:
    """Rotations (n, 3, 3) and shifts (n, 3) that turn the paper beyond fold lines by their angles.

    lines: (n, 2, 2) mm, in the paper's plane; angles: (n,) radians; positive bends away from the printed side.
    Rodrigues' formula for an axis in the plane.
    """
    d = lines[:, 1] - lines[:, 0]
    d = d / np.sqrt((d * d).sum(axis=1))[:, None]
    c, s = np.cos(angles), np.sin(angles)
    r = np.zeros((len(lines), 3, 3))
    x, y = d[:, 0], d[:, 1]
    r[:, 0, 0] = c + x * x * (1 - c)
    r[:, 1, 1] = c + y * y * (1 - c)
    r[:, 0, 1] = r[:, 1, 0] = x * y * (1 - c)
    r[:, 2, 2] = c
    r[:, 0, 2], r[:, 2, 0] = y * s, -y * s
    r[:, 1, 2], r[:, 2, 1] = -x * s, x * s
    p = np.column_stack((lines[:, 0], np.zeros(len(lines))))
    return r, p - np.einsum("nij,nj->ni", r, p)


def fold_piece(piece: Piece) -> dict[int, PanelPlacement]:
    """Every panel of a piece in space, by its id, from the folds alone.

    The first panel is where the net says it is; all others follow by folding. Panels on no fold are left out.
    """
    return _follow_folds(piece, *_transforms_of(piece.folds))


def _transforms_of(folds: Sequence[Fold]) -> tuple[Array, Array]:
    """Rotations (n, 3, 3) and shifts (n, 3) of the paper beyond folds.

    That is of the second panel, for the first one is left of the line.
    """
    return fold_transforms(segments_to_array([f.line for f in folds]), np.array([f.angle for f in folds]))


def _follow_folds(piece: Piece, r: Array, t: Array) -> dict[int, PanelPlacement]:
    """fold_piece with the transforms (n, 3, 3) and (n, 3) of its folds."""
    links: dict[int, list[tuple[int, Array, Array]]] = {p.id: [] for p in piece.panels}
    for (a, b), rk, tk in zip((f.panels for f in piece.folds), r, t, strict=True):
        # Seen from the second panel the line runs the other way, and the same angle bends the first one back.
        links[a].append((b, rk, tk))
        links[b].append((a, rk.T, -rk.T @ tk))
    root = piece.panels[0]
    place = {root.id: (root.to_space, root.origin)}
    queue = [root.id]
    for panel in queue:
        m, o = place[panel]
        for other, rk, tk in links[panel]:
            if other not in place:
                place[other] = (m @ rk, m @ tk + o)
                queue.append(other)
    return place


@dataclass(frozen=True, slots=True, eq=False)
class _FoldedPanels:
    """All panels of a model, folded.

    piece: number of the piece of each; row: (piece id, panel id) -> row; m: (n, 3, 3) rotations; o: (n, 3) shifts.
    """

    panels: list[Panel]
    piece: Ints
    row: dict[tuple[str, int], int]
    m: Array
    o: Array

    def to_space(self, points: Array, panel: Ints) -> Array:
        """Points on paper (n, 2) in space (n, 3), each on its panel."""
        lifted: Array = self.m[panel, :, 0] * points[:, :1] + self.m[panel, :, 1] * points[:, 1:] + self.o[panel]
        return lifted


def _fold_all(nets: Nets) -> _FoldedPanels | None:
    """All panels of a model in space; None if one of them is on no fold."""
    r, t = _transforms_of([f for piece in nets.pieces for f in piece.folds])
    places: list[PanelPlacement] = []
    first = 0
    for piece in nets.pieces:
        part = slice(first, first := first + len(piece.folds))
        folded = _follow_folds(piece, r[part], t[part])
        if len(folded) < len(piece.panels):
            return None
        places += [folded[p.id] for p in piece.panels]
    named = [(piece.id, p.id) for piece in nets.pieces for p in piece.panels]
    return _FoldedPanels(
        [p for piece in nets.pieces for p in piece.panels],
        np.repeat(np.arange(len(nets.pieces)), [len(piece.panels) for piece in nets.pieces]),
        {name: k for k, name in enumerate(named)},
        np.array([m for m, _ in places]),
        np.array([o for _, o in places]),
    )


def check_nets(nets: Nets) -> Checks:
    """Fold a model up and measure: where edges meet, where panels are, what overlaps, the volume enclosed."""
    folded = _fold_all(nets)
    if folded is None:
        return Checks(inf, inf, False, inf, inf)
    panels = folded.panels
    corners, following = edge_starts_and_ends([loop for p in panels for loop in (p.outline, *p.holes)])
    own = np.repeat(np.arange(len(panels)), [len(p.outline) + sum(map(len, p.holes)) for p in panels])
    stated = np.array([p.to_space for p in panels]), np.array([p.origin for p in panels])
    off = _FoldedPanels(panels, folded.piece, folded.row, folded.m - stated[0], folded.o - stated[1])
    area = np.bincount(own, corners[:, 0] * following[:, 1] - corners[:, 1] * following[:, 0], len(panels)) / 2
    overlap, clash, depth, inside = _check_flat(nets, folded)
    inside = inside and slits_hold_tongues(nets, folded)
    return Checks(
        refold_gap=_max_edge_gap(nets, folded),
        overlap_area=overlap,
        tabs_inside=inside,
        volume_error=_volume_error(nets, folded, area),
        panel_gap=_max_length(off.to_space(corners, own)),
        tab_clash=clash,
        overlap_depth=depth,
    )


def _max_length(vectors: Array) -> float:
    return float(np.sqrt((vectors * vectors).sum(axis=-1)).max(initial=0.0))


def _max_edge_gap(nets: Nets, folded: _FoldedPanels) -> float:
    """The largest gap between the two sides of a cut edge, mm, measured at its ends."""
    joints: list[tuple[Piece, Tab | ButtEdge]] = []
    for piece in nets.pieces:
        joints += [(piece, tab) for tab in piece.tabs]
        joints += [(piece, butt) for butt in piece.butts]
    if not joints:
        return 0.0
    here = np.repeat([folded.row[piece.id, t.panel] for piece, t in joints], 2)
    there = np.repeat([folded.row[t.meets.piece, t.meets.panel] for _, t in joints], 2)
    lines = segments_to_array([t.line for _, t in joints]).reshape(-1, 2)
    meets = segments_to_array([t.meets.line[::-1] for _, t in joints]).reshape(-1, 2)
    return _max_length(folded.to_space(lines, here) - folded.to_space(meets, there))


def _volume_error(nets: Nets, folded: _FoldedPanels, area: Array) -> float:
    """Largest relative difference between a block's volume and what its folded panels enclose.

    area: of every panel, mm2. Infinite for a block that encloses nothing, or is inside out.
    """
    # The divergence theorem: a third of area times distance from the origin, over all faces.
    share = area * (folded.m[:, :, 2] * folded.o).sum(axis=1) / 3
    block = np.array([piece.block for piece in nets.pieces])[folded.piece]
    closing = [(piece.block, nets.joints[j]) for piece in nets.pieces for j in piece.open]
    worst = 0.0
    for b in nets.blocks:
        if b.volume <= 0:
            return inf
        volume = float(share[block == b.id].sum()) + sum(_joint_share(j, b.id) for k, j in closing if k == b.id)
        worst = max(worst, abs(volume - b.volume) / b.volume)
    return worst


def _joint_share(joint: JointFacts, block: int) -> float:
    """What a joint that closes a block adds to its volume, mm3: a third of area times distance from the origin."""
    outward = joint.normal if joint.blocks[0] == block else -joint.normal
    twice = sum(
        (cross(loop[1:-1] - loop[0], loop[2:] - loop[0]).sum(axis=0) for loop in (joint.outline, *joint.holes)),
        start=np.zeros(3),
    )
    return abs(float(twice @ outward)) / 2 * float(outward @ joint.outline[0]) / 3


def _check_flat(nets: Nets, folded: _FoldedPanels) -> tuple[float, float, float, bool]:
    """Overlap of panels and tabs on paper (mm2), of tabs behind panels (mm2), depth (mm), whether all tabs are inside.

    Pieces, and panels with the tabs behind them, are shifted apart and tested all at once. Tabs that are turned in
    under a block have to be inside the outline of its joint, on the face that it stands on.
    """
    import shapely

    tabs = [(k, t) for k, piece in enumerate(nets.pieces) for t in piece.tabs]
    panels = paper = RaggedPolygons.from_loops([(p.outline, *p.holes) for p in folded.panels])
    piece = folded.piece
    if tabs:
        flaps = RaggedPolygons.from_loops([(t.outline,) for _, t in tabs])
        paper = panels.concatenate(flaps)
        piece = np.concatenate((piece, [k for k, _ in tabs]))
    shift = separating_shifts(paper.points[:, 0], piece[paper.shape_of_points])
    overlap, depth = measure_overlaps(paper.shift_right(shift[piece]))
    if not tabs:
        return overlap, 0.0, depth, True
    target = np.array([folded.row[t.meets.piece, t.meets.panel] for _, t in tabs])
    standing = {t.joint: row for (_, t), row in zip(tabs, target.tolist(), strict=True) if t.joint is not None}
    feet = {j: len(folded.panels) + k for k, j in enumerate(standing)}
    target = np.array([row if t.joint is None else feet[t.joint] for (_, t), row in zip(tabs, target, strict=True)])
    if standing:
        outlines = [((nets.joints[j].outline - folded.o[row]) @ folded.m[row][:, :2],) for j, row in standing.items()]
        panels = panels.concatenate(RaggedPolygons.from_loops(outlines))
    shift = separating_shifts(panels.points[:, 0], panels.shape_of_points)
    behind = tabs_behind_panels([t for _, t in tabs], flaps).shift_right(shift[target])
    clear = behind.inset
    targets = panels.shift_right(shift).shapes
    shapely.prepare(targets)
    inside = bool(shapely.covers(targets[target], clear).all())
    clash, deep = measure_overlaps(behind)
    return overlap, clash, max(depth, deep), inside


def slits_hold_tongues(nets: Nets, folded: _FoldedPanels) -> bool:
    """Whether every tongue, folded up, is in its slit with play at both ends, and lies clear behind the face.

    A slit keeps its distance from other slits, edges and holes; a tongue from the face's edge, from what is glued
    behind that, and from other tongues.
    """
    import shapely

    faces: dict[int, list[Tab]] = {}
    for t in (t for piece in nets.pieces for t in piece.tabs if t.slit):
        faces.setdefault(folded.row[t.meets.piece, t.meets.panel], []).append(t)
    for row, own in faces.items():
        panel = folded.panels[row]
        face = shapely.Polygon(panel.outline, panel.holes)
        slits = [shapely.LineString(t.slit) for t in own if t.slit]
        glued = [
            t
            for p in nets.pieces
            for t in p.tabs
            if t.joint is None and folded.row[t.meets.piece, t.meets.panel] == row
        ]
        there = [*own, *glued]
        shapes = tabs_behind_panels(there, RaggedPolygons.from_loops([(t.outline,) for t in there])).shapes
        lying = shapely.make_valid(shapes)
        for k, (t, slit) in enumerate(zip(own, slits, strict=True)):
            root = shapely.LineString(t.meets.line)
            ends = min(slit.boundary.distance(shapely.Point(p)) for p in t.meets.line)
            if slit.hausdorff_distance(slit.union(root)) > 1e-6 or slit.distance(root) > 1e-6:
                return False
            if slit.length - root.length < 2 * MIN_SLIT_PLAY_MM - 1e-6 or ends < MIN_SLIT_PLAY_MM - 1e-6:
                return False
            if not face.buffer(1e-6 - MIN_SLIT_DISTANCE_MM).covers(slit):
                return False
            if any(slit.distance(other) < MIN_SLIT_DISTANCE_MM - 1e-6 for other in slits[:k]):
                return False
            if not face.buffer(-MIN_TONGUE_INSET_MM).covers(lying[k]):
                return False
            if any(lying[k].intersection(lying[j]).area > 1e-6 for j in range(len(there)) if j != k):
                return False
    return True


def tabs_behind_panels(tabs: Sequence[Tab], flaps: RaggedPolygons) -> RaggedPolygons:
    """Tabs as they are behind the panels they meet: turned and moved until their roots are on the edges.

    Those under a block lie on the printed side of what it stands on, their own printed side down: mirrored.
    """
    z = flaps.points[:, 0] + 1j * flaps.points[:, 1]
    ends = segments_to_array([line for t in tabs for line in (t.line, t.meets.line[::-1])]).reshape(-1, 8)
    a, b, c, d = ((ends[:, k] + 1j * ends[:, k + 1])[flaps.shape_of_points] for k in (0, 2, 4, 6))
    along = (z - a) / (b - a)
    under = np.array([t.joint is not None for t in tabs])[flaps.shape_of_points]
    placed = c + (d - c) * np.where(under, along.conj(), along)
    return RaggedPolygons(np.column_stack((placed.real, placed.imag)), flaps.ring_sizes, flaps.ring_counts)
