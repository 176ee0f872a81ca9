"""Lay faces flat: a tree of folds places every face of a piece on paper; and which of the faces overlap there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from foldsketch.base.arrays import Array
from foldsketch.geometry.ragged_polygons import RaggedPolygons, make_valid_polygons
from foldsketch.net.unfolding.face_graph import FaceGraph

ComplexPoints = NDArray[np.complex128]
"""Positions on paper, x + iy, mm."""

FoldTree = dict[int, int]
"""child face -> the half-edge of the child that is folded to its parent; the root is absent."""

MIN_OVERLAP_AREA_MM2 = 1e-3
"""Area in common, mm2, below which two panels do not overlap: what the grid and the last bits may leave of a shared
edge, and far below the width of a pencil line."""


@dataclass(frozen=True, slots=True)
class FlatPiece:
    """Faces of one piece on paper: position = turn * flat + shift, complex mm, for every face of the piece."""

    root: int
    tree: FoldTree
    place: dict[int, tuple[complex, complex]]


OVERLAP_GRID_MM = 1e-6
"""Grid in mm on which areas in common are formed: without one, two panels that meet along an edge within the last
bits of a number can be reported to cover each other."""


PAPER_POINT_TOLERANCE_MM = 1e-7
"""mm within which two points on paper are one."""


def flatten(graph: FaceGraph, root: int, tree: FoldTree, up: complex = 1j) -> FlatPiece:
    """Unroll a tree from its root; up is the direction in the root's own frame that points up the paper."""
    children: dict[int, list[int]] = {}
    for child, h in tree.items():
        children.setdefault(graph.face[graph.twin[h]], []).append(child)
    turn = 1j / up
    place = {root: (turn / abs(turn), 0j)}
    queue = [root]
    flat, after, twin = graph.flat, graph.after, graph.twin
    for parent in queue:
        r, t = place[parent]
        for child in children.get(parent, ()):
            h = tree[child]
            g = twin[h]
            a, b = r * flat[after[g]] + t, r * flat[g] + t  # where the child's edge must run
            own = flat[after[h]] - flat[h]
            q = (b - a) / own
            q /= abs(q)
            place[child] = (q, a - q * flat[h])
            queue.append(child)
    return FlatPiece(root, tree, place)


def all_folds(graph: FaceGraph, laid: FlatPiece) -> list[int]:
    """The half-edges of a piece that are folds, each on the child's side for those of the tree.

    Further edges whose two sides lie on each other on paper are folds too: two segments of one line, or a row that
    closes again beyond a notch.
    """
    found = list(laid.tree.values())
    known = {x for h in found for x in (h, graph.twin[h])}
    for f, (r, t) in laid.place.items():
        for loop in graph.loops[f]:
            for h in loop:
                g = graph.twin[h]
                other = graph.face[g]
                if h in known or other not in laid.place:
                    continue
                q, s = laid.place[other]
                here, there = r * graph.flat[h] + t, q * graph.flat[graph.after[g]] + s
                if abs(here - there) < PAPER_POINT_TOLERANCE_MM:
                    here, there = r * graph.flat[graph.after[h]] + t, q * graph.flat[g] + s
                    if abs(here - there) < PAPER_POINT_TOLERANCE_MM:
                        found.append(h)
                        known |= {h, g}
    return found


def half_edge_positions(graph: FaceGraph, pieces: Sequence[FlatPiece]) -> ComplexPoints:
    """Where the tail of every half-edge lies on its piece, mm; pieces together hold every face."""
    turn, shift = np.empty(graph.count, dtype=complex), np.empty(graph.count, dtype=complex)
    for laid in pieces:
        faces = list(laid.place)
        turn[faces], shift[faces] = np.array(list(laid.place.values())).T
    face = np.array(graph.face)
    at: ComplexPoints = turn[face] * np.array(graph.flat) + shift[face]
    return at


def face_polygons(graph: FaceGraph, at: ComplexPoints) -> RaggedPolygons:
    """All faces, in order. at: where the tail of every half-edge lies; half-edges stand loop by loop, face by face."""
    size = np.array([len(loop) for own in graph.loops for loop in own])
    return RaggedPolygons(np.column_stack((at.real, at.imag)), size, np.array([len(own) for own in graph.loops]))


def piece_polygons(graph: FaceGraph, laid: FlatPiece, faces: Sequence[int]) -> RaggedPolygons:
    """Laid faces, in order."""
    flat, size, count = [], [], []
    for f in faces:
        r, t = laid.place[f]
        count.append(len(graph.loops[f]))
        for loop in graph.loops[f]:
            size.append(len(loop))
            flat += [r * graph.flat[h] + t for h in loop]
    z = np.array(flat)
    return RaggedPolygons(np.column_stack((z.real, z.imag)), np.array(size), np.array(count))


def find_overlaps(rings: RaggedPolygons) -> list[tuple[int, int, float]]:
    """Pairs of shapes that overlap by more than NOTHING, with the area in mm2."""
    left, right = intersecting_pairs(rings.drawn_in)
    if not len(left):
        return []
    area = common_area(rings.shapes[left], rings.shapes[right])
    bad = area > MIN_OVERLAP_AREA_MM2
    return sorted((int(a), int(b), float(s)) for a, b, s in zip(left[bad], right[bad], area[bad], strict=True))


def common_area(one: Any, two: Any) -> Array:
    """Area in common of shapes, pair by pair, mm2."""
    import shapely

    try:
        area: Array = shapely.area(shapely.intersection(one, two, grid_size=OVERLAP_GRID_MM))
    except shapely.errors.GEOSException:
        # A hole that touches its outline within the last bits makes a shape invalid.
        valid = [np.array([make_valid_polygons(s) for s in shapes], dtype=object) for shapes in (one, two)]
        area = shapely.area(shapely.intersection(*valid, grid_size=OVERLAP_GRID_MM))
    return area


def intersecting_pairs(shapes: Any) -> tuple[Any, Any]:
    """Positions of shapes, drawn in, that meet: pairs in rising order."""
    import shapely

    left, right = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    keep = left < right
    return left[keep], right[keep]
