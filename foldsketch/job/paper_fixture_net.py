"""The net of a paper fixture with its marks: floor, walls, windows, taped corners, letters."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, hypot, pi, sin

import numpy as np
import shapely

from foldsketch.base.arrays import Array, Point
from foldsketch.job.model import Model
from foldsketch.job.paper_chuck_marks import DiscLabels, cross_mark, line_paths
from foldsketch.job.paper_chuck_net import flap_panels
from foldsketch.job.paper_fixture import FixtureShape
from foldsketch.job.paper_held import PaperBody, swing_text, to_disc
from foldsketch.net.marks.tape_ticks import TAPE_TICK_LENGTH_MM
from foldsketch.net.model import ButtEdge, Mark, MatingEdge, Panel, PaperLine, Piece
from foldsketch.setup.model import SetUp

FIXTURE_FOOT_MM, PRICK_LAND_MM = 18.0, 2.0
"""Radius of the foot of a fixture's cone, and card beside a prick, mm."""


def fixture_piece(s: SetUp, made: Model, shape: FixtureShape, held: PaperBody) -> Piece:
    """The fixture of a set-up as one net."""
    named = [(name, w) for name, w in (("flap", shape.flap), ("key", shape.key)) if w is not None]
    walls = [(f"wall {k}", w) for k, w in enumerate(shape.walls, 1)]
    panels, folds = flap_panels(f"fixture {s.number}", shape.floor, [*named, *walls], len(named))
    pricks = _fixture_pricks(shape)
    first = len(named) + 1
    # The far wall meets the one before it and the one after it at the pocket's corners.
    butts = []
    ticks: list[Mark] = []
    for number, (one, other) in enumerate((((first, 1), (first + 1, 3)), ((first + 1, 1), (first + 2, 3))), 1):
        a, b = _edge(panels, *one), _edge(panels, *other)
        butts.append(ButtEdge(number, one[0], a, MatingEdge(str(s.number), other[0], b), strips=1, angle=pi / 2))
        ticks += [_tape_ticks(one[0], a), _tape_ticks(other[0], b)]
    marks = _fixture_marks(s, made.nets.scale, shape, held.outline, pricks)
    c = s.clamping
    return Piece(
        *(str(s.number), 0, panels, folds),
        butts=tuple(butts),
        marks=(*marks, *ticks),
        title=f"{c.spindle} fixture, axis {c.on_centreline}",
        size=swing_text(s, made),
    )


def _edge(panels: Sequence[Panel], panel: int, first: int) -> PaperLine:
    """An edge of a flap from its corner of that number on."""
    outline = panels[panel].outline
    a, b = outline[first], outline[(first + 1) % len(outline)]
    return ((float(a[0]), float(a[1])), (float(b[0]), float(b[1])))


def _fixture_pricks(shape: FixtureShape) -> list[Point]:
    """Four places on the half disc for the cone's foot, as far apart as windows leave room."""
    windows = shapely.union_all([shapely.Polygon(w) for w in shape.windows]) if shape.windows else shapely.Polygon()
    room = shapely.Polygon(shape.floor).buffer(-PRICK_LAND_MM).difference(windows.buffer(PRICK_LAND_MM))
    turns = [t for t in np.linspace(pi / 2, 3 * pi / 2, 61) if room.contains(_at(FIXTURE_FOOT_MM, t))]
    chosen = [turns[round(k * (len(turns) - 1) / 3)] for k in range(4)] if len(turns) >= 4 else turns
    return [(FIXTURE_FOOT_MM * cos(t), FIXTURE_FOOT_MM * sin(t)) for t in chosen]


def _at(radius: float, turn: float) -> shapely.Point:
    return shapely.Point(radius * cos(turn), radius * sin(turn))


def _fixture_marks(
    s: SetUp, scale: float, shape: FixtureShape, held: Array, pricks: Sequence[Point]
) -> tuple[Mark, ...]:
    """Marks of a fixture: crosses of both axes, the outline of what is held, letters, pricks."""
    c = s.clamping
    at = to_disc(s, scale, np.array([s.held_at]))[0]
    windows = shapely.union_all([shapely.Polygon(w) for w in shape.windows]) if shape.windows else shapely.Polygon()
    outline = shapely.LinearRing(held).difference(windows.buffer(0.6)).intersection(shapely.Polygon(shape.floor))
    taken = [windows, outline, *(shapely.Point(p).buffer(1.0) for p in pricks)]
    taken += [shapely.Point(0, 0).buffer(5.0), shapely.Point(at).buffer(3.0)]
    labels = DiscLabels(shapely.Polygon(shape.floor), taken)
    across = shapely.LineString([(-5, 0), (5, 0)]).difference(windows.buffer(0.6))
    marks = [
        Mark("outline", 0, c.held_axis, (0.0, 0.0), paths=line_paths(outline)),
        Mark("pin", 0, "", (0.0, 0.0), dots=tuple((x, y, 0.4) for x, y in pricks)),
        Mark("centre", 0, c.on_centreline, (0.0, 0.0), paths=(*line_paths(across), ((0.0, -5.0), (0.0, 5.0)))),
    ]
    if not windows.intersects(shapely.Point(at).buffer(3.0)):
        marks.append(cross_mark((float(at[0]), float(at[1])), c.held_axis, 3.0))
    x0, y0, x1, y1 = shapely.Polygon(held).bounds
    pocket = [np.array((x, y)) for x in np.arange(x1 - 3, x0, -1.5) for y in np.arange((y0 + y1) / 2, y1, 1.5)]
    labels.put(c.held_axis, 5.0, pocket, c.held_axis) or labels.put(c.held_axis, 3.5, pocket, c.held_axis)
    left = [np.array((-r * cos(t), r * sin(t))) for r in (9, 12, 15, 18, 21) for t in np.arange(-1.4, 1.5, 0.1)]
    for text, size, axis in ((c.on_centreline, 5.0, c.on_centreline), (str(s.number), 5.0, "")):
        labels.put(text, size, left, axis) or labels.put(text, 3.5, left, axis)
    named = ("flap", shape.flap), ("key", shape.key)
    for k, (text, window) in enumerate(((t, w) for t, w in named if w is not None), 1):
        x, y = window.mean(axis=0)
        labels.marks.append(Mark("text", k, "", (float(x), float(y)), text, 2.5))
    return (*marks, *labels.marks)


def _tape_ticks(panel: int, line: PaperLine) -> Mark:
    """Two ticks to the left of an edge that is taped."""
    (x0, y0), (x1, y1) = line
    dx, dy = x1 - x0, y1 - y0
    paths = []
    for share in (0.3, 0.7):
        x, y = x0 + share * dx, y0 + share * dy
        tick = TAPE_TICK_LENGTH_MM / hypot(dx, dy)
        paths.append(((x, y), (x - dy * tick, y + dx * tick)))
    return Mark("tape", panel, "", paths[0][0], paths=tuple(paths))
