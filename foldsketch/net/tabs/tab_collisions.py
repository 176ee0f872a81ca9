"""Which tabs clash: with a panel or another tab on paper, with the rim of the panel they lie behind, or there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.net.tabs.cut_edges import CutEdge, UnfoldedLayout, tab_corners_behind, tab_corners_on_paper
from foldsketch.net.unfolding.face_graph import FaceGraph
from foldsketch.net.unfolding.flatten import ComplexPoints, face_polygons

_TAB_TEST_INSET = 0.001  # mm along the root, and share of the slanted sides, by which a tab is drawn in to be tested


@dataclass(frozen=True, slots=True, eq=False)
class CollisionIndex:
    """Where tabs are tested. on_paper, at_back: tails of half-edges, every piece and every face on ground of its own;
    panels: all panels on paper, in a tree; faces: every face, to hold the tabs behind it."""

    on_paper: ComplexPoints
    at_back: ComplexPoints
    panels: Any
    faces: Any


def build_collision_index(ground: UnfoldedLayout) -> CollisionIndex:
    """The ground as a field to test tabs on: made once, asked in every round."""
    from shapely import STRtree, prepare

    graph = ground.graph
    face = np.array(graph.face)
    piece = np.array([ground.piece_of[f] for f in range(graph.count)])[face]
    both = np.concatenate((ground.at, np.array(graph.flat)))
    both += _separating_shifts(both.real, np.concatenate((piece, piece.max() + 1 + face)), 50.0)
    on_paper, at_back = both[: len(face)], both[len(face) :]
    one, two = face_polygons(graph, on_paper), face_polygons(graph, at_back)
    shapes = one.joined(two).shapes
    faces = shapes[graph.count :]
    prepare(faces)
    return CollisionIndex(on_paper, at_back, STRtree(shapes[: graph.count]), faces)


def _separating_shifts(x: Array, group: Any, air: float) -> Array:
    """For every position a level shift, mm, the same within a group, that brings each group on ground of its own."""
    count = int(group.max()) + 1
    low, high = np.full(count, np.inf), np.full(count, -np.inf)
    np.minimum.at(low, group, x)
    np.maximum.at(high, group, x)
    wide = high - low + air
    shift: Array = (np.cumsum(wide) - wide - low)[group]
    return shift


def _inset_tabs(corners: ComplexPoints) -> Any:
    """Tabs (n, 4) as shapes with their roots drawn in by a hair, so that touching a neighbour at a corner is no
    clash."""
    import shapely

    p, a, b, q = corners.T
    u = (q - p) / np.abs(q - p) * _TAB_TEST_INSET
    clear = np.stack((p + (a - p) * _TAB_TEST_INSET + u, a, b, q + (b - q) * _TAB_TEST_INSET - u), axis=1)
    return shapely.polygons(np.stack((clear.real, clear.imag), axis=-1))


def colliding_tabs(graph: FaceGraph, live: list[CutEdge], new: list[int], field: CollisionIndex) -> set[int]:
    """Which of the new tabs among the live ones do not lie behind their panel, meet a panel on paper or another tab."""
    import shapely

    n = len(live)
    fresh = [live[i] for i in new]
    made = _inset_tabs(
        np.concatenate(
            (tab_corners_on_paper(fresh, graph, field.on_paper), tab_corners_behind(fresh, graph, field.at_back))
        )
    )
    on_paper, at_back = made[: len(new)], made[len(new) :]
    for e, paper, back in zip(fresh, on_paper, at_back, strict=True):
        e.test_polygons = (paper, back)
    shapes = np.fromiter((e.test_polygons[k] for k in (0, 1) for e in live), dtype=object, count=2 * n)
    inside = shapely.contains_properly(field.faces[[graph.face[live[i].target] for i in new]], at_back)
    bad = {i for i, ok in zip(new, inside.tolist(), strict=True) if not ok}
    hits, _ = field.panels.query(on_paper, predicate="intersects")
    bad |= {new[i] for i in hits.tolist()}
    left, right = shapely.STRtree(shapes).query(made, predicate="intersects")
    for i, j in zip(left.tolist(), right.tolist(), strict=True):
        # What lies on paper meets nothing that lies behind a panel.
        i, j = new[i % len(new)], j % n
        if i == j:
            continue
        # Of two that clash the wider gives way, and never one that is settled.
        a, b = live[i], live[j]
        if b.settled or _tab_width(a) > _tab_width(b) - 1e-9:
            bad.add(i)
    return bad


def _tab_width(e: CutEdge) -> float:
    """Width of its tab, mm; 0 for none."""
    return e.shape[0] if e.shape else 0.0
