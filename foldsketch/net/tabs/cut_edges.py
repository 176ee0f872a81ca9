"""Cut edges during the search for tabs: which face carries the tab, where both sides are, when each face is closed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from foldsketch.net.unfolding.face_graph import FaceGraph
from foldsketch.net.unfolding.flatten import ComplexPoints, FlatPiece, all_folds, half_edge_positions

TabShape = tuple[float, float, float]
"""Width of a tab and its two slants along the root, mm."""


@dataclass(slots=True, eq=False)
class CutEdge:
    """A cut edge during the search for its tab.

    carrier: the half-edge whose face carries the tab; target: the half-edge that it is glued behind; width_index: the
    width being tried, in TAB_WIDTHS_MM; flipped: both sides were tried; settled: its tab, or that it has none, is
    final; shape: None for an edge without a tab; test_polygons: the tab as last tested, on paper and behind its panel;
    bare: it needs neither tab nor tape; taped: tape holds it.
    """

    carrier: int
    target: int
    number: int = 0
    width_index: int = 0
    flipped: bool = False
    settled: bool = False
    shape: TabShape | None = None
    test_polygons: tuple[Any, Any] = (None, None)
    bare: bool = False
    taped: bool = False

    @property
    def loose(self) -> bool:
        """Neither tab nor tape holds it."""
        return self.shape is None and not self.taped


@dataclass(frozen=True, slots=True, eq=False)
class UnfoldedLayout:
    """All pieces, each on paper of its own.

    piece_of: face -> piece; folded: half-edges that are folds; rank: face -> its place in the order in which faces are
    closed; at: where the tail of every half-edge is on its piece, complex mm; apart: faces that are not built, because
    what they stand on closes their block.
    """

    graph: FaceGraph
    pieces: Sequence[FlatPiece]
    piece_of: dict[int, int]
    folded: frozenset[int]
    rank: dict[int, int]
    at: ComplexPoints
    apart: frozenset[int] = frozenset()


def build_unfolded_layout(
    graph: FaceGraph, pieces: Sequence[FlatPiece], apart: frozenset[int] = frozenset()
) -> UnfoldedLayout:
    """Gather what the search for tabs needs again and again. apart: faces that are not built."""
    piece_of = {f: k for k, piece in enumerate(pieces) for f in piece.place}
    folded = frozenset(x for piece in pieces for h in all_folds(graph, piece) for x in (h, graph.twin[h]))
    return UnfoldedLayout(
        graph, pieces, piece_of, folded, closing_order(graph, pieces), half_edge_positions(graph, pieces), apart
    )


def cut_edge(layout: UnfoldedLayout, h: int, bare: bool) -> CutEdge:
    """The cut edge of a half-edge.

    The panel that is closed earlier carries the tab, but no edge in a hole if the other side is in none, and no face
    that is not built.
    """
    graph, apart = layout.graph, layout.apart

    def key(x: int) -> tuple[float, ...]:
        return (graph.face[x] in apart, not graph.outer[x], layout.rank[graph.face[x]], x)

    h, g = sorted((h, graph.twin[h]), key=key)
    return CutEdge(h, g, settled=bare, bare=bare, flipped=graph.face[g] in apart)


def cut_half_edges(layout: UnfoldedLayout) -> list[int]:
    """One half-edge of every cut edge, in their order."""
    twin = layout.graph.twin
    return [h for h in range(len(twin)) if h < twin[h] and h not in layout.folded]


def tab_corners_on_paper(edges: Sequence[CutEdge], graph: FaceGraph, at: ComplexPoints) -> ComplexPoints:
    """Corners (n, 4) of the tabs of edges on paper, anticlockwise from the tail of the root. at: of all half-edges."""
    root = np.array([e.carrier for e in edges])
    return _tab_corners(edges, at[root], at[np.array(graph.after)[root]])


def tab_corners_behind(edges: Sequence[CutEdge], graph: FaceGraph, at: ComplexPoints) -> ComplexPoints:
    """Corners (n, 4) of the tabs behind their targets, in the order that they have on paper.

    at: tails of half-edges in their faces' frames.
    """
    target = np.array([e.target for e in edges])
    return _tab_corners(edges, at[np.array(graph.after)[target]], at[target])


def _tab_corners(edges: Sequence[CutEdge], p: ComplexPoints, q: ComplexPoints) -> ComplexPoints:
    """Corners of tabs to the right of their roots, which run from p to q (n,)."""
    width, a, b = np.array([e.shape for e in edges]).T
    u = (q - p) / np.abs(q - p)
    out = -1j * u * width
    return np.stack((p, p + u * a + out, q - u * b + out, q), axis=1)


def closing_order(graph: FaceGraph, pieces: Sequence[FlatPiece]) -> dict[int, int]:
    """The place of every face in the order in which faces are closed.

    Sides along the strip from its root, then ends, small before large. The last one is the lid: nobody can press a tab
    from behind it, so it carries none.
    """
    depth: dict[int, int] = {}
    for piece in pieces:
        for f in piece.place:  # parents come first
            depth[f] = depth[graph.across(piece.tree[f])] + 1 if f in piece.tree else 0

    def key(f: int) -> tuple[float, ...]:
        side = graph.faces[f].kind == "side"
        upward = round(float(graph.faces[f].normal[2]), 6)
        return (not side, depth[f] if side else 0, round(graph.area[f], 6), upward, f)

    return {f: k for k, f in enumerate(sorted(depth, key=key))}
