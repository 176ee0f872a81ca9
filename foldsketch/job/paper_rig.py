"""What stands on the tray beside the stands: the stop for a shift, and the tool that tries the room beside a neighbour.

Lengths are mm on paper. Nobody has built these: plays are assumed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from math import floor, hypot, pi

import numpy as np
import shapely

from foldsketch.base.arrays import Array
from foldsketch.job.model import Model
from foldsketch.job.paper_held import bodies
from foldsketch.net.model import Fold, Mark, Panel, Piece, Tab
from foldsketch.net.refold import fold_piece
from foldsketch.setup.model import SetUp
from foldsketch.sheet.setup_sheets.in_hand_tray import (
    SLIT_LENGTH_MM,
    SLIT_PITCH_MM,
    STOP_LEG_MM,
    STOP_LENGTH_MM,
)

TONGUE_DEPTH_MM, TONGUE_PLAY_MM = 9.0, 0.6
"""Depth of the stop's tongues, and their play in the slits."""

TOOL_PLAY_MM, LEAST_TOOL_MM, TOOL_SHAFT_MM, NIB_MM = 1.5, 3.0, 30.0, 2.5
"""Room left beside the tool, the narrowest one that is folded, its length behind the holder, and its nib."""

HOLDER_MM, HOLDER_HOLE_PLAY_MM = (24.0, 40.0, 26.0), 0.4
"""Width of the holder, length of its foot and height of its face; the hole around the tool is so much wider."""


@dataclass(frozen=True, slots=True)
class ToolRoom:
    """Room beside a turned feature: of the paper model and of the round part, radial; overhang: out of the holder.

    All mm on paper; side: width of the paper tool.
    """

    set_up: int
    feature: str
    paper: float
    round_part: float
    overhang: float
    side: float


def tool_room(s: SetUp, made: Model) -> ToolRoom | None:
    """The least room beside what a set-up turns on its centreline; None without a neighbour or where no tool fits.

    Corners of the turned body swing wider, and flats of the neighbour come no nearer than the round part: room in paper
    is less.
    """
    scale, found = made.nets.scale, None
    features = {f.name: f for f in made.part.features}
    overhangs = {r.feature: r.overhang for r in s.reach}
    all_bodies = bodies(s, made)
    for b in all_bodies:
        f = features[b.name]
        if b.name not in s.features or f.axis != s.clamping.on_centreline or not f.is_round:
            continue
        own = max(hypot(x, y) for x, y in b.outline)
        origin = shapely.Point(0, 0)
        beside = [
            o for o in all_bodies if o.start < b.end - 1 and o.end > b.start + 1 and o.shape.distance(origin) > own
        ]
        for o in beside:
            n = features[o.name]
            x, y = made.part.axis(n.axis).point[:2]
            away = hypot(x - s.clamping.at[0], y - s.clamping.at[1])
            nearest = (away - n.radius if n.is_round else o.shape.distance(origin) / scale) * scale
            room = o.shape.distance(origin) - own
            side = floor((room - TOOL_PLAY_MM) * 2) / 2
            out = overhangs.get(b.name, 0.0) * scale or b.end - b.start
            if side >= LEAST_TOOL_MM and (found is None or room < found.paper):
                found = ToolRoom(s.number, b.name, room, nearest - f.radius * scale, out, side)
    return found


def least_tool_room(rooms: list[ToolRoom | None]) -> ToolRoom | None:
    """The narrowest of several."""
    return min((r for r in rooms if r is not None), key=lambda r: r.paper, default=None)


