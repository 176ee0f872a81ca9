"""Insets: beside each net a small picture of the folded model that shows where the net goes in it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray

from foldsketch.base.arrays import Array, segments_to_array
from foldsketch.base.drawing import BLACK, WHITE, Colour, Item, Layer, Point, Stroke, Text
from foldsketch.net.model import ButtEdge, Nets, PaperLine, Piece, Tab
from foldsketch.sheet.layout.net_lines import chain_edges, point_keys, to_point_list

MAX_THUMBNAIL_SIZE_MM = (17.0, 16.0)
"""Largest width and height of the picture, mm."""

THUMBNAIL_NUMBER_WIDTH_MM = 6.0
THUMBNAIL_NUMBER_HEIGHT_MM = 3.4
"""Width and height for the net's number over the picture, mm."""

VIEW_AZIMUTH_RAD, VIEW_ELEVATION_RAD = -0.9, 0.62
"""Where the reader stands, radians."""

MAX_SHARP_EDGE_COSINE = cos(radians(50))
"""Two faces that turn by more than 50 degrees show the edge between them."""

OTHER_BLOCK_LINE_COLOUR: Colour = (0.62, 0.62, 0.62)
OWN_BLOCK_FILL: Colour = (0.93, 0.93, 0.93)
OWN_NET_FILL: Colour = (0.6, 0.6, 0.6)

Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

IndexRange = tuple[int, int]
"""First and last + 1 of points that follow each other."""


@dataclass(frozen=True, slots=True, eq=False)
class ModelThumbnail:
    """The model seen from the reader's place. size: mm; blocks: of every block, the farthest first, its number, shape
    and lines; pieces: of every net its shape, its lines and whether it is shown through what hides it."""

    size: tuple[float, float]
    points: Array
    blocks: tuple[tuple[int, tuple[IndexRange, ...], tuple[IndexRange, ...]], ...]
    pieces: dict[str, tuple[Array, IndexRange, tuple[IndexRange, ...], bool]]

    @property
    def box(self) -> tuple[float, float]:
        """Width and height with the number, mm."""
        return max(self.size[0], THUMBNAIL_NUMBER_WIDTH_MM), self.size[1] + THUMBNAIL_NUMBER_HEIGHT_MM

    def inset(self, piece: Piece, at: Point) -> list[Item]:
        """The picture with one net and its block in it drawn strong, the lower left corner of its box at a place on
        the page."""
        low = np.array((at[0] + (self.box[0] - self.size[0]) / 2, at[1]))
        points = to_point_list(self.points + low)
        outline, fill, lines, through = self.pieces[piece.id]
        own_points = to_point_list(outline + low)
        items: list[Item] = []
        for block, shapes, edges in self.blocks:
            own = block == piece.block
            items += [_fill_polygon(points, shape, OWN_BLOCK_FILL if own else WHITE) for shape in shapes]
            if own and not through:
                items.append(_fill_polygon(own_points, fill, OWN_NET_FILL))
            pen, colour = (0.18, BLACK) if own else (0.1, OTHER_BLOCK_LINE_COLOUR)
            items += [Stroke(Layer.FRAME, tuple(points[a:b]), width=pen, colour=colour) for a, b in edges]
        if through:
            items.append(_fill_polygon(own_points, fill, OWN_NET_FILL))
            items += [Stroke(Layer.FRAME, tuple(own_points[a:b]), width=0.13) for a, b in lines]
        top = (at[0] + self.box[0] / 2, at[1] + self.size[1] + THUMBNAIL_NUMBER_HEIGHT_MM - 2.5)
        return [*items, Text(Layer.FRAME, top, piece.id, 2.5, anchor="middle", bold=True)]


def _fill_polygon(points: list[Point], run: IndexRange, colour: Colour) -> Stroke:
    return Stroke(Layer.FRAME, tuple(points[run[0] : run[1]]), closed=True, colour=None, fill=colour)


