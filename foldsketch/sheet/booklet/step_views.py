"""The picture of a step, and those of nets that are glued to themselves."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass

import numpy as np

from foldsketch.assembly.build_warnings import equivalent_width
from foldsketch.assembly.glue_batches import folds_to_bend
from foldsketch.assembly.partial_fold import fold_partially
from foldsketch.assembly.sequence import AssemblyStep
from foldsketch.base.arrays import Array
from foldsketch.base.drawing import WHITE, LineType
from foldsketch.net.model import Fold, Piece
from foldsketch.sheet.booklet.motion import closing_arrow, forward_arrow
from foldsketch.sheet.booklet.net_faces import (
    OPEN_LID_FOLD_FRACTION,
    hinge_panel,
    paint_rank,
    panel_centre,
    tab_fold_fraction,
    tape_face,
    without_glued_tabs,
)
from foldsketch.sheet.booklet.scene import (
    ACTIVE_FILL,
    TAB_FILL,
    PaintedFace,
    PaintedPath,
    PaintRank,
    camera_axes,
    camera_up,
    faces_inward,
)

TOP_RANK: PaintRank = (9.0,)
"""Painted last."""


@dataclass(frozen=True, slots=True, eq=False)
class StepView:
    """What a step shows. camera: (3, 3) rows right, up, towards the viewer."""

    things: list[PaintedFace | PaintedPath]
    camera: Array

    @property
    def with_outlines(self) -> StepView:
        """With the outline of every numbered tab dashed on top, for tabs behind a wall."""
        faces = [t for t in self.things if isinstance(t, PaintedFace) and t.label]
        loops = [np.vstack((f.loops[0], f.loops[0][:1])) for f in faces]
        outlines = [PaintedPath(loop, line=LineType.DASHED, rank=TOP_RANK) for loop in loops]
        return StepView([*self.things, *outlines], self.camera)

    @property
    def up(self) -> Array:
        """Unit vector up from the table, (3,)."""
        return camera_up(self.camera)

    @property
    def upside_down(self) -> bool:
        """Whether the part's +z end points down to the table."""
        return float(self.up[2]) < -0.5


def gluing_camera(piece: Piece, lid: int | None) -> Array:
    """Camera for a net that is glued: its last face on top with the hinge at the back.

    A tube upright with its seam in front; anything else as in the part.
    """
    hinge = hinge_panel(piece, lid)
    if hinge is not None and lid is not None:
        top = piece.panel(lid)
        return camera_axes(top.to_space[:, 2], panel_centre(hinge) - panel_centre(top))
    sides = [f for f in piece.folds if all(piece.panel(k).kind == "side" for k in f.panels)]
    if not faces_inward(piece) or not sides:
        return camera_axes()
    first = piece.panel(sides[0].panels[0])
    along = first.to_space[:, :2] @ np.subtract(sides[0].line[1], sides[0].line[0])
    along = along / np.linalg.norm(along)
    if float(along @ (0.01, 0.02, 1.0)) < 0:
        along = -along
    seam = next((t for t in piece.held_edges if t.meets.piece == piece.id), None)
    if seam is None:
        return camera_axes(along)
    middle = np.mean([panel_centre(p) for p in piece.panels], axis=0)
    return camera_axes(along, middle - panel_centre(piece.panel(seam.panel)))


def gluing_view(piece: Piece, step: AssemblyStep, lid: int | None) -> StepView:
    """A net folded up, not quite closed; the tabs of the step are grey with their numbers."""
    kinds = {p.id: p.kind for p in piece.panels}
    sided = "side" in kinds.values()
    ready, now = folds_to_bend(piece, step.already_glued_tabs), folds_to_bend(piece, step.tabs)

    def fraction(f: Fold) -> float:
        if f.panels in ready:
            return 1.0
        if step.folded_features and f.panels not in now:
            return 0.0
        if lid in f.panels:
            return OPEN_LID_FOLD_FRACTION
        if not sided:
            return 0.82
        return 0.75 if any(kinds[k] != "side" for k in f.panels) else 0.88

    hinge = hinge_panel(piece, lid)
    base = hinge.id if hinge else None
    camera = gluing_camera(piece, lid)
    if len(step.folded_features) == 1:
        base, camera = _table_panel_and_camera(piece, fraction, now)
    # Of a net that is glued in batches the faces at the folds of this one are light grey.
    turning = {k for pair in now - ready for k in pair} if step.folded_features or ready else set()
    things: list[PaintedFace | PaintedPath] = []
    for s in without_glued_tabs(
        fold_partially(piece, fraction, base=base, tab_share=tab_fold_fraction(step, 0.85)), step
    ):
        if s.tape:
            things.append(tape_face(s, camera))
            continue
        glued = bool(s.tab) and s.tab in step.tabs
        closing = not s.tab and s.panel == step.closing_panel
        moving = not s.tab and s.panel in turning
        fill = ACTIVE_FILL if glued or closing else TAB_FILL if moving else WHITE
        # In what is folded up already the floor is painted before its walls, however near its middle is.
        rank = paint_rank(piece, s, camera, s.panel == lid) if ready and not step.folded_features else ()
        things.append(PaintedFace(s.loops, fill, rank, str(s.tab) if glued else "", 0.18 if s.tab else 0.25))
    things += closing_arrow(piece, step.closing_panel, camera) or forward_arrow(piece, camera, base)
    return StepView(things, camera)


def _table_panel_and_camera(
    piece: Piece, fraction: Callable[[Fold], float], now: Collection[tuple[int, int]]
) -> tuple[int, Array]:
    """A panel that stays flat on the table, printed side down, and the camera: what is folded is in front.

    As little as possible is below the panel; of such panels it is the one with most that stays flat around it.
    """
    lying = {p.id: {p.id} for p in piece.panels}
    for f in piece.folds:
        if fraction(f) == 0:
            one = lying[f.panels[0]] | lying[f.panels[1]]
            lying |= dict.fromkeys(one, one)
    best: tuple[float, float, int] | None = None
    for base in sorted({min(own) for own in lying.values()}):
        panel = piece.panel(base)
        up = -panel.to_space[:, 2]
        shown = fold_partially(piece, fraction, tabs=False, base=base)
        low = min(float(((s.loops[0] - panel.origin) @ up).min()) for s in shown)
        size = sum(equivalent_width(piece.panel(k)) for k in lying[base])
        if best is None or (round(low, 3), size) > best[:2]:
            best = (round(low, 3), size, base)
    assert best is not None
    base = best[2]
    places = {s.panel: s.loops[0].mean(axis=0) for s in fold_partially(piece, 0.0, tabs=False, base=base)}
    folded = np.mean([places[k] for pair in now for k in pair], axis=0)
    back = np.mean([places[k] for k in lying[base]], axis=0) - folded
    return base, camera_axes(-piece.panel(base).to_space[:, 2], back)
