"""The faces of one net in a picture of the booklet: closed, or open at its last face; when each is painted."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from foldsketch.assembly.partial_fold import FoldedFace, fold_partially
from foldsketch.assembly.sequence import AssemblyStep
from foldsketch.base.arrays import Array
from foldsketch.base.drawing import WHITE, Colour
from foldsketch.net.model import Panel, Piece
from foldsketch.sheet.booklet.scene import ACTIVE_FILL, PaintedFace, PaintedPath, PaintRank, faces_inward, loop_normal

OPEN_LID_RANK: PaintRank = (-1.0,)
BEHIND_LID_RANK: PaintRank = (-2.0,)
"""When an open lid is painted, and what is on its far side."""

TAPE_RANK: PaintRank = (2.5,)
"""When tape is painted: after the face that it is on."""

OPEN_LID_FOLD_FRACTION = 0.3
"""How far the fold of an open lid is bent, of its angle."""


def hinge_panel(piece: Piece, lid: int | None) -> Panel | None:
    """The panel that a lid is hinged to."""
    if lid is None:
        return None
    for f in piece.folds:
        if lid in f.panels:
            return piece.panel(f.panels[0] if f.panels[1] == lid else f.panels[1])
    return None


def panel_centre(panel: Panel) -> Array:
    """The centre of a panel's corners in space, (3,)."""
    centre: Array = panel.in_space(panel.outline.mean(axis=0))
    return centre


def paint_rank(piece: Piece, s: FoldedFace, camera: Array, lid: bool) -> PaintRank:
    """When a face of an open net is painted.

    The open lid, then the floor and the walls that show their blank side, then what faces the viewer.
    """
    if lid:
        return OPEN_LID_RANK
    if float(loop_normal(s.loops[0]) @ camera[2]) > 1e-6:
        return (2.0,)
    return (0.0, 2.0 if s.tab else 0.0 if piece.panel(s.panel).kind == "end" else 1.0)


def open_net_faces(piece: Piece, step: AssemblyStep, lid: int | None, camera: Array) -> list[PaintedFace]:
    """A net folded up with its lid open."""
    hinge = hinge_panel(piece, lid)
    if len(piece.panels) == 1 or hinge is None:
        return closed_net_faces(piece, step, camera, ACTIVE_FILL if step.closing_panel is not None else WHITE)
    shown = fold_partially(
        piece,
        lambda f: OPEN_LID_FOLD_FRACTION if lid in f.panels else 1.0,
        base=hinge.id,
        tab_share=tab_fold_fraction(step),
    )
    return [
        _painted_face(
            piece,
            s,
            step,
            camera,
            ACTIVE_FILL if s.panel == step.closing_panel and not s.tab else WHITE,
            s.panel == lid,
        )
        for s in without_glued_tabs(shown, step)
    ]


def closed_net_faces(piece: Piece, step: AssemblyStep | None, camera: Array, fill: Colour = WHITE) -> list[PaintedFace]:
    """A net folded up. step: its tabs are shown; None: without tabs."""
    bend = tab_fold_fraction(step) if step else 1.0
    shown = fold_partially(piece, 1.0, tabs=step is not None, base=piece.panels[0].id, tab_share=bend)
    return [
        _painted_face(piece, s, step, camera, fill, False) for s in (without_glued_tabs(shown, step) if step else shown)
    ]


def tab_fold_fraction(step: AssemblyStep, fraction: float = 1.0) -> Callable[[int], float]:
    """How far tabs are bent, of their angle: those of the step; the others stay flat, out of the way."""
    return lambda number: fraction if number in step.tabs else 0.0


def without_glued_tabs(shown: Sequence[FoldedFace], step: AssemblyStep) -> list[FoldedFace]:
    """Without the tabs that are glued already, which are hidden, and with the tape of this step alone."""
    return [s for s in shown if (s.tab in step.tabs if s.tape else not s.tab or s.tab not in step.already_glued_tabs)]


def _painted_face(
    piece: Piece, s: FoldedFace, step: AssemblyStep | None, camera: Array, fill: Colour, lid: bool
) -> PaintedFace:
    """A panel or tab as a face.

    Walls that show their blank side are painted first, then bores, then what hides them.
    """
    if s.tape:
        return tape_face(s, camera)
    now = step is not None and bool(s.tab) and s.tab in step.tabs
    if s.tab:
        fill = ACTIVE_FILL if now else WHITE
    rank = paint_rank(piece, s, camera, lid)
    if faces_inward(piece) and not lid:
        rank = (1.0,)
    elif now and rank == (2.0,):
        rank = (1.5,)  # it goes behind the wall that it is glued to
    bends = {k for f in piece.folds if f.rolled for k in f.panels}
    pen = 0.18 if s.tab else 0.1 if s.panel in bends else 0.25
    return PaintedFace(s.loops, fill, rank, str(s.tab) if now else "", pen)


def tape_face(s: FoldedFace, camera: Array) -> PaintedFace:
    """A strip of tape as a face: on top of its panel, or only its number where that shows its blank side."""
    seen = float(loop_normal(s.loops[0]) @ camera[2]) > 1e-6
    return PaintedFace(s.loops, ACTIVE_FILL if seen else None, TAPE_RANK, str(s.tab), 0.18)


def datum_lines(piece: Piece, lift: Array, rank: float, camera: Array | None = None) -> list[PaintedFace | PaintedPath]:
    """The datum lines printed on a net, moved by lift (3,). camera: only those on panels that face the viewer."""
    lines: list[PaintedFace | PaintedPath] = []
    for m in piece.marks:
        if m.kind != "datum" or m.panel is None or not m.paths:
            continue
        panel = piece.panel(m.panel)
        if camera is not None and float(panel.to_space[:, 2] @ camera[2]) <= 1e-6:
            continue
        there = panel.in_space(np.array(m.paths[0])) + lift
        lines.append(PaintedPath(there, rank=(rank,)))
    return lines
