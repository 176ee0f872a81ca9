"""Stages: what the booklet shows of a net that is glued: bent, opened and lifted as hands would have it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from math import cos, sin

import numpy as np

from foldsketch.assembly.build_warnings import equivalent_width
from foldsketch.assembly.glue_batches import folds_to_bend
from foldsketch.assembly.partial_fold import FoldedFace, fold_partially
from foldsketch.assembly.sequence import AssemblyStep
from foldsketch.base.arrays import Array
from foldsketch.base.drawing import WHITE, Colour, LineType
from foldsketch.net.marks.datum_lines import is_tick
from foldsketch.net.model import Fold, Panel, Piece
from foldsketch.sheet.booklet.scene import (
    ACTIVE_FILL,
    TAB_FILL,
    VIEW_ELEVATION_RAD,
    PaintedFace,
    PaintedPath,
    PaintRank,
    camera_axes,
    faces_inward,
    loop_normal,
    translate_faces,
)

OPEN_LID_FOLD_FRACTION = 0.3
"""How far a lid is bent while it stands open."""

MIN_LIFT_MM = 14.0
"""Least height at which what is set in is held above the open net, mm."""


TOP_RANK: PaintRank = (9.0,)


@dataclass(frozen=True, slots=True, eq=False)
class StepView:
    """Things in space and how they are seen, (3, 3) rows right, up, towards the reader."""

    things: list[PaintedFace | PaintedPath]
    seen: Array

    @property
    def with_outlines(self) -> StepView:
        """With the outline of every numbered tab dashed over all, for what hides behind a wall."""
        faces = [t for t in self.things if isinstance(t, PaintedFace) and t.label]
        loops = [np.vstack((f.loops[0], f.loops[0][:1])) for f in faces]
        outlines = [PaintedPath(loop, line=LineType.DASHED, rank=TOP_RANK) for loop in loops]
        return StepView([*self.things, *outlines], self.seen)

    @property
    def upside_down(self) -> bool:
        """Whether the part's +z end points down to the table."""
        up = self.seen[1] * cos(VIEW_ELEVATION_RAD) + self.seen[2] * sin(VIEW_ELEVATION_RAD)
        return float(up[2]) < -0.5


def _hinge_panel(piece: Piece, lid: int | None) -> Panel | None:
    """The panel that a lid hangs on."""
    if lid is None:
        return None
    for f in piece.folds:
        if lid in f.panels:
            return piece.panel(f.panels[0] if f.panels[1] == lid else f.panels[1])
    return None


def _panel_centre(panel: Panel) -> Array:
    there: Array = panel.to_space[:, :2] @ panel.outline.mean(axis=0) + panel.origin
    return there


def gluing_camera(piece: Piece, lid: int | None) -> Array:
    """How a net is seen while it is glued: its lid on top with the hinge at the back; a tube upright with its seam in
    front; anything else as it stands in the part."""
    hinge = _hinge_panel(piece, lid)
    if hinge is not None and lid is not None:
        top = piece.panel(lid)
        return camera_axes(top.to_space[:, 2], _panel_centre(hinge) - _panel_centre(top))
    sides = [f for f in piece.folds if all(piece.panel(k).kind == "side" for k in f.panels)]
    if not faces_inward(piece) or not sides:
        return camera_axes()
    first = piece.panel(sides[0].panels[0])
    along = first.to_space[:, :2] @ np.subtract(sides[0].line[1], sides[0].line[0])
    along = along / np.linalg.norm(along)
    if float(along @ (0.01, 0.02, 1.0)) < 0:
        along = -along
    seam = next((t for t in piece.tabs if t.meets.piece == piece.id), None)
    if seam is None:
        return camera_axes(along)
    middle = np.mean([_panel_centre(p) for p in piece.panels], axis=0)
    return camera_axes(along, middle - _panel_centre(piece.panel(seam.panel)))


