"""Partly folded: where panels and tabs of a piece stand in space when its folds are bent by a share of their angle."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from foldsketch.net.model import Array, Piece
from foldsketch.net.refold import folded, rotations


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """One flat thing in space. loops: each (n, 3) mm, the outer first; panel: its panel; tab: number of the tab, or 0
    for a panel."""

    loops: tuple[Array, ...]
    panel: int
    tab: int


def standing(piece: Piece, share: float, tabs: bool = True) -> list[Standing]:
    """Panels and tabs of a piece, its folds bent by a share (0 flat, 1 folded); the first panel keeps its place."""
    bent = replace(piece, folds=tuple(replace(f, angle=f.angle * share) for f in piece.folds))
    places = folded(bent)
    found = []
    for p in piece.panels:
        m, o = places[p.id]
        found.append(Standing(tuple(loop @ m[:, :2].T + o for loop in (p.outline, *p.holes)), p.id, 0))
    if not tabs:
        return found
    for t in piece.tabs:
        m, o = places[t.panel]
        r, shift = rotations(np.array([t.line]), np.array([t.angle * share]))
        flat = np.column_stack((t.outline, np.zeros(len(t.outline))))
        found.append(Standing(((flat @ r[0].T + shift[0]) @ m.T + o,), t.panel, t.number))
    return found
