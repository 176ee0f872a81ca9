"""Refold: the inverse of unfolding, and the oracle. It sees only the flat nets and the fold angles."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import Any

import numpy as np
from numpy.typing import NDArray

from foldsketch.base.arrays import Array, segments_to_array
from foldsketch.geometry.ragged_polygons import RaggedPolygons
from foldsketch.geometry.rasterize import edge_starts_and_ends
from foldsketch.net.model import ButtEdge, Checks, Fold, Nets, Panel, Piece, Tab
from foldsketch.net.unfolding.flatten import MIN_OVERLAP_AREA_MM2, common_area, intersecting_pairs


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


def _transforms_of(folds: Sequence[Fold]) -> tuple[Array, Array]:
    """Rotations (n, 3, 3) and shifts (n, 3) of the paper beyond folds."""
    # The fold line runs with the first panel on its left: the second panel lies beyond it.
    return fold_transforms(segments_to_array([f.line for f in folds]), np.array([f.angle for f in folds]))


def fold_piece(piece: Piece, bent: tuple[Array, Array] | None = None) -> dict[int, tuple[Array, Array]]:
    """Every panel of a piece in space, from its folds alone: panel -> (3, 3) rotation and (3,) shift of the paper.

    The first panel that carries the tree stands where the net says it stands; all others follow by folding. bent: what
    _bent says of its folds, where that is known already.
    """
    root = piece.panels[0]
    place = {root.id: (root.to_space, root.origin)}
    if not piece.folds:
        return place
    r, t = bent or _transforms_of(piece.folds)
    links: dict[int, list[tuple[int, int, bool]]] = {}
    for k, f in enumerate(piece.folds):
        links.setdefault(f.panels[0], []).append((k, f.panels[1], True))
        links.setdefault(f.panels[1], []).append((k, f.panels[0], False))
    queue = [root.id]
    for panel in queue:
        m, o = place[panel]
        for k, other, forward in links.get(panel, ()):
            if other in place:
                continue
            # Seen from the second panel the line runs the other way, and the same angle bends the first one back.
            rk = r[k] if forward else r[k].T
            tk = t[k] if forward else -r[k].T @ t[k]
            place[other] = (m @ rk, m @ tk + o)
            queue.append(other)
    return place


def check_nets(nets: Nets) -> Checks:
    """Fold everything up and measure: where edges meet, where panels stand, what overlaps, the volume enclosed."""
    turns: list[Array] = []
    shifts: list[Array] = []
    row: dict[tuple[str, int], int] = {}
    panels: list[Panel] = []
    block: list[int] = []
    r, t = _transforms_of([f for piece in nets.pieces for f in piece.folds])
    first = 0
    for piece in nets.pieces:
        part = slice(first, first := first + len(piece.folds))
        got = fold_piece(piece, (r[part], t[part]))
        for p in piece.panels:
            if p.id not in got:
                return Checks(float("inf"), float("inf"), False, float("inf"), float("inf"))
            row[piece.id, p.id] = len(panels)
            turns.append(got[p.id][0])
            shifts.append(got[p.id][1])
            panels.append(p)
            block.append(piece.block)
    m, o = np.array(turns), np.array(shifts)
    loops = [loop for p in panels for loop in (p.outline, *p.holes)]
    own = np.repeat(
        np.arange(len(panels)), [len(p.outline) + sum(len(h) for h in p.holes) for p in panels]
    )  # the panel of every corner
    corners, following = edge_starts_and_ends(loops)
    told = np.array([p.to_space for p in panels]), np.array([p.origin for p in panels])
    panel_gap = _max_distance(_to_space(m - told[0], o - told[1], corners, own))
    overlap, clash, inside = _check_flat(nets)
    area = np.bincount(own, corners[:, 0] * following[:, 1] - corners[:, 1] * following[:, 0], len(panels)) / 2
    volume = _volume_error(nets, np.array(block), area, m, o)
    return Checks(_max_edge_gap(nets, row, m, o), overlap, inside, volume, panel_gap, clash)


def _to_space(m: Array, o: Array, points: Array, panel: NDArray[np.int64]) -> Array:
    """Points on paper (n, 2) in space (n, 3), each on its panel."""
    lifted: Array = m[panel, :, 0] * points[:, :1] + m[panel, :, 1] * points[:, 1:] + o[panel]
    return lifted


def _max_distance(apart: Array) -> float:
    return float(np.sqrt((apart * apart).sum(axis=-1)).max(initial=0.0))


def _max_edge_gap(nets: Nets, row: dict[tuple[str, int], int], m: Array, o: Array) -> float:
    """How far the two sides of a glued edge stand apart, mm, where it is worst."""
    joints: list[tuple[Piece, Tab | ButtEdge]] = []
    for piece in nets.pieces:
        own: list[Tab | ButtEdge] = [*piece.tabs, *piece.butts]
        joints += [(piece, t) for t in own]
    if not joints:
        return 0.0
    here = np.repeat([row[piece.id, t.panel] for piece, t in joints], 2)
    there = np.repeat([row[t.meets.piece, t.meets.panel] for _, t in joints], 2)
    lines = segments_to_array([t.line for _, t in joints]).reshape(-1, 2)
    meets = segments_to_array([t.meets.line[::-1] for _, t in joints]).reshape(-1, 2)
    return _max_distance(_to_space(m, o, lines, here) - _to_space(m, o, meets, there))


def _volume_error(nets: Nets, block: NDArray[np.int64], area: Array, m: Array, o: Array) -> float:
    """Largest relative difference between a block's volume and what its refolded panels enclose; infinite for a block
    that encloses nothing, or is inside out."""
    # The divergence theorem: a third of area times distance from the origin, over all faces.
    share = area * (m[:, :, 2] * o).sum(axis=1) / 3
    worst = 0.0
    for b in nets.blocks:
        if b.volume <= 0:
            return inf
        worst = max(worst, abs(float(share[block == b.id].sum()) - b.volume) / b.volume)
    return worst


def _check_flat(nets: Nets) -> tuple[float, float, bool]:
    """Overlap of panels and tabs on paper (mm2), of tabs behind panels (mm2), and whether all tabs lie inside.

    Every piece, and every panel with the tabs behind it, is tested on ground of its own, all in one sweep.
    """
    import shapely

    panels = [(k, p) for k, piece in enumerate(nets.pieces) for p in piece.panels]
    tabs = [(k, t) for k, piece in enumerate(nets.pieces) for t in piece.tabs]
    rings = RaggedPolygons.of([(p.outline, *p.holes) for _, p in panels])
    ground = _piece_shifts(panels)
    if not tabs:
        return _total_overlap_area(rings.moved(ground)), 0.0, True
    flaps = RaggedPolygons.of([(t.outline,) for _, t in tabs])
    where = {k: g for (k, _), g in zip(panels, ground.tolist(), strict=True)}
    beside = np.array([where[k] for k, _ in tabs])
    overlap = _total_overlap_area(rings.moved(ground).joined(flaps.moved(beside)))
    row = {(nets.pieces[k].id, p.id): i for i, (k, p) in enumerate(panels)}
    target = np.array([row[t.meets.piece, t.meets.panel] for _, t in tabs])
    spread = _separating_shifts(rings)
    behind = _tabs_behind_panels([t for _, t in tabs], flaps).moved(spread[target])
    clear = behind.drawn_in
    panel = rings.moved(spread).shapes
    shapely.prepare(panel)
    inside = bool(shapely.covers(panel[target], clear).all())
    return overlap, _total_overlap_area(behind, clear), inside


def _separating_shifts(rings: RaggedPolygons) -> Array:
    """For every shape a level shift, mm, that brings each on ground of its own."""
    x = rings.points[:, 0]
    first = np.searchsorted(rings.shape_of, np.arange(len(rings.count)))
    low, high = np.minimum.reduceat(x, first), np.maximum.reduceat(x, first)
    wide = high - low + 10.0
    shift: Array = np.cumsum(wide) - wide - low
    return shift


def _piece_shifts(panels: Sequence[tuple[int, Panel]]) -> Array:
    """For every panel a shift that is the same within a piece and leaves pieces apart."""
    widest = float(np.abs(np.concatenate([p.outline for _, p in panels])).max()) * 2 + 50.0
    return np.array([k * widest for k, _ in panels])


def _total_overlap_area(rings: RaggedPolygons, clear: Any = None) -> float:
    """Area in common of shapes, mm2. clear: the same drawn in, where that is known already."""
    left, right = intersecting_pairs(rings.drawn_in if clear is None else clear)
    if not len(left):
        return 0.0
    area = common_area(rings.shapes[left], rings.shapes[right])
    return float(area[area > MIN_OVERLAP_AREA_MM2].sum())


def _tabs_behind_panels(tabs: Sequence[Tab], flaps: RaggedPolygons) -> RaggedPolygons:
    """The tabs where they lie behind the panels they meet, turned and moved until their roots are on the edges."""
    z = flaps.points[:, 0] + 1j * flaps.points[:, 1]
    ends = segments_to_array([line for t in tabs for line in (t.line, t.meets.line[::-1])]).reshape(-1, 8)
    a, b, c, d = ((ends[:, k] + 1j * ends[:, k + 1])[flaps.shape_of] for k in (0, 2, 4, 6))
    laid = c + (d - c) * (z - a) / (b - a)
    return RaggedPolygons(np.column_stack((laid.real, laid.imag)), flaps.size, flaps.count)
