"""Lay faces flat: a tree of folds places every face of a piece on paper."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from foldsketch.geometry.graphs import breadth_first
from foldsketch.geometry.ragged_polygons import RaggedPolygons
from foldsketch.net.unfolding.face_graph import FaceGraph, half_edges_of_face

ComplexPoints = NDArray[np.complex128]
"""Positions on paper, x + iy, mm."""

RigidMotion = tuple[complex, complex]
"""turn (of length 1) and shift: position = turn * old position + shift, complex mm."""

FoldTree = dict[int, int]
"""child face -> the half-edge of the child that is folded to its parent; the root is absent."""

ChildFaces = defaultdict[int, list[int]]
"""face -> the faces that are folded to it"""

PAPER_POINT_TOLERANCE_MM = 1e-7
"""mm within which two points on paper are one."""


@dataclass(frozen=True, slots=True)
class FlatPiece:
    """Faces of one piece on paper. place: for every face the motion from its own frame to the paper."""

    root: int
    tree: FoldTree
    place: dict[int, RigidMotion]

    @property
    def up(self) -> complex:
        """The direction in the root's own frame that points up the paper."""
        return 1j / self.place[self.root][0]


def child_faces(graph: FaceGraph, tree: FoldTree) -> ChildFaces:
    """For every face the faces that are folded to it."""
    children: ChildFaces = defaultdict(list)
    for child, h in tree.items():
        children[graph.across(h)].append(child)
    return children


def subtree(children: ChildFaces, face: int) -> set[int]:
    """A face and all that hangs on it."""
    found = [face]
    for f in found:
        found += children.get(f, ())  # a list may grow while it is walked
    return set(found)


def flatten(graph: FaceGraph, root: int, tree: FoldTree, up: complex = 1j) -> FlatPiece:
    """Unroll a tree from its root. up: the direction in the root's own frame that points up the paper."""
    children = child_faces(graph, tree)
    turn = 1j / up
    place = {root: (turn / abs(turn), 0j)}
    for parent in breadth_first(root, children.__getitem__):
        for child in children[parent]:
            place[child] = hinged_place(graph, tree[child], place[parent])
    return FlatPiece(root, tree, place)


def hinged_place(graph: FaceGraph, h: int, parent: RigidMotion) -> RigidMotion:
    """Where a face goes when its half-edge h is folded to the face across it. parent: where that one is."""
    r, t = parent
    g = graph.twin[h]
    tail, head = r * graph.flat[graph.after[g]] + t, r * graph.flat[g] + t  # where h has to run
    turn = (head - tail) / (graph.flat[graph.after[h]] - graph.flat[h])
    turn /= abs(turn)
    return turn, tail - turn * graph.flat[h]


def cut_off_subtree(graph: FaceGraph, piece: FlatPiece, sub: set[int]) -> tuple[FlatPiece, FlatPiece]:
    """A piece cut at the fold above a subtree: what is left of it, and the subtree; both keep their direction."""
    head = next(f for f in sub if f not in piece.tree or graph.across(piece.tree[f]) not in sub)
    inner: FoldTree = {f: h for f, h in piece.tree.items() if f in sub and f != head}
    outer: FoldTree = {f: h for f, h in piece.tree.items() if f not in sub}
    return flatten(graph, piece.root, outer, piece.up), flatten(graph, head, inner, 1j / piece.place[head][0])


def points_on_paper(graph: FaceGraph, piece: FlatPiece) -> dict[int, complex]:
    """Where the tails of the half-edges of a piece are, face by face."""
    return {h: r * graph.flat[h] + t for f, (r, t) in piece.place.items() for h in half_edges_of_face(graph, f)}


def all_folds(graph: FaceGraph, piece: FlatPiece) -> list[int]:
    """The half-edges of a piece that are folds, each on the child's side for those of the tree.

    Further edges whose two sides meet on paper are folds too: two segments of one line, or a strip that closes again
    beyond a notch.
    """
    folds = list(piece.tree.values())
    known = {x for h in folds for x in (h, graph.twin[h])}
    at = points_on_paper(graph, piece)
    for h in at:
        g = graph.twin[h]
        if h in known or g not in at:
            continue
        apart = abs(at[h] - at[graph.after[g]]), abs(at[graph.after[h]] - at[g])
        if max(apart) < PAPER_POINT_TOLERANCE_MM:
            folds.append(h)
            known |= {h, g}
    return folds


def half_edge_positions(graph: FaceGraph, pieces: Sequence[FlatPiece]) -> ComplexPoints:
    """Where the tail of every half-edge is on its piece, mm. pieces: together hold every face."""
    turn, shift = np.empty(graph.count, dtype=complex), np.empty(graph.count, dtype=complex)
    for piece in pieces:
        faces = list(piece.place)
        turn[faces], shift[faces] = np.array(list(piece.place.values())).T
    face = np.array(graph.face)
    at: ComplexPoints = turn[face] * np.array(graph.flat) + shift[face]
    return at


def face_polygons(graph: FaceGraph, at: ComplexPoints) -> RaggedPolygons:
    """All faces as polygons, in order. at: where the tail of every half-edge is."""
    size = np.array([len(loop) for own in graph.loops for loop in own])
    return RaggedPolygons(np.column_stack((at.real, at.imag)), size, np.array([len(own) for own in graph.loops]))


def piece_polygons(graph: FaceGraph, piece: FlatPiece, faces: Sequence[int]) -> RaggedPolygons:
    """The faces of a piece as polygons on paper, in the order of faces."""
    at = points_on_paper(graph, piece)
    loops = [graph.loops[f] for f in faces]
    z = np.array([at[h] for own in loops for loop in own for h in loop])
    size = np.array([len(loop) for own in loops for loop in own])
    return RaggedPolygons(np.column_stack((z.real, z.imag)), size, np.array([len(own) for own in loops]))