def stop_strip() -> Piece:
    """An angle whose tongues stay in the upright's plane, so that it stands on the line of its slits."""
    long, leg = STOP_LENGTH_MM, STOP_LEG_MM
    wide = SLIT_LENGTH_MM - TONGUE_PLAY_MM
    first = (long - SLIT_PITCH_MM - wide) / 2
    tongues = [(first, first + wide), (first + SLIT_PITCH_MM, first + SLIT_PITCH_MM + wide)]
    upright, foot, folds = (
        [(long, leg), (0.0, leg), (0.0, 0.0)],
        [(0.0, 0.0), (0.0, -leg), (long, -leg), (long, 0.0)],
        [],
    )
    notches: list[tuple[float, float]] = []
    x = 0.0
    for a, b in tongues:
        folds.append(Fold((0, 1), ((x, 0.0), (a, 0.0)), -pi / 2))
        cut = [(a, 0.0), (a + 1, -TONGUE_DEPTH_MM), (b - 1, -TONGUE_DEPTH_MM), (b, 0.0)]
        upright += cut
        notches += cut
        x = b
    folds.append(Fold((0, 1), ((x, 0.0), (long, 0.0)), -pi / 2))
    upright.append((long, 0.0))
    outlines = [np.array(upright), np.array([*foot, *reversed(notches)])]
    marks = (
        Mark("text", 0, "", (long / 2, leg / 2), "stop", 3.5),
        Mark("text", 1, "", (long / 2, -leg / 2), "foot", 2.5),
    )
    return _folded("stop", outlines, folds, (), marks, "tongues through the slits")


def tool_pieces(room: ToolRoom) -> tuple[Piece, Piece]:
    """The tool, a channel of three walls with a nib, and the holder that it slides in: no seam, no glue."""
    b, long = room.side, room.overhang + TOOL_SHAFT_MM
    edges = [k * b for k in range(4)]
    outlines = [np.array(((x, 0.0), (y, 0.0), (y, long), (x, long))) for x, y in pairwise(edges)]
    outlines[1] = np.array(((b, 0.0), (b + 0.6, -NIB_MM), (2 * b, 0.0), (2 * b, long), (b, long)))
    folds = [Fold((k, k + 1), ((x, 0.0), (x, long)), pi / 2) for k, x in enumerate(edges[1:3])]
    ticks = tuple(((b, y), (1.5 * b, y)) for y in np.arange(5.0, long - 2, 5.0) if abs(y - room.overhang) > 2)
    out = ((b, room.overhang), (2 * b, room.overhang))
    marks = [Mark("outline", 1, "", (b, 0.0), paths=(*ticks, out))]
    text = f"{room.overhang:.0f} out"
    marks.append(Mark("text", 2, "", (2.5 * b, room.overhang + 8), text, min(3.5, b - 1.5), pi / 2))
    tool = _folded("tool", outlines, folds, (), tuple(marks), f"{b:g} wide, {room.overhang:.0f} out of the holder")
    w, foot, face = HOLDER_MM
    h = (b + HOLDER_HOLE_PLAY_MM) / 2
    x, y = w / 2, face / 2
    hole = np.array(((x - h, y - h), (x - h, y + h), (x + h, y + h), (x + h, y - h)))
    panels = [
        np.array(((0.0, 0.0), (w, 0.0), (w, face), (0.0, face))),
        np.array(((0.0, -foot), (w, -foot), (w, 0.0), (0.0, 0.0))),
    ]
    holder = _folded(
        "holder", panels, [Fold((0, 1), ((0.0, 0.0), (w, 0.0)), pi / 2)], (), (), "the tool slides in it", hole
    )
    return tool, holder


def _folded(
    name: str,
    outlines: list[Array],
    folds: list[Fold],
    tabs: tuple[Tab, ...],
    marks: tuple[Mark, ...],
    size: str,
    hole: Array | None = None,
) -> Piece:
    """A net whose panels know where they are when it is folded. hole: in its first panel."""
    holes = [(hole,) if hole is not None and k == 0 else () for k in range(len(outlines))]
    flat = tuple(
        Panel(k, o, h, name, "side", k, np.eye(3), np.zeros(3))
        for k, (o, h) in enumerate(zip(outlines, holes, strict=True))
    )
    piece = Piece(name, 0, flat, tuple(folds), tabs, marks=marks, title="", size=size)
    place = fold_piece(piece)
    return replace(piece, panels=tuple(replace(p, to_space=place[p.id][0], origin=place[p.id][1]) for p in flat))
