"""Thumbnails: beside each net a small picture of the folded model that shows where the net goes in it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.base.drawing import BLACK, WHITE, Colour, Item, Layer, Point, Stroke, Text
from foldsketch.net.model import Nets, Piece
from foldsketch.sheet.layout.net_lines import chain_edges, point_keys, to_point_list
from foldsketch.sheet.page.model_projection import (
    VIEW_DIRECTION,
    ProjectedEdges,
    ProjectedFaces,
    blocks_back_to_front,
    project_edges,
    project_faces,
)

MAX_THUMBNAIL_SIZE_MM = (17.0, 16.0)
"""Largest width and height of a picture, mm."""

THUMBNAIL_NUMBER_WIDTH_MM = 6.0
THUMBNAIL_NUMBER_HEIGHT_MM = 3.4
"""Room for the net's number over the picture, mm."""

OTHER_BLOCK_LINE_COLOUR: Colour = (0.62, 0.62, 0.62)
OWN_BLOCK_FILL: Colour = (0.93, 0.93, 0.93)
OWN_NET_FILL: Colour = (0.6, 0.6, 0.6)

IndexRange = tuple[int, int]
"""First and last + 1 of points that follow each other."""


class NetArea(NamedTuple):
    """Where a net is in the picture.

    points: (n, 2) of its paths, mm; fill: the path round its area; lines: paths to draw; through: it is drawn over what
    hides it.
    """

    points: Array
    fill: IndexRange
    lines: tuple[IndexRange, ...]
    through: bool


@dataclass(frozen=True, slots=True, eq=False)
class ModelThumbnail:
    """The model from where the viewer is.

    size: mm; points: (n, 2) of the blocks' paths, mm; blocks: number, areas and lines of every block, the farthest
    first; pieces: the area of every net.
    """

    size: tuple[float, float]
    points: Array
    blocks: tuple[tuple[int, tuple[IndexRange, ...], tuple[IndexRange, ...]], ...]
    pieces: dict[str, NetArea]

    @property
    def box(self) -> tuple[float, float]:
        """Width and height with the number, mm."""
        return max(self.size[0], THUMBNAIL_NUMBER_WIDTH_MM), self.size[1] + THUMBNAIL_NUMBER_HEIGHT_MM

    def draw_net(self, piece: Piece, at: Point, numbered: bool = True) -> list[Item]:
        """The picture with one net and its block emphasized.

        at: where the lower left corner of its box goes on the page, mm; numbered: with the number of the net.
        """
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
        if not numbered:
            return items
        top = (at[0] + self.box[0] / 2, at[1] + self.size[1] + THUMBNAIL_NUMBER_HEIGHT_MM - 2.5)
        return [*items, Text(Layer.FRAME, top, piece.id, 2.5, anchor="middle", bold=True)]


def _fill_polygon(points: list[Point], run: IndexRange, colour: Colour) -> Stroke:
    return Stroke(Layer.FRAME, tuple(points[run[0] : run[1]]), closed=True, colour=None, fill=colour)


def build_thumbnail(nets: Nets) -> ModelThumbnail:
    """The picture that the thumbnails of a model share."""
    faces = project_faces(nets)
    paths = _Paths(project_edges(nets, faces))
    blocks = []
    order = blocks_back_to_front(nets, VIEW_DIRECTION)
    for block in order:
        own = (faces.block == block) & faces.front
        layers = [own & (faces.inward == k) for k in (True, False)]
        shapes = tuple(paths.fill(layer) for layer in layers if layer.any())
        blocks.append((block, shapes, paths.lines(paths.edges.visible & (faces.block[paths.edges.left] == block))))
    shared = len(paths.rows)
    hidden = _hidden_faces(faces, np.array([order.index(p.block) for p in nets.pieces])[faces.piece])
    areas = []
    for k, piece in enumerate(nets.pieces):
        own, left, other = faces.piece == k, paths.edges.left, paths.edges.other
        seen = own & faces.front
        through = bool((faces.inward & own).any()) or bool(hidden[seen].all())
        start, lines = len(paths.rows), tuple[IndexRange, ...]()
        if through:
            lines = paths.lines((own[left] != own[other]) | (own[left] & paths.edges.silhouette))
        areas.append((piece.id, start, paths.fill(seen if seen.any() else own), lines, through))
    points = paths.edges.ends.reshape(-1, 2)[paths.rows]
    low, high = points.min(axis=0), points.max(axis=0)
    scale = float(min(np.array(MAX_THUMBNAIL_SIZE_MM) / np.maximum(high - low, 1e-9)))
    points = (points - low) * scale
    pieces = {}
    for name, start, (a, b), lines, through in areas:
        moved = tuple((p - start, q - start) for p, q in lines)
        pieces[name] = NetArea(points[start:b], (a - start, b - start), moved, through)
    width, height = ((high - low) * scale).tolist()
    return ModelThumbnail((width, height), points[:shared], tuple(blocks), pieces)


class _Paths:
    """Edges joined to paths. rows: the ends of edges, two rows an edge, on all paths so far."""

    def __init__(self, edges: ProjectedEdges) -> None:
        self.edges = edges
        self.rows: list[int] = []
        self._keys = point_keys(edges.ends.reshape(-1, 2))

    def lines(self, wanted: Bools) -> tuple[IndexRange, ...]:
        """Paths along these edges."""
        return tuple(self._keep(run) for run in self._runs(wanted, self.edges.swap))

    def fill(self, faces: Bools) -> IndexRange:
        """One path round the area of these faces.

        It goes from loop to loop and back, which encloses nothing; faces that the viewer sees all go round the same
        way, so an area covered twice stays covered.
        """
        loops = self._runs(faces[self.edges.left] != faces[self.edges.other], ~faces[self.edges.left])
        return self._keep(k for loop in loops for k in (*loop, loops[0][0]))

    def _runs(self, wanted: Bools, swapped: Bools) -> list[list[int]]:
        """Runs of edges that follow each other, from their first or second ends, as rows of the ends."""
        edges = np.flatnonzero(wanted)
        last = swapped[edges].astype(np.int64)
        start, end = (2 * edges + last).tolist(), (2 * edges + 1 - last).tolist()
        runs = chain_edges(range(len(edges)), [self._keys[k] for k in start], [self._keys[k] for k in end])
        return [[start[run[0]], *[end[e] for e in run]] for run in runs]

    def _keep(self, rows: Iterable[int]) -> IndexRange:
        first = len(self.rows)
        self.rows.extend(rows)
        return first, len(self.rows)


def _hidden_faces(faces: ProjectedFaces, painted: Ints) -> Bools:
    """For every face whether one that is painted later covers its middle. painted: when its block is painted."""
    points, corners, starts, outer = faces.middles, faces.corners, faces.starts, faces.outer
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
