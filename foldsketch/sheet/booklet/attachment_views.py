"""Pictures of steps in which a net is glued to others: set in, put on, closed over them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from foldsketch.assembly.partial_fold import fold_partially
from foldsketch.assembly.sequence import AssemblyStep
from foldsketch.base.arrays import Array
from foldsketch.base.drawing import WHITE, LineType
from foldsketch.net.model import Panel, Piece
from foldsketch.sheet.booklet.motion import closing_arrow
from foldsketch.sheet.booklet.net_faces import (
    BEHIND_LID_RANK,
    OPEN_LID_FOLD_FRACTION,
    OPEN_LID_RANK,
    closed_net_faces,
    datum_lines,
    hinge_panel,
    open_net_faces,
    panel_centre,
)
from foldsketch.sheet.booklet.scene import (
    ACTIVE_FILL,
    TAB_FILL,
    PaintedFace,
    PaintedPath,
    camera_axes,
    camera_up,
    faces_inward,
    loop_normal,
    translate_faces,
)
from foldsketch.sheet.booklet.step_views import StepView, gluing_camera

MIN_LIFT_MM = 14.0
"""Least height of a tube above the open net that it goes into, mm."""


def insertion_view(piece: Piece, others: Sequence[Piece], step: AssemblyStep, lid: int | None) -> StepView:
    """An open net with what goes into it: tubes held above it, other nets in place."""
    camera = gluing_camera(piece, lid)
    behind = _end_with_tube_behind(piece, others, step)
    if lid is None and behind is not None:
        camera = camera_axes(-behind.to_space[:, 2])  # from where it is open
    rest = [
        f
        for p in others
        if not faces_inward(p)
        for f in closed_net_faces(p, step, camera, TAB_FILL if p.id in step.target_pieces else WHITE)
    ]
    return _lifted_tubes_view([*open_net_faces(piece, step, lid, camera), *rest], others, step, camera, not rest)


def _end_with_tube_behind(piece: Piece, others: Sequence[Piece], step: AssemblyStep) -> Panel | None:
    """The end of a net that a tube is glued behind in a step."""
    for p in (piece, *others):
        for t in p.held_edges:
            if t.number in step.tabs and t.angle > 0 and p.id != t.meets.piece and piece.id in (p.id, t.meets.piece):
                end = piece.panel(t.panel if p is piece else t.meets.panel)
                if end.kind == "end":
                    return end
    return None


def gluing_onto_back_view(piece: Piece, others: Sequence[Piece], step: AssemblyStep, face: int) -> StepView:
    """A net with one face printed side down on the table, its walls up, and the tubes that are glued onto its back."""
    top = piece.panel(face)
    hinge = hinge_panel(piece, face)
    back = panel_centre(hinge) - panel_centre(top) if hinge else np.array([0.0, 1.0, 0.0])
    camera = camera_axes(-top.to_space[:, 2], back)
    return _lifted_tubes_view(closed_net_faces(piece, step, camera), others, step, camera, True)


def _lifted_tubes_view(
    body: Sequence[PaintedFace], others: Sequence[Piece], step: AssemblyStep, camera: Array, above: bool
) -> StepView:
    """Tubes above what they go into, or in place."""
    tubes = [p for p in others if faces_inward(p)]
    held = [
        f
        for p in tubes
        for f in closed_net_faces(p, step, camera, ACTIVE_FILL if p.id in step.target_pieces else WHITE)
    ]
    if not above or not tubes:
        return StepView([*body, *held], camera)
    up = camera_up(camera)
    heights = [f.loops[0] @ up for f in body if f.rank != OPEN_LID_RANK]
    top, low = max(float(h.max()) for h in heights), min(float(h.min()) for h in heights)
    bottom = min(float((f.loops[0] @ up).min()) for f in held)
    lift = up * (top - bottom + max(0.25 * (top - low), MIN_LIFT_MM))
    lines: list[PaintedFace | PaintedPath] = []
    for p in tubes:
        middle = np.mean([panel_centre(q) for q in p.panels], axis=0)
        lines.append(PaintedPath(np.array([middle + lift, middle]), line=LineType.CENTRE, rank=(1.5,)))
    lifted = [PaintedFace(f.loops, f.fill, (3.0, *f.rank), f.label, f.pen) for f in translate_faces(held, lift)]
    return StepView([*body, *lines, *lifted], camera)


def closing_view(piece: Piece, others: Sequence[Piece], step: AssemblyStep, on_lid: Sequence[Piece] = ()) -> StepView:
    """An open last face, grey, over what it closes; the tabs under it are grey with their numbers.

    on_lid: nets on that face that open with it.
    """
    if len(piece.panels) == 1:
        return _cap_view(piece, others, step)
    camera = gluing_camera(piece, step.closing_panel)
    things: list[PaintedFace | PaintedPath] = [*open_net_faces(piece, step, step.closing_panel, camera)]
    for p in others:
        things += closed_net_faces(p, step, camera)
    hinge = hinge_panel(piece, step.closing_panel)
    if on_lid and hinge is not None and step.closing_panel is not None:
        turn, shift = _lid_motion(piece, step.closing_panel, hinge)
        for p in on_lid:
            for f in closed_net_faces(p, step, camera):
                loops = tuple(loop @ turn.T + shift for loop in f.loops)
                things.append(PaintedFace(loops, f.fill, (*BEHIND_LID_RANK, *f.rank), f.label, f.pen))
    return StepView([*things, *closing_arrow(piece, step.closing_panel, camera)], camera)


def _lid_motion(piece: Piece, lid: int, hinge: Panel) -> tuple[Array, Array]:
    """Rotation (3, 3) and shift (3,) that take a closed lid to where it stands open."""

    def at(fraction: float) -> Array:
        shown = fold_partially(piece, lambda f: fraction if lid in f.panels else 1.0, tabs=False, base=hinge.id)
        return next(s.loops[0] for s in shown if s.panel == lid)

    def frame(loop: Array) -> Array:
        x = loop[1] - loop[0]
        x = x / np.linalg.norm(x)
        z = loop_normal(loop)
        return np.column_stack((x, np.cross(z, x), z))

    closed, ajar = at(1.0), at(OPEN_LID_FOLD_FRACTION)
    turn = frame(ajar) @ frame(closed).T
    return turn, ajar[0] - turn @ closed[0]


def _cap_view(piece: Piece, others: Sequence[Piece], step: AssemblyStep) -> StepView:
    """A face that is a net by itself, held over the walls that it goes on, seen from that end."""
    from shapely import Point, Polygon

    cap = piece.panels[0]
    up = cap.to_space[:, 2]
    ticks = [m.at for m in piece.marks if m.kind == "datum" and m.paths]
    back = panel_centre(cap) - cap.to_space[:, :2] @ ticks[0] - cap.origin if ticks else None  # its tick is in front
    camera = camera_axes(up, back)
    walls = [f for p in others for f in closed_net_faces(p, step, camera)]
    heights = [f.loops[0] @ up for f in walls] or [np.zeros(1)]
    tall = max(float(h.max()) for h in heights) - min(float(h.min()) for h in heights)
    lift = up * max(0.4 * tall, MIN_LIFT_MM)
    lines: list[PaintedFace | PaintedPath] = []
    held = translate_faces(closed_net_faces(piece, step, camera, ACTIVE_FILL), lift)
    lines += datum_lines(piece, lift, 5.0)
    for p in others:
        lines += datum_lines(p, np.zeros(3), 2.5, camera)
    hiding = Polygon(held[0].loops[0] @ camera[:2].T, [loop @ camera[:2].T for loop in held[0].loops[1:]])
    # All teeth of a rim have one number: those that the face hides need not show it.
    hidden = [bool(f.label) and hiding.contains(Point(f.loops[0].mean(axis=0) @ camera[:2].T)) for f in walls]
    walls = [
        PaintedFace(f.loops, f.fill, f.rank, "" if h else f.label, f.pen) for f, h in zip(walls, hidden, strict=True)
    ]
    return StepView([*walls, *lines, *(PaintedFace(f.loops, f.fill, (4.0,), f.label, f.pen) for f in held)], camera)
