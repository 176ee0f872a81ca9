"""Pictures of blocks: one held over the place where it is glued, and the finished model."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from foldsketch.assembly.partial_fold import fold_partially
from foldsketch.base.arrays import Array
from foldsketch.base.drawing import BLACK, WHITE, Colour, LineType
from foldsketch.net.model import JointFacts, Mark, Nets, Piece
from foldsketch.sheet.booklet.scene import TAB_FILL, PaintedFace, PaintedPath, camera_axes, faces_inward
from foldsketch.sheet.booklet.step_views import StepView
from foldsketch.sheet.page.model_projection import blocks_back_to_front

CIRCLE_POINTS = 36
"""Points of a circle that is drawn on a face."""

LEADER_LENGTH_MM = 16.0
"""Length of the line from a centre to its letter on a model of 90 mm."""


def joint_view(
    nets: Nets, joint: JointFacts, apart: set[int], whole: set[int], colours: Mapping[str, Colour]
) -> StepView:
    """Blocks held over those that they are glued to, with the outline where they go and the datum ticks.

    apart, whole: blocks that are glued to one side and the other of the joint before now; the same when the joint
    closes a ring.
    """
    lifted = apart - whole
    away = joint.normal if joint.blocks[1] in lifted else -joint.normal
    up = away if lifted and float(away[2]) < -0.5 else None
    camera = camera_axes(up, None if up is None else np.array([0.0, 1.0, 0.0]))
    corners = np.concatenate([_corners_in_space(p) for p in nets.pieces if p.block in lifted] or [joint.outline])
    lift = away * (4 + 0.3 * float(np.ptp(corners @ away))) if lifted else np.zeros(3)
    things = _closed_blocks(nets, apart | whole, camera, colours, dict.fromkeys(lifted, lift), lifted)
    order = blocks_back_to_front(nets, camera[2])
    base = next((b for b in joint.blocks if b not in lifted), joint.blocks[0])
    if lifted and float(away @ camera[2]) > 0:
        colour = _outline_colour(nets, base, joint, colours)
        ring = np.concatenate((joint.outline, joint.outline[:1]))
        things.append(PaintedPath(ring, colour, rank=(order.index(base), 2.0)))
        for k in (0, len(joint.outline) // 3, 2 * len(joint.outline) // 3):
            p = joint.outline[k]
            things.append(PaintedPath(np.array([p, p + lift]), colour, LineType.DASHED, rank=(order.index(base), 3.0)))
    return StepView(things, camera)


def standing_view(
    nets: Nets, joint: JointFacts, apart: set[int], there: set[int], colours: Mapping[str, Colour]
) -> StepView:
    """Blocks above the flat net on whose slits one of them stands, with its tongues straight down.

    apart: the block with the tongues, and what is held to it already; there: blocks that stand on the net already.
    """
    tongues = [(p, t) for p in nets.pieces for t in p.tabs if t.slit and t.joint is not None]
    own = [(p, t) for p, t in tongues if nets.joints[t.joint or 0] is joint]
    carrier, first = own[0]
    # What stands on another face of the net is not where it will be: that is flat as well.
    there = there & {p.block for p, t in tongues if t.meets[:2] == first.meets[:2]}
    target = next(p for p in nets.pieces if p.id == first.meets.piece)
    panel = target.panel(first.meets.panel)
    away = panel.to_space[:, 2]
    camera = camera_axes(away, np.array([0.0, 1.0, 0.0]) if abs(float(away[1])) < 0.9 else np.array([1.0, 0.0, 0.0]))
    corners = np.concatenate([_corners_in_space(p) for p in nets.pieces if p.block in apart])
    lift = away * (10.0 + 0.3 * float(np.ptp(corners @ away)))
    things = _closed_blocks(nets, apart | there, camera, colours, dict.fromkeys(apart, lift), {carrier.block})
    for face in fold_partially(target, 0.0, base=panel.id):
        things.append(PaintedFace(face.loops, TAB_FILL if face.tab else WHITE, (-2.0, 0.0 if face.tab else 1.0)))
    ring = np.concatenate((joint.outline, joint.outline[:1]))
    things.append(PaintedPath(ring, _outline_colour(nets, target.block, joint, colours), rank=(-1.0, 0.0)))
    for piece, t in own:
        slit = panel.in_space(np.array(t.slit))
        things.append(PaintedPath(slit, rank=(-1.0, 1.0)))
        straight = fold_partially(piece, lambda _: 1.0, tab_share=0.0)
        things += [
            PaintedFace(tuple(loop + lift for loop in f.loops), WHITE, (-0.5,))
            for f in straight
            if f.tab == t.number and not f.tape
        ]
    return StepView(things, camera)


def finished_model_view(nets: Nets, colours: Mapping[str, Colour]) -> StepView:
    """The whole model with the letters of its axes."""
    camera = camera_axes()
    blocks = {b.id for b in nets.blocks}
    return StepView(_closed_blocks(nets, blocks, camera, colours, {}, set(), True), camera)


def _closed_blocks(
    nets: Nets,
    blocks: set[int],
    camera: Array,
    colours: Mapping[str, Colour],
    lift: Mapping[int, Array],
    grey: set[int],
    letters: bool = False,
) -> list[PaintedFace | PaintedPath]:
    """The faces of closed blocks that face the viewer, what is drawn on them, and datum lines or letters of axes."""
    order, drawn = blocks_back_to_front(nets, camera[2]), {f.name for f in nets.drawn}
    things: list[PaintedFace | PaintedPath] = []
    best: dict[str, tuple[float, PaintedPath]] = {}
    for piece in nets.pieces:
        if piece.block not in blocks:
            continue
        place, inside = float(order.index(piece.block)), faces_inward(piece)
        by = lift.get(piece.block, np.zeros(3))
        facing = {p.id: p for p in piece.panels if float(p.to_space[:, 2] @ camera[2]) > 1e-6}
        for p in facing.values():
            loops = tuple(p.in_space(loop) + by for loop in (p.outline, *p.holes))
            fill = TAB_FILL if piece.block in grey else WHITE
            things.append(PaintedFace(loops, fill, (place, 0.0 if inside else 1.0)))
        for d in piece.drawn:
            if d.panel in facing and d.feature in drawn:
                line = facing[d.panel].in_space(d.points(CIRCLE_POINTS)) + by
                things.append(PaintedPath(line, colours.get(d.axis, BLACK), rank=(place, 1.25)))
        for m in piece.marks:
            if m.panel not in facing or m.panel is None:
                continue
            panel = facing[m.panel]
            colour = colours.get(m.axis, BLACK)
            if m.kind == "datum" and not inside and not letters:
                for path in m.paths:
                    things.append(PaintedPath(panel.in_space(np.array(path)) + by, colour, rank=(place, 1.5)))
            if letters and m.kind == "centre" and not m.text:
                foot = panel.in_space(np.array(m.at))
                near = float(foot @ camera[2])
                if m.axis not in best or near > best[m.axis][0]:
                    leader = np.array([foot, foot + panel.to_space[:, 2] * LEADER_LENGTH_MM / _leader_scale(nets)])
                    best[m.axis] = (near, PaintedPath(leader, colour, LineType.CENTRE, m.axis, (1e6,)))
    return [*things, *(path for _, path in best.values())]


def _leader_scale(nets: Nets) -> float:
    """Scale that makes leaders equally long on small and large models."""
    size = max(float(np.ptp(_corners_in_space(p), axis=0).max()) for p in nets.pieces)
    return max(0.4, 90 / max(size, 1e-9))


def _corners_in_space(piece: Piece) -> Array:
    return np.concatenate([p.in_space(p.outline) for p in piece.panels])


def _outline_colour(nets: Nets, block: int, joint: JointFacts, colours: Mapping[str, Colour]) -> Colour:
    """The colour of the joint's outline as it is printed on the block that receives it."""
    found: list[tuple[float, Mark]] = []
    for piece in nets.pieces:
        if piece.block == block:
            for m in piece.marks:
                if m.kind == "outline" and m.panel is not None and m.paths:
                    middle = piece.panel(m.panel).in_space(np.array(m.at))
                    found.append((float(np.linalg.norm(middle - joint.outline.mean(axis=0))), m))
    if not found:
        return BLACK
    return colours.get(min(found, key=lambda f: f[0])[1].axis, BLACK)