def build_thumbnail(nets: Nets) -> ModelThumbnail:
    """What the insets of a model have in common."""
    eye = np.array(
        [
            cos(VIEW_ELEVATION_RAD) * cos(VIEW_AZIMUTH_RAD),
            cos(VIEW_ELEVATION_RAD) * sin(VIEW_AZIMUTH_RAD),
            sin(VIEW_ELEVATION_RAD),
        ]
    )
    right = np.array([-sin(VIEW_AZIMUTH_RAD), cos(VIEW_AZIMUTH_RAD), 0.0])
    plane = np.array([right, np.cross(eye, right)]).T
    panels = [(piece, p) for piece in nets.pieces for p in piece.panels]
    row = {(piece.id, p.id): k for k, (piece, p) in enumerate(panels)}
    turns, origins = np.array([p.to_space for _, p in panels]), np.array([p.origin for _, p in panels])
    # Outlines on the picture plane, all in one row.
    outlines = [p.outline for _, p in panels]
    counts = np.array([len(o) for o in outlines])
    which = np.repeat(np.arange(len(panels)), counts)
    corners = (turns[which, :, :2] @ np.concatenate(outlines)[:, :, None])[:, :, 0] + origins[which]
    starts = np.cumsum(counts) - counts
    middles = np.add.reduceat(corners, starts) / counts[:, None]
    piece_of = np.repeat(np.arange(len(nets.pieces)), [len(p.panels) for p in nets.pieces])
    block_of = np.array([p.block for p in nets.pieces])[piece_of]
    front = turns[:, :, 2] @ eye > 1e-6
    inner = _faces_inward(middles, turns[:, :, 2], piece_of)[piece_of]
    ends, left, other = _skin_edges(nets.pieces, row)
    ends = (turns[left, None, :, :2] @ ends[..., None])[..., 0] @ plane + (origins[left] @ plane)[:, None]
    contour = front[left] != front[other]
    sharp = (turns[left, :, 2] * turns[other, :, 2]).sum(axis=1) < MAX_SHARP_EDGE_COSINE
    # Walls of a bore are seen only through the bore: of their edges its rim alone is drawn.
    outer = front & ~inner
    visible = (outer[left] | outer[other]) & (contour | (sharp & front[left] & front[other]))
    # Edges run with what faces the reader on their left, or with the end, so that those of a loop follow each other.
    rank = np.array([p.kind != "end" for _, p in panels]) * len(panels) + np.arange(len(panels))
    swap = np.where(contour, front[other], rank[other] < rank[left])
    keys = point_keys(ends.reshape(-1, 2))
    chosen: list[int] = []

    def runs_of(wanted: Bools, turned: Bools) -> list[list[int]]:
        """Edges that follow each other, turned or not, as runs of rows in the ends."""
        edges = np.flatnonzero(wanted)
        last = turned[edges].astype(np.int64)
        start, end = (2 * edges + last).tolist(), (2 * edges + 1 - last).tolist()
        runs = chain_edges(range(len(edges)), [keys[k] for k in start], [keys[k] for k in end])
        return [[start[run[0]], *[end[e] for e in run]] for run in runs]

    def keep(indices: Iterable[int]) -> IndexRange:
        first = len(chosen)
        chosen.extend(indices)
        return first, len(chosen)

    def fill(faces: Bools) -> IndexRange:
        # One line round what the faces cover: what leads from one loop to the next is gone to and fro and encloses
        # nothing. Faces that look at the reader all go round the same way, so what they cover twice stays covered.
        loops = runs_of(faces[left] != faces[other], ~faces[left])
        return keep(k for loop in loops for k in (*loop, loops[0][0]))

    def lines(wanted: Bools) -> tuple[IndexRange, ...]:
        return tuple(keep(run) for run in runs_of(wanted, swap))

    drawn = []
    order = blocks_back_to_front(nets, eye)
    for block in order:
        facing = [(block_of == block) & front & (inner == k) for k in (True, False)]
        shapes = tuple(fill(faces) for faces in facing if faces.any())
        drawn.append((block, shapes, lines(visible & (block_of[left] == block))))
    painted = np.array([order.index(p.block) for p in nets.pieces])[piece_of]
    hidden = _hidden_faces(middles @ plane, corners @ plane, starts, outer, painted)
    shared = len(chosen)
    nets_: list[tuple[str, int, IndexRange, tuple[IndexRange, ...], bool]] = []
    for k, piece in enumerate(nets.pieces):
        own = piece_of == k
        seen = own & front
        through = bool((inner & own).any()) or bool(hidden[seen].all())
        start, shown = len(chosen), tuple[IndexRange, ...]()
        if through:
            shown = lines((own[left] != own[other]) | (own[left] & contour))
        nets_.append((piece.id, start, fill(seen if seen.any() else own), shown, through))
    points = ends.reshape(-1, 2)[chosen]
    low, high = points.min(axis=0), points.max(axis=0)
    scale = float(min(np.array(MAX_THUMBNAIL_SIZE_MM) / np.maximum(high - low, 1e-9)))
    size = (float(high[0] - low[0]) * scale, float(high[1] - low[1]) * scale)
    points = (points - low) * scale
    pieces = {}
    for name, start, (a, b), shown, through in nets_:
        moved = tuple((p - start, q - start) for p, q in shown)
        pieces[name] = (points[start:b], (a - start, b - start), moved, through)
    return ModelThumbnail(size, points[:shared], tuple(drawn), pieces)