def gluing_view(piece: Piece, step: AssemblyStep, lid: int | None) -> StepView:
    """A net folded up, not quite closed, the tabs that are glued now grey with their numbers."""
    kinds = {p.id: p.kind for p in piece.panels}
    sided = "side" in kinds.values()
    ready, now = folds_to_bend(piece, step.already_glued_tabs), folds_to_bend(piece, step.tabs)

    def share(f: Fold) -> float:
        if f.panels in ready:
            return 1.0
        if step.folded_features and f.panels not in now:
            return 0.0
        if lid in f.panels:
            return OPEN_LID_FOLD_FRACTION
        if not sided:
            return 0.82
        return 0.75 if any(kinds[k] != "side" for k in f.panels) else 0.88

    hinge = _hinge_panel(piece, lid)
    base = hinge.id if hinge else None
    seen = gluing_camera(piece, lid)
    if len(step.folded_features) == 1:
        base, seen = _table_panel_and_camera(piece, share, now)
    # Of a net that is glued in batches the faces at the folds of this one are light grey.
    turning = {k for pair in now - ready for k in pair} if step.folded_features or ready else set()
    things: list[PaintedFace | PaintedPath] = []
    for s in _without_glued_tabs(
        fold_partially(piece, share, base=base, tab_share=_tab_fold_fraction(step, 0.85)), step
    ):
        glued = bool(s.tab) and s.tab in step.tabs
        closing = not s.tab and s.panel == step.closing_panel
        moving = not s.tab and s.panel in turning
        fill = ACTIVE_FILL if glued or closing else TAB_FILL if moving else WHITE
        # Of what stands already the floor is painted before its walls, however near its middle is.
        rank = _paint_rank(piece, s, seen, s.panel == lid) if ready and not step.folded_features else ()
        things.append(PaintedFace(s.loops, fill, rank, str(s.tab) if glued else "", 0.18 if s.tab else 0.25))
    return StepView(things, seen)


def _paint_rank(piece: Piece, s: FoldedFace, seen: Array, lid: bool) -> PaintRank:
    """When a face of an open net is painted: an open lid, the floor seen from its blank side, walls seen from theirs,
    and what faces the reader."""
    if lid:
        return OPEN_LID_RANK
    if float(loop_normal(s.loops[0]) @ seen[2]) > 1e-6:
        return (2.0,)
    return (0.0, 2.0 if s.tab else 0.0 if piece.panel(s.panel).kind == "end" else 1.0)


def _table_panel_and_camera(
    piece: Piece, share: Callable[[Fold], float], now: Collection[tuple[int, int]]
) -> tuple[int, Array]:
    """A panel of what stays flat on the table, printed side down, and how the net is seen: what is folded in front. The
    panel is one below which nothing hangs, or as little as can be; of such the one with most that is flat around it."""
    lying = {p.id: {p.id} for p in piece.panels}
    for f in piece.folds:
        if share(f) == 0:
            one = lying[f.panels[0]] | lying[f.panels[1]]
            lying |= dict.fromkeys(one, one)
    best: tuple[float, float, int] | None = None
    for base in sorted({min(own) for own in lying.values()}):
        panel = piece.panel(base)
        up = -panel.to_space[:, 2]
        shown = fold_partially(piece, share, tabs=False, base=base)
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


def insertion_view(piece: Piece, others: Sequence[Piece], step: AssemblyStep, lid: int | None) -> StepView:
    """A net that stands open with what goes into it: tubes held above it, other nets where they go."""
    seen = gluing_camera(piece, lid)
    behind = _end_with_tube_behind(piece, others, step)
    if lid is None and behind is not None:
        seen = camera_axes(-behind.to_space[:, 2])  # from where it is open
    rest = [
        f
        for p in others
        if not faces_inward(p)
        for f in _closed_net_faces(p, step, seen, TAB_FILL if p.id in step.target_pieces else WHITE)
    ]
    return _lifted_tubes_view([*_open_net_faces(piece, step, lid, seen), *rest], others, step, seen, not rest)


def _end_with_tube_behind(piece: Piece, others: Sequence[Piece], step: AssemblyStep) -> Panel | None:
    """The end of a net behind which a tube is set in a step."""
    for p in (piece, *others):
        for t in p.tabs:
            if t.number in step.tabs and t.angle > 0 and p.id != t.meets.piece and piece.id in (p.id, t.meets.piece):
                end = piece.panel(t.panel if p is piece else t.meets.panel)
                if end.kind == "end":
                    return end
    return None


def gluing_onto_back_view(piece: Piece, others: Sequence[Piece], step: AssemblyStep, face: int) -> StepView:
    """A face with its printed side on the table, its walls up, and the tubes that are glued onto its back."""
    top = piece.panel(face)
    hinge = _hinge_panel(piece, face)
    back = _panel_centre(hinge) - _panel_centre(top) if hinge else np.array([0.0, 1.0, 0.0])
    seen = camera_axes(-top.to_space[:, 2], back)
    return _lifted_tubes_view(_closed_net_faces(piece, step, seen), others, step, seen, True)