def printed_joint_marks(nets: Nets, joint: JointFacts) -> tuple[bool, bool]:
    """Whether a joint's outline is printed on a face, and whether a datum tick starts at it and is outside it."""
    outlined = ticked_ = False
    rim = joint.outline
    middle = rim.mean(axis=0)
    for piece in nets.pieces:
        if piece.block not in joint.blocks:
            continue
        for m in piece.marks:
            if m.panel is None or not m.paths:
                continue
            points = piece.panel(m.panel).in_space(np.array(m.paths[0]))
            if m.kind == "outline":
                outlined |= all(float(np.linalg.norm(rim - p, axis=1).min()) < 1e-3 for p in points)
            elif m.kind == "datum" and max(abs(v) for v in ((points - middle) @ joint.normal).tolist()) < 1e-3:
                inner, outer = (float(np.linalg.norm(p - middle)) for p in points)
                ticked_ |= outer > inner and _is_on_loop(rim, points[0])
    return outlined, outlined and ticked_


def _is_on_loop(rim: Array, point: Array) -> bool:
    """Whether a point is on a closed line, within 0.001 mm."""
    a, b = rim, np.roll(rim, -1, axis=0)
    along = np.clip(((point - a) * (b - a)).sum(axis=1) / ((b - a) ** 2).sum(axis=1), 0, 1)
    return float(np.linalg.norm(a + along[:, None] * (b - a) - point, axis=1).min()) < 1e-3
