"""Fold-up check: nets are folded up again and measured. It sees only the flat nets and their fold angles."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np

from foldsketch.base.arrays import Array, Ints, segments_to_array
from foldsketch.base.vector import cross
from foldsketch.geometry.ragged_polygons import RaggedPolygons, edge_starts_and_ends
from foldsketch.net.folding import PanelPlacement, follow_folds, tabs_behind_panels, transforms_of
from foldsketch.net.folding import fold_piece as fold_piece
from foldsketch.net.folding import fold_transforms as fold_transforms
from foldsketch.net.model import ButtEdge, Checks, JointFacts, Nets, Panel, Piece, Tab
from foldsketch.net.unfolding.overlaps import measure_overlaps, separating_shifts


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
    r, t = transforms_of([f for piece in nets.pieces for f in piece.folds])
    places: list[PanelPlacement] = []
    first = 0
    for piece in nets.pieces:
        part = slice(first, first := first + len(piece.folds))
        folded = follow_folds(piece, r[part], t[part])
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
    inside = inside and _unglued_tabs_hold(nets)
    return Checks(
        refold_gap=_max_edge_gap(nets, folded),
        overlap_area=overlap,
        tabs_inside=inside,
        volume_error=_volume_error(nets, folded, area),
        panel_gap=_max_length(off.to_space(corners, own)),
        tab_clash=clash,
        overlap_depth=depth,
    )


def _unglued_tabs_hold(nets: Nets) -> bool:
    """Whether tongues are in their slits, and what is tucked in holds; most models have neither."""
    if all(t.glued for piece in nets.pieces for t in piece.tabs):
        return True
    from foldsketch.net.slit_check import slits_hold_tongues
    from foldsketch.net.tuck_check import tuck_faults

    return slits_hold_tongues(nets) and not tuck_faults(nets)


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
        lying = RaggedPolygons.from_loops([(t.behind,) for _, t in tabs])
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
    behind = tabs_behind_panels([t for _, t in tabs], lying).shift_right(shift[target])
    clear = behind.inset
    targets = panels.shift_right(shift).shapes
    shapely.prepare(targets)
    inside = bool(shapely.covers(targets[target], clear).all())
    clash, deep = measure_overlaps(behind)
    return overlap, clash, max(depth, deep), inside