def _skin_edges(pieces: Sequence[Piece], row: dict[tuple[str, int], int]) -> tuple[Array, Ints, Ints]:
    """Every edge of the skin once, from folds, tabs and butts: its ends (m, 2, 2) on the paper of the panel on its
    left, and rows of that panel and of the other."""
    found: list[tuple[PaperLine, int, int]] = []
    for piece in pieces:
        found += [(f.line, row[piece.id, f.panels[0]], row[piece.id, f.panels[1]]) for f in piece.folds]
        met: list[Tab | ButtEdge] = [*piece.tabs, *piece.butts]
        found += [(t.line, row[piece.id, t.panel], row[t.meets.piece, t.meets.panel]) for t in met]
    return segments_to_array([e[0] for e in found]), np.array([e[1] for e in found]), np.array([e[2] for e in found])


def _faces_inward(middles: Array, normals: Array, piece_of: Ints) -> Bools:
    """Of every piece whether its printed side lies inside, as on a bore: the faces look towards the middle of all."""
    count = np.bincount(piece_of)
    centre = np.stack([np.bincount(piece_of, middles[:, k]) for k in range(3)], axis=1) / count[:, None]
    outward = ((middles - centre[piece_of]) * normals).sum(axis=1)
    hollow: Bools = np.bincount(piece_of, outward) < -1e-6
    return hollow


def _hidden_faces(points: Array, corners: Array, starts: Ints, outer: Bools, painted: Ints) -> Bools:
    """Of every face whether a face that is painted later covers its middle. points: (n, 2), corners: all outlines in
    one row on the picture plane; starts: where each begins; painted: when its block is painted."""
    hidden = np.zeros(len(points), dtype=bool)
    asked, over = np.nonzero(outer & (painted < painted.max()))[0], outer & (painted > painted.min())
    if not len(asked):
        return hidden
    ahead = np.concatenate((corners[1:], corners[:1]))
    ahead[np.append(starts[1:], len(corners)) - 1] = corners[starts]
    (px, py), (ax, ay), (bx, by) = points[asked].T[:, :, None], corners.T, ahead.T
    rise = by - ay
    crossed = ((ay > py) != (by > py)) & (px < ax + (py - ay) * (bx - ax) / np.where(rise == 0, 1.0, rise))
    within = np.add.reduceat(crossed, starts, axis=1) % 2 == 1
    hidden[asked] = (within & over & (painted > painted[asked][:, None])).any(axis=1)
    return hidden


def blocks_back_to_front(nets: Nets, eye: Array) -> list[int]:
    """Blocks in the order in which they are painted: of two that are glued together the one behind the joint first."""
    behind: dict[int, set[int]] = {b.id: set() for b in nets.blocks}
    for j in nets.joints:
        one, two = j.blocks if float(j.normal @ eye) > 0 else j.blocks[::-1]
        behind[two].add(one)
    order: list[int] = []
    left = list(behind)
    while left:
        ready = next((b for b in left if behind[b] <= set(order)), left[0])
        order.append(ready)
        left.remove(ready)
    return order
