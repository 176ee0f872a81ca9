"""Cut edges while tabs are sought: which face carries, where both sides lie, in which order faces are closed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from foldsketch.net.unfolding.face_graph import FaceGraph
from foldsketch.net.unfolding.flatten import ComplexPoints, FlatPiece, all_folds, half_edge_positions


@dataclass(slots=True, eq=False)
class CutEdge:
    """A cut edge during the search for its tab.

    carrier: the half-edge whose face carries the tab; target: the half-edge that it is glued behind; width_index: the
    width being tried, in TAB_WIDTHS_MM; settled: its tab, or that it has none, is final; shape: width and the two
    slants along the root, mm, or None for an edge without a tab; test_polygons: the tab as last tested, on paper and
    behind its panel; bare: it needs no tab.
    """

    carrier: int
    target: int
    number: int = 0
    width_index: int = 0
    flipped: bool = False
    settled: bool = False
    shape: tuple[float, float, float] | None = None
    test_polygons: tuple[Any, Any] = (None, None)
    bare: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class UnfoldedLayout:
    """The pieces of one block, each on its own paper.

    piece_of: face -> piece; folded: half-edges that are folds; rank: faces in the order in which they are closed;
    at: where the tail of every half-edge lies on its piece, complex mm.
    """

    graph: FaceGraph
    pieces: Sequence[FlatPiece]
    piece_of: dict[int, int]
    folded: frozenset[int]
    rank: dict[int, int]
    at: ComplexPoints


def build_unfolded_layout(graph: FaceGraph, pieces: Sequence[FlatPiece]) -> UnfoldedLayout:
    """Gather what the search for tabs asks for again and again."""
    piece_of = {f: k for k, laid in enumerate(pieces) for f in laid.place}
    folded = frozenset(x for laid in pieces for h in all_folds(graph, laid) for x in (h, graph.twin[h]))
    return UnfoldedLayout(
        graph, pieces, piece_of, folded, closing_order(graph, pieces), half_edge_positions(graph, pieces)
    )


def tab_corners_on_paper(edges: Sequence[CutEdge], graph: FaceGraph, at: ComplexPoints) -> ComplexPoints:
    """Corners (n, 4) of the tabs of edges on paper, anticlockwise from the tail of the root; at: as in Ground."""
    carry = np.array([e.carrier for e in edges])
    width, a, b = np.array([e.shape for e in edges]).T
    p, q = at[carry], at[np.array(graph.after)[carry]]
    u = (q - p) / np.abs(q - p)
    out = -1j * u * width
    return np.stack((p, p + u * a + out, q - u * b + out, q), axis=1)


def tab_corners_behind(edges: Sequence[CutEdge], graph: FaceGraph, at: ComplexPoints) -> ComplexPoints:
    """Corners (n, 4) of the tabs as they lie behind their targets; at: tails of half-edges in their faces' frames."""
    target = np.array([e.target for e in edges])
    width, a, b = np.array([e.shape for e in edges]).T
    tail, head = at[target], at[np.array(graph.after)[target]]
    u = (tail - head) / np.abs(tail - head)
    inside = -1j * u * width  # left of the target edge's own direction
    return np.stack((head, head + u * a + inside, tail - u * b + inside, tail), axis=1)


def closing_order(graph: FaceGraph, pieces: Sequence[FlatPiece]) -> dict[int, int]:
    """Rank of every face by when it is closed: inner tubes, then sides, then ends; within these as they hang.

    The last one is the lid: nothing behind it has to be reached, so it carries no tab.
    """
    rank = {}
    depth: dict[int, int] = {}
    for laid in pieces:
        depth[laid.root] = 0
        for f in laid.place:
            if f in laid.tree:
                depth[f] = depth[graph.face[graph.twin[laid.tree[f]]]] + 1
    kinds = {"side": 0, "other": 1, "end": 1}
    order = sorted(
        depth,
        key=lambda f: (
            kinds[graph.faces[f].kind],
            depth[f] if graph.faces[f].kind == "side" else 0,
            round(graph.area[f], 6),
            round(float(graph.faces[f].normal[2]), 6),
            f,
        ),
    )
    for k, f in enumerate(order):
        rank[f] = k
    return rank
