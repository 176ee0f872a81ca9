"""Partly folded: where panels and tabs of a piece stand in space when its folds are bent by a share of their angle."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.net.model import Fold, Piece
from foldsketch.net.refold import fold_piece, fold_transforms


@dataclass(frozen=True, slots=True, eq=False)
class FoldedFace:
    """One flat thing in space. loops: each (n, 3) mm, the outer first; panel: its panel; tab: number of the tab, or 0
    for a panel."""

    loops: tuple[Array, ...]
    panel: int
    tab: int


def fold_partially(
    piece: Piece,
    share: float | Callable[[Fold], float],
    tabs: bool = True,
    base: int | None = None,
    tab_share: float | Callable[[int], float] | None = None,
) -> list[FoldedFace]:
    """Panels and tabs of a piece, its folds bent by a share (0 flat, 1 folded), one for all or one for each.

    base: the panel that keeps its place in the model, the first one by default; tab_share: how far tabs are bent, as
    the folds by default, one for all or by the number of each.
    """
    each = share if callable(share) else lambda _: share
    bent = replace(piece, folds=tuple(f._replace(angle=f.angle * each(f)) for f in piece.folds))
    places = fold_piece(bent)
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
    usual = tab_share if isinstance(tab_share, int | float) else share if not callable(share) else 1.0
    for t in piece.tabs:
        m, o = places[t.panel]
        bend = tab_share(t.number) if callable(tab_share) else usual
        r, shift = fold_transforms(np.array([t.line]), np.array([t.angle * bend]))
        flat = np.column_stack((t.outline, np.zeros(len(t.outline))))
        found.append(FoldedFace(((flat @ r[0].T + shift[0]) @ m.T + o,), t.panel, t.number))
    return found
