"""Steepest-edge unfolding, for any skin: every corner cuts the edge that climbs most steeply.

[Schlickenrieder, Nets of Polyhedra, 1997]
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.net.unfolding.face_graph import FaceGraph, half_edges_of_face
from foldsketch.net.unfolding.flatten import FlatPiece, flatten
from foldsketch.net.unfolding.fold_trees import foldable_edges, spanning_tree
from foldsketch.net.unfolding.strip_layouts import paper_up_direction
from foldsketch.solid.joining.skin import upright_frame

STEEPEST_EDGE_DIRECTION_COUNT = 10
"""Directions in which a steepest-edge tree is tried before the local search."""


def steepest_edge_layouts(
    graph: FaceGraph, faces: Sequence[int], direction: Array, barred: frozenset[int] = frozenset()
) -> Iterator[FlatPiece]:
    """Layouts from steepest-edge trees in several directions, which turn with direction (3,).

    The folds are the edges that no corner cuts, longest first. barred: half-edges that must not be folds.
    """
    edges = foldable_edges(graph, faces, barred)
    outgoing: dict[int, list[int]] = {}  # corner -> half-edges that leave it
    for f in faces:
        for h in half_edges_of_face(graph, f):
            outgoing.setdefault(graph.tail[h], []).append(h)
            outgoing.setdefault(graph.tail[graph.after[h]], []).append(graph.twin[h])
    root = max(faces, key=lambda f: (round(graph.area[f], 6), -f))
    along = upright_frame(direction)
    for c in _sample_directions():
        cut = _steepest_edges(graph, outgoing, graph.skin.corners @ (along @ c))
        ordered = sorted(edges, key=lambda h: (h in cut, -round(graph.length[h], 6), h))
        tree = spanning_tree(graph, ordered, root, faces)
        yield flatten(graph, root, tree, paper_up_direction(graph, root))


def _steepest_edges(graph: FaceGraph, outgoing: dict[int, list[int]], height: Array) -> set[int]:
    """The steepest half-edge out of every corner, with its twin. height: of every corner of the skin, mm."""
    cut: set[int] = set()
    for corner, edges in outgoing.items():

        def climb(h: int, corner: int = corner) -> tuple[float, int]:
            return round(float(height[graph.tail[graph.after[h]]] - height[corner]) / graph.length[h], 9), -h

        steepest = max(edges, key=climb)
        cut |= {steepest, graph.twin[steepest]}
    return cut


def _sample_directions() -> Iterator[Array]:
    """Directions on the upper half of a sphere, along a golden spiral.

    They are tilted so that no edge of an upright part is level or plumb to them.
    """
    golden = np.pi * (3 - np.sqrt(5))
    for k in range(STEEPEST_EDGE_DIRECTION_COUNT):
        z = 1 - (2 * k + 1) / STEEPEST_EDGE_DIRECTION_COUNT
        r = np.sqrt(1 - z * z)
        a = golden * k + 0.3
        v = np.array([0.11 + r * np.cos(a), 0.07 + r * np.sin(a), z + 0.13])
        yield v / np.linalg.norm(v)