def _lifted_tubes_view(
    body: Sequence[PaintedFace], others: Sequence[Piece], step: AssemblyStep, seen: Array, above: bool
) -> StepView:
    """Tubes above what they go into, or in it."""
    tubes = [p for p in others if faces_inward(p)]
    held = [
        f for p in tubes for f in _closed_net_faces(p, step, seen, ACTIVE_FILL if p.id in step.target_pieces else WHITE)
    ]
    if not above or not tubes:
        return StepView([*body, *held], seen)
    up = seen[1] * cos(VIEW_ELEVATION_RAD) + seen[2] * sin(VIEW_ELEVATION_RAD)
    heights = [f.loops[0] @ up for f in body if f.rank != OPEN_LID_RANK]
    top, low = max(float(h.max()) for h in heights), min(float(h.min()) for h in heights)
    bottom = min(float((f.loops[0] @ up).min()) for f in held)
    lift = up * (top - bottom + max(0.25 * (top - low), MIN_LIFT_MM))
    lines: list[PaintedFace | PaintedPath] = []
    for p in tubes:
        middle = np.mean([_panel_centre(q) for q in p.panels], axis=0)
        lines.append(PaintedPath(np.array([middle + lift, middle]), line=LineType.CENTRE, rank=(1.5,)))
    lifted = [PaintedFace(f.loops, f.fill, (3.0, *f.rank), f.label, f.pen) for f in translate_faces(held, lift)]
    return StepView([*body, *lines, *lifted], seen)


def closing_view(piece: Piece, others: Sequence[Piece], step: AssemblyStep, on_lid: Sequence[Piece] = ()) -> StepView:
    """A lid, grey, over what it closes; the tabs that it is pressed on are grey with their numbers. on_lid: what
    stands on the lid and opens with it."""
    if len(piece.panels) == 1:
        return _cap_view(piece, others, step)
    seen = gluing_camera(piece, step.closing_panel)
    things: list[PaintedFace | PaintedPath] = [*_open_net_faces(piece, step, step.closing_panel, seen)]
    for p in others:
        things += _closed_net_faces(p, step, seen)
    hinge = _hinge_panel(piece, step.closing_panel)
    if on_lid and hinge is not None and step.closing_panel is not None:
        turn, shift = _lid_motion(piece, step.closing_panel, hinge)
        for p in on_lid:
            for f in _closed_net_faces(p, step, seen):
                loops = tuple(loop @ turn.T + shift for loop in f.loops)
                things.append(PaintedFace(loops, f.fill, (*BEHIND_LID_RANK, *f.rank), f.label, f.pen))
    return StepView(things, seen)


def _lid_motion(piece: Piece, lid: int, hinge: Panel) -> tuple[Array, Array]:
    """How a lid moves from closed to ajar: rotation (3, 3) and shift (3,)."""

    def at(share: float) -> Array:
        shown = fold_partially(piece, lambda f: share if lid in f.panels else 1.0, tabs=False, base=hinge.id)
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
    """A face that is a net by itself held over the walls that it goes on, which are seen from that end."""
    from shapely import Point, Polygon

    cap = piece.panels[0]
    up = cap.to_space[:, 2]
    ticks = [m.at for m in piece.marks if m.kind == "datum" and m.paths]
    back = _panel_centre(cap) - cap.to_space[:, :2] @ ticks[0] - cap.origin if ticks else None  # its tick is in front
    seen = camera_axes(up, back)
    walls = [f for p in others for f in _closed_net_faces(p, step, seen)]
    heights = [f.loops[0] @ up for f in walls] or [np.zeros(1)]
    tall = max(float(h.max()) for h in heights) - min(float(h.min()) for h in heights)
    lift = up * max(0.4 * tall, MIN_LIFT_MM)
    lines: list[PaintedFace | PaintedPath] = []
    held = translate_faces(_closed_net_faces(piece, step, seen, ACTIVE_FILL), lift)
    lines += _datum_lines(piece, lift, 5.0)
    for p in others:
        lines += _datum_lines(p, np.zeros(3), 2.5, seen)
    hiding = Polygon(held[0].loops[0] @ seen[:2].T, [loop @ seen[:2].T for loop in held[0].loops[1:]])
    # All teeth of a rim bear one number: those that the face hides need not show it.
    hidden = [bool(f.label) and hiding.contains(Point(f.loops[0].mean(axis=0) @ seen[:2].T)) for f in walls]
    walls = [
        PaintedFace(f.loops, f.fill, f.rank, "" if h else f.label, f.pen) for f, h in zip(walls, hidden, strict=True)
    ]
    return StepView([*walls, *lines, *(PaintedFace(f.loops, f.fill, (4.0,), f.label, f.pen) for f in held)], seen)


