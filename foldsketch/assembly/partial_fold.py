"""Partly folded: where panels and tabs of a piece are in space when its folds are bent by a share of their angle."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import dist

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.net.folding import fold_piece, fold_transforms
from foldsketch.net.model import ButtEdge, Fold, Piece
from foldsketch.net.tabs.taped_edges import TAPE_WIDTH_MM, tape_strips


@dataclass(frozen=True, slots=True, eq=False)
class FoldedFace:
    """One panel or tab in space.

    loops: each (n, 3) mm, the outline first; panel: its panel; tab: number of the tab, or of the edge that a strip of
    tape holds, or 0 for a panel; tape: it is the half of a strip that is on the panel.
    """

    loops: tuple[Array, ...]
    panel: int
    tab: int
    tape: bool = False


def fold_partially(
    piece: Piece,
    share: float | Callable[[Fold], float],
    tabs: bool = True,
    base: int | None = None,
    tab_share: float | Callable[[int], float] | None = None,
) -> list[FoldedFace]:
    """Panels, tabs and tape of a piece with its folds bent by a share (0 flat, 1 folded), one for all or one for each.

    base: the panel that keeps its place in the model, by default the first; tab_share: the share of tabs, one for all
    or by the number of each; by default that of the folds if they have one for all, else 1.
    """
    each = share if callable(share) else lambda _: share
    places = fold_piece(replace(piece, folds=tuple(f._replace(angle=f.angle * each(f)) for f in piece.folds)))
    if base is not None:
        panel = piece.panel(base)
        m, o = places[base]
        turn = panel.to_space @ m.T
        move = panel.origin - turn @ o
        places = {k: (turn @ m, turn @ o + move) for k, (m, o) in places.items()}
    found = []
    for p in piece.panels:
        m, o = places[p.id]
        found.append(FoldedFace(tuple(loop @ m[:, :2].T + o for loop in (p.outline, *p.holes)), p.id, 0))
    if not tabs:
        return found
    if tab_share is None:
        tab_share = 1.0 if callable(share) else share
    for t in piece.tabs:
        m, o = places[t.panel]
        bend = tab_share(t.number) if callable(tab_share) else tab_share
        r, shift = fold_transforms(np.array([t.line]), np.array([t.angle * bend]))
        flat = np.column_stack((t.outline, np.zeros(len(t.outline))))
        found.append(FoldedFace(((flat @ r[0].T + shift[0]) @ m.T + o,), t.panel, t.number))
    for b in piece.butts:
        m, o = places[b.panel]
        found += [FoldedFace((half @ m[:, :2].T + o,), b.panel, b.number, True) for half in _strip_halves(b)]
    return found


def _strip_halves(edge: ButtEdge) -> list[Array]:
    """The half of every strip of tape across an edge that is on the edge's own panel: (4, 2), mm on paper."""
    if not edge.strips:
        return []
    start, end = np.array(edge.line)
    length = dist(*edge.line)
    u = (end - start) / length
    deep = np.array([-u[1], u[0]]) * min(TAPE_WIDTH_MM / 2, length)
    found = []
    for x0, x1 in tape_strips(length):
        a, b = start + u * x0, start + u * x1
        found.append(np.array([a, b, b + deep, a + deep]))
    return found
