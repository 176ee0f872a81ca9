"""Ticks where strips of tape go: two at each strip, on both sides of the edge, so that they meet when it is closed."""

from __future__ import annotations

from collections.abc import Sequence
from math import dist

import numpy as np

from foldsketch.base.arrays import Array, Point
from foldsketch.base.vector import cross
from foldsketch.net.marks.panel_view import PanelView
from foldsketch.net.model import JointFacts, Mark, PaperLine, Piece
from foldsketch.net.tabs.taped_edges import tape_strips

TAPE_TICK_LENGTH_MM = 2.0
"""Length of a tick, mm; less on a panel that is not so deep."""

MAX_TICK_DEPTH_SHARE = 0.35
"""Share of a panel's depth behind its edge that a tick takes at most."""

FLAT_TOLERANCE_MM = 1e-3
"""What is nearer to a panel, or to a line, than this, mm, is on it."""

PROBE_MM, OFF_EDGE_MM = 0.05, 1e-6
"""Which side of a line the paper is on is tried so far beside it, mm; depth is measured from so far inside, mm."""


def mark_tape(pieces: Sequence[Piece], views: Sequence[PanelView], joints: Sequence[JointFacts]) -> None:
    """Ticks at the strips of every taped edge, and of the joints that tape holds."""
    names = {piece.id: k for k, piece in enumerate(pieces)}
    by_panel = {(s.piece, s.panel.id): s for s in views}
    for k, piece in enumerate(pieces):
        for b in piece.butts:
            if b.strips:
                _draw_ticks(by_panel[k, b.panel], b.line)
                _draw_ticks(by_panel[names[b.meets.piece], b.meets.panel], b.meets.line)
    for joint in joints:
        for block in joint.blocks:
            own = [s for s in views if s.block == block]
            for p, q in joint.taped_edges:
                _mark_joint_edge(own, joint, p, q)


def _mark_joint_edge(views: Sequence[PanelView], joint: JointFacts, p: Array, q: Array) -> None:
    """Ticks at one edge of a joint on one of its blocks.

    On the face beyond the outline, else on the wall that begins there.
    views: the panels of the block; p, q: (3,) ends of the edge.
    """
    middle = (p + q) / 2
    out = cross(q - p, joint.normal)
    out = out * np.sign(out @ (middle - joint.at)) / np.linalg.norm(out)
    walls = []
    for s in views:
        if abs(float((middle - s.panel.origin) @ s.normal)) > FLAT_TOLERANCE_MM:
            continue
        line = (_on_paper(s, p), _on_paper(s, q))
        if abs(float(s.normal @ joint.normal)) < 1 - 1e-9:
            walls += [(s, way) for way in (line, line[::-1]) if _has_paper_beside(s, way)]
        elif s.contains(_on_paper(s, middle + out * PROBE_MM)):
            _draw_ticks(s, min(line, line[::-1], key=lambda way: dist(_beside(way), _on_paper(s, middle + out))))
            return
    if walls:
        _draw_ticks(*walls[0])


def _on_paper(s: PanelView, p: Array) -> Point:
    x, y = s.to_paper(p).tolist()
    return (x, y)


def _beside(line: PaperLine, away: float = 1.0) -> Point:
    """The point to the left of a line's middle, mm away."""
    (x0, y0), (x1, y1) = line
    share = away / dist(*line)
    return ((x0 + x1) / 2 - (y1 - y0) * share, (y0 + y1) / 2 + (x1 - x0) * share)


def _has_paper_beside(s: PanelView, line: PaperLine) -> bool:
    """Whether a line is an edge of a panel, with paper on its left only."""
    return s.contains(_beside(line, PROBE_MM)) and not s.contains(_beside(line, -PROBE_MM))


def _draw_ticks(s: PanelView, line: PaperLine) -> None:
    """Two ticks at every strip across a line, to its left."""
    (x0, y0), (x1, y1) = line
    length = dist(*line)
    u, v = (x1 - x0) / length, (y1 - y0) / length
    paths = []
    for x in (along for strip in tape_strips(length) for along in strip):
        foot = (x0 + u * x, y0 + v * x)
        start = (foot[0] - v * OFF_EDGE_MM, foot[1] + u * OFF_EDGE_MM)
        depth = s.free_space.distance_to_edge(start, (-v, u), TAPE_TICK_LENGTH_MM / MAX_TICK_DEPTH_SHARE)
        size = MAX_TICK_DEPTH_SHARE * depth
        paths.append((foot, (foot[0] - v * size, foot[1] + u * size)))
    s.marks.append(Mark("tape", s.panel.id, "", paths[0][0], paths=tuple(paths)))
    for path in paths:
        s.free_space.add_obstacle(path)