def _datum_lines(piece: Piece, lift: Array, rank: float, seen: Array | None = None) -> list[PaintedFace | PaintedPath]:
    """The datum lines printed on a net, lifted; seen: only those on panels that face the reader."""
    lines: list[PaintedFace | PaintedPath] = []
    for m in piece.marks:
        if m.kind != "datum" or m.panel is None or not m.paths:
            continue
        panel = piece.panel(m.panel)
        if seen is not None and float(panel.to_space[:, 2] @ seen[2]) <= 1e-6:
            continue
        line = LineType.SOLID if is_tick(m.paths[0]) else LineType.DOTTED
        there = np.array(m.paths[0]) @ panel.to_space[:, :2].T + panel.origin + lift
        lines.append(PaintedPath(there, line=line, rank=(rank,)))
    return lines


OPEN_LID_RANK: PaintRank = (-1.0,)
BEHIND_LID_RANK: PaintRank = (-2.0,)


def _open_net_faces(piece: Piece, step: AssemblyStep, lid: int | None, seen: Array) -> list[PaintedFace]:
    """A net folded up with its lid open."""
    hinge = _hinge_panel(piece, lid)
    if len(piece.panels) == 1 or hinge is None:
        return _closed_net_faces(piece, step, seen, ACTIVE_FILL if step.closing_panel is not None else WHITE)
    shown = fold_partially(
        piece,
        lambda f: OPEN_LID_FOLD_FRACTION if lid in f.panels else 1.0,
        base=hinge.id,
        tab_share=_tab_fold_fraction(step),
    )
    return [
        _painted_face(
            piece, s, step, seen, ACTIVE_FILL if s.panel == step.closing_panel and not s.tab else WHITE, s.panel == lid
        )
        for s in _without_glued_tabs(shown, step)
    ]


def _closed_net_faces(piece: Piece, step: AssemblyStep | None, seen: Array, fill: Colour = WHITE) -> list[PaintedFace]:
    bend = _tab_fold_fraction(step) if step else 1.0
    shown = fold_partially(piece, 1.0, tabs=step is not None, base=piece.panels[0].id, tab_share=bend)
    return [
        _painted_face(piece, s, step, seen, fill, False) for s in (_without_glued_tabs(shown, step) if step else shown)
    ]


def _tab_fold_fraction(step: AssemblyStep, share: float = 1.0) -> Callable[[int], float]:
    """How far tabs are bent: those of the step; the others wait straight, out of the way."""
    return lambda number: share if number in step.tabs else 0.0


def _without_glued_tabs(shown: Sequence[FoldedFace], step: AssemblyStep) -> list[FoldedFace]:
    """Without the tabs that are glued already, for they lie behind."""
    return [s for s in shown if not s.tab or s.tab not in step.already_glued_tabs]


def _painted_face(
    piece: Piece, s: FoldedFace, step: AssemblyStep | None, seen: Array, fill: Colour, lid: bool
) -> PaintedFace:
    """A panel or tab as a face. Walls seen from their blank side come first, then bores, then what hides them."""
    now = step is not None and bool(s.tab) and s.tab in step.tabs
    if s.tab:
        fill = ACTIVE_FILL if now else WHITE
    rank = _paint_rank(piece, s, seen, lid)
    if faces_inward(piece) and not lid:
        rank = (1.0,)
    elif now and rank == (2.0,):
        rank = (1.5,)  # it goes behind the wall that it is glued to
    bends = {k for f in piece.folds if f.rolled for k in f.panels}
    pen = 0.18 if s.tab else 0.1 if s.panel in bends else 0.25
    return PaintedFace(s.loops, fill, rank, str(s.tab) if now else "", pen)
