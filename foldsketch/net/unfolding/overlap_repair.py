"""Repair a net that overlaps itself: panels are hung on other edges until it lies flat without overlap."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from foldsketch.net.unfolding.face_graph import FaceGraph
from foldsketch.net.unfolding.flatten import (
    FlatPiece,
    RigidMotion,
    child_faces,
    flatten,
    hinged_place,
    piece_polygons,
    subtree,
)
from foldsketch.net.unfolding.overlaps import intersecting_pairs, overlaps_between, total_area

MAX_TRIAL_MOVES = 1500
"""Moves that one search may try: a bound on time that is the same on every machine."""

MAX_REPAIR_STEPS = 120
"""Moves that one search may make."""

OVERLAPS_PER_STEP, ANCESTORS_PER_PANEL = 6, 4
"""In one step the search looks at the panels of so many of the largest overlaps, and for each at so many faces on its
way to the root, itself included."""


def repair_overlaps(
    graph: FaceGraph, piece: FlatPiece, faces: Sequence[int], barred: frozenset[int]
) -> tuple[FlatPiece, float]:
    """Local search: hang the overlapping panel with the smaller subtree on another edge until nothing overlaps.

    barred: half-edges that must not be folds. Returns the best layout found and the area in mm2 that still overlaps.
    """
    search = _RepairSearch(graph, piece, faces, barred)
    for _ in range(MAX_REPAIR_STEPS):
        if not search.overlaps or not search.step():
            break
    return search.piece, search.area


class _RepairSearch:
    """A layout under repair: its panels, inset a little, and the overlaps that are left."""

    def __init__(self, graph: FaceGraph, piece: FlatPiece, faces: Sequence[int], barred: frozenset[int]) -> None:
        self.graph = graph
        self.piece = piece
        self.barred = barred
        self.order = list(faces)
        self.position = {f: k for k, f in enumerate(self.order)}
        self.shapes = piece_polygons(graph, piece, self.order).inset
        self.overlaps = overlaps_between(self.shapes, self.shapes, *intersecting_pairs(self.shapes))
        self.tried: set[tuple[int, int]] = set()
        self.trials_left = MAX_TRIAL_MOVES

    @property
    def area(self) -> float:
        """What still overlaps, mm2."""
        return total_area(self.overlaps)

    def step(self) -> bool:
        """Make one move that lessens the overlap; False when there is none left to try."""
        return self.trials_left > 0 and any(self._rehang(f, hanging) for f, hanging in self._candidates())

    def _candidates(self) -> Iterator[tuple[int, set[int]]]:
        """Panels worth moving, each with all that hangs on it: the overlapping ones and a few above them."""
        tree = self.piece.tree
        children = child_faces(self.graph, tree)
        for i, j, _ in sorted(self.overlaps, key=lambda o: (-round(o[2], 6), o))[:OVERLAPS_PER_STEP]:
            both = [(subtree(children, self.order[k]), self.order[k]) for k in (i, j)]
            for hanging, f in sorted(both, key=lambda s: (len(s[0]), s[1])):
                for _ in range(ANCESTORS_PER_PANEL):
                    if f not in tree:
                        break
                    yield f, hanging
                    f = self.graph.across(tree[f])
                    hanging = subtree(children, f)

    def _other_edges(self, face: int, hanging: set[int]) -> list[int]:
        """Edges that a face may be hung on instead and that were not tried yet, longest first."""
        graph, piece = self.graph, self.piece
        edges = [
            h
            for h in graph.loops[face][0]
            if (face, h) not in self.tried
            and graph.is_foldable(h)
            and h not in self.barred
            and piece.tree[face] != h
            and graph.across(h) not in hanging
            and graph.across(h) in piece.place
        ]
        return sorted(edges, key=lambda h: (-round(graph.length[h], 6), h))

    def _rehang(self, face: int, hanging: set[int]) -> bool:
        """Hang a face, and what hangs on it, on the first edge that lessens the overlap; False if none does."""
        import shapely

        edges = self._other_edges(face, hanging)
        if not edges:
            return False
        moving = np.array(sorted(self.position[f] for f in hanging))
        resting = np.setdiff1d(np.arange(len(self.order)), moving)
        inside = set(moving.tolist())
        staying = [o for o in self.overlaps if (o[0] in inside) == (o[1] in inside)]
        staying_area, limit = total_area(staying), self.area - 1e-9
        index = shapely.STRtree(self.shapes[resting])
        for h in edges:
            if self.trials_left <= 0:
                return False
            self.trials_left -= 1
            moved = shapely.transform(self.shapes[moving], _rigid_transform(*self._motion(face, h)))
            left, right = index.query(moved, predicate="intersects")
            fresh = overlaps_between(moved, self.shapes[resting], left, right)
            if staying_area + total_area(fresh) < limit:
                self.piece = flatten(self.graph, self.piece.root, {**self.piece.tree, face: h}, self.piece.up)
                self.shapes = self.shapes.copy()
                self.shapes[moving] = moved
                pairs = ((int(moving[i]), int(resting[j]), a) for i, j, a in fresh)
                self.overlaps = staying + [(min(i, j), max(i, j), a) for i, j, a in pairs]
                return True
            self.tried.add((face, h))
        return False

    def _motion(self, face: int, h: int) -> RigidMotion:
        """How a face moves on paper when it is hung by half-edge h instead."""
        place = self.piece.place
        new_turn, new_shift = hinged_place(self.graph, h, place[self.graph.across(h)])
        old_turn, old_shift = place[face]
        turn = new_turn / old_turn
        return turn, new_shift - turn * old_shift


def _rigid_transform(turn: complex, shift: complex) -> Any:
    """A motion as shapely.transform takes it: a function of points (n, 2)."""
    c, s = turn.real, turn.imag
    matrix, offset = np.array([[c, s], [-s, c]]), np.array([shift.real, shift.imag])
    return lambda p: p @ matrix + offset
