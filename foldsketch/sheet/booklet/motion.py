"""Arrows of the hand in a booklet's pictures: how a last face closes, and which way a wall is folded forward."""

from __future__ import annotations

import numpy as np

from foldsketch.assembly.partial_fold import fold_partially
from foldsketch.base.arrays import Array
from foldsketch.net.model import Piece
from foldsketch.sheet.booklet.net_faces import OPEN_LID_FOLD_FRACTION, hinge_panel
from foldsketch.sheet.booklet.scene import PaintedPath, PaintRank, faces_inward

ARROW_RANK: PaintRank = (9.5,)
"""Painted over all."""

BESIDE_SHARE = 1.12
"""An arrow runs so much farther from the fold than the corner that it belongs to."""

LID_FRACTIONS, FORWARD_FRACTIONS = np.linspace(OPEN_LID_FOLD_FRACTION + 0.06, 0.8, 9), np.linspace(0.3, 0.75, 9)
"""How far a face is folded along its arrow."""


def closing_arrow(piece: Piece, lid: int | None, camera: Array) -> list[PaintedPath]:
    """How the last face is swung shut, beside the corner that is farthest to the side in the picture."""
    hinge = hinge_panel(piece, lid)
    if hinge is None or lid is None:
        return []

    def at(fraction: float) -> Array:
        shown = fold_partially(piece, lambda f: fraction if lid in f.panels else 1.0, tabs=False, base=hinge.id)
        return next(s.loops[0] for s in shown if s.panel == lid)

    ajar, shut = at(OPEN_LID_FOLD_FRACTION), at(1.0)
    moved = np.linalg.norm(ajar - shut, axis=1)
    fold = ajar[moved < 1e-6]
    if not len(fold):
        return []
    foot = fold.mean(axis=0)
    far = np.flatnonzero(moved > 0.4 * moved.max())
    corner = far[int((np.abs((ajar[far] - foot) @ camera[0])).argmax())]
    path = np.array([foot + BESIDE_SHARE * (at(f)[corner] - foot) for f in LID_FRACTIONS])
    return [PaintedPath(path, rank=ARROW_RANK, arrow=True)]


def forward_arrow(piece: Piece, camera: Array, base: int | None) -> list[PaintedPath]:
    """Which way the wall of a bore is folded: its printed side in, which is not what one would do."""
    if not faces_inward(piece) or any(f.rolled for f in piece.folds):
        return []
    places = [
        {s.panel: s.loops[0].mean(axis=0) for s in fold_partially(piece, share, tabs=False, base=base)}
        for share in FORWARD_FRACTIONS
    ]
    middle = np.mean(list(places[-1].values()), axis=0)
    walls = [p.id for p in piece.panels if p.kind == "side"]
    last = max(walls, key=lambda k: float(np.linalg.norm(places[0][k] - places[-1][k])))
    path = np.array([middle + BESIDE_SHARE * (there[last] - middle) for there in places])
    return [PaintedPath(path, rank=ARROW_RANK, arrow=True)]
