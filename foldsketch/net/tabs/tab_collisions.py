"""Which tabs collide: with a panel or another tab on paper, with the rim of the panel they are behind, or there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from foldsketch.geometry.ragged_polygons import TOUCH_TOLERANCE_MM
from foldsketch.net.tabs.cut_edges import CutEdge, UnfoldedLayout, tab_corners_behind, tab_corners_on_paper
from foldsketch.net.unfolding.face_graph import FaceGraph
from foldsketch.net.unfolding.flatten import ComplexPoints, face_polygons
from foldsketch.net.unfolding.overlaps import separating_shifts


@dataclass(frozen=True, slots=True, eq=False)
class CollisionIndex:
    """Where tabs are tested.

    on_paper, behind: tails of half-edges, every piece and every face apart from the others; panels: tree of all panels
    on paper; faces: every face, for the tabs behind it.
    """

    on_paper: ComplexPoints
    behind: ComplexPoints
    panels: Any
    faces: Any


def build_collision_index(layout: UnfoldedLayout) -> CollisionIndex:
    """The panels of a layout, ready to test tabs against."""
    from shapely import STRtree, prepare

    graph = layout.graph
    face = np.array(graph.face)
    piece = np.array([layout.piece_of[f] for f in range(graph.count)])[face]
    both = np.concatenate((layout.at, np.array(graph.flat)))
    group = np.concatenate((piece, piece.max() + 1 + face))
    both += separating_shifts(both.real, group)[group]
    on_paper, behind = both[: len(face)], both[len(face) :]
    shapes = face_polygons(graph, on_paper).concatenate(face_polygons(graph, behind)).shapes
    faces = shapes[graph.count :]
    prepare(faces)
    return CollisionIndex(on_paper, behind, STRtree(shapes[: graph.count]), faces)


def _inset_tabs(corners: ComplexPoints) -> Any:
    """Tabs (n, 4) as shapes that are smaller at their roots, so that touching a neighbour at a corner is no collision.

    They begin TOUCH_TOLERANCE_MM above the root, and as far from both of its ends.
    """
    import shapely

    p, a, b, q = corners.T
    u = (q - p) / np.abs(q - p)
    one, two = ((TOUCH_TOLERANCE_MM / np.abs((end * u.conj()).imag)) * end for end in (a - p, b - q))
    clear = np.stack((p + one + u * TOUCH_TOLERANCE_MM, a, b, q + two - u * TOUCH_TOLERANCE_MM), axis=1)
    return shapely.polygons(np.stack((clear.real, clear.imag), axis=-1))


def colliding_tabs(graph: FaceGraph, tabbed: Sequence[CutEdge], new: Sequence[int], index: CollisionIndex) -> set[int]:
    """Which of the new tabs, by position in tabbed, have to give way.

    Those that are not wholly behind their panel, meet a panel on paper, or meet a settled tab or one that is no wider.
    """
    import shapely

    if not new:
        return set()
    n = len(tabbed)
    fresh = [tabbed[i] for i in new]
    corners = (tab_corners_on_paper(fresh, graph, index.on_paper), tab_corners_behind(fresh, graph, index.behind))
    made = _inset_tabs(np.concatenate(corners))
    on_paper, behind = made[: len(new)], made[len(new) :]
    for e, paper, back in zip(fresh, on_paper, behind, strict=True):
        e.test_polygons = (paper, back)
    inside = shapely.contains_properly(index.faces[[graph.face[e.target] for e in fresh]], behind)
    bad = {i for i, ok in zip(new, inside.tolist(), strict=True) if not ok}
    hits, _ = index.panels.query(on_paper, predicate="intersects")
    bad |= {new[i] for i in hits.tolist()}
    shapes = np.fromiter((e.test_polygons[k] for k in (0, 1) for e in tabbed), dtype=object, count=2 * n)
    left, right = shapely.STRtree(shapes).query(made, predicate="intersects")
    for i, j in zip(left.tolist(), right.tolist(), strict=True):
        # What is on paper meets nothing that is behind a panel.
        i, j = new[i % len(new)], j % n
        if i != j and (tabbed[j].settled or _tab_width(tabbed[i]) > _tab_width(tabbed[j]) - 1e-9):
            bad.add(i)
    return bad


def _tab_width(e: CutEdge) -> float:
    """Width of its tab, mm; 0 for none."""
    return e.shape[0] if e.shape else 0.0
