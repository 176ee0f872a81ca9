"""Repair a net that overlaps itself: panels are hung on other edges until it lies flat without overlap."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from foldsketch.base.arrays import Ints
from foldsketch.geometry.graphs import breadth_first
from foldsketch.geometry.ragged_polygons import RaggedPolygons
from foldsketch.net.unfolding.face_graph import FaceGraph
from foldsketch.net.unfolding.flatten import (
    FlatPiece,
    RigidMotion,
    child_faces,
    flatten,
    hinged_place,
    subtree,
)
from foldsketch.net.unfolding.overlaps import Overlap, intersecting_pairs, overlaps_between, total_area

MAX_TRIAL_MOVES = 1500
"""Moves that one search may try: a bound on time that is the same on every machine."""

MAX_REPAIR_STEPS = 120
"""Moves that one search may make."""

OVERLAPS_PER_STEP, ANCESTORS_PER_PANEL = 6, 4
"""In one step the search looks at the panels of so many of the largest overlaps, and for each at so many faces on its
way to the root, itself included."""

PAIRS_AT_ONCE = 4
"""Pairs of panels whose area in common is taken before it is asked whether a move can still be worth it."""


def repair_overlaps(
    graph: FaceGraph, piece: FlatPiece, polygons: RaggedPolygons, faces: Sequence[int], barred: frozenset[int]
) -> tuple[FlatPiece, float]:
    """Local search: hang the overlapping panel with the smaller subtree on another edge until nothing overlaps.

    polygons: the faces of the piece on paper; barred: half-edges that must not be folds. Returns the best layout
    found and the area in mm2 that still overlaps.
    """
    search = _RepairSearch(graph, piece, polygons, faces, barred)
    for _ in range(MAX_REPAIR_STEPS):
        if not search.overlaps or not search.step():
            break
    return search.piece, search.area


class _RepairSearch:
    """A layout under repair: its panels, inset a little, and the overlaps that are left."""

    def __init__(
        self,
        graph: FaceGraph,
        piece: FlatPiece,
        polygons: RaggedPolygons,
        faces: Sequence[int],
        barred: frozenset[int],
    ) -> None:
        self.graph = graph
        self.start = piece
        self.tree, self.place = dict(piece.tree), dict(piece.place)
        self.children = child_faces(graph, self.tree)
        self.barred = barred
        self.order = list(faces)
        self.position = {f: k for k, f in enumerate(self.order)}
        self.shapes = polygons.inset.copy()
        self.overlaps = overlaps_between(self.shapes, self.shapes, *intersecting_pairs(self.shapes))
        self.tried: set[tuple[int, int]] = set()
        self.trials_left = MAX_TRIAL_MOVES

    @property
    def area(self) -> float:
        """What still overlaps, mm2."""
        return total_area(self.overlaps)

    @property
    def piece(self) -> FlatPiece:
        """The layout as it is now."""
        start = self.start
        return start if self.tree == start.tree else flatten(self.graph, start.root, self.tree, start.up)

    def step(self) -> bool:
        """Make one move that lessens the overlap; False when there is none left to try."""
        return self.trials_left > 0 and any(self._rehang(f, hanging) for f, hanging in self._candidates())

    def _candidates(self) -> Iterator[tuple[int, set[int]]]:
        """Panels worth moving, each with all that hangs on it: the overlapping ones and a few above them."""
        hanging: dict[int, set[int]] = {}  # of every face that was looked at in this step

        def below(face: int) -> set[int]:
            if face not in hanging:
                hanging[face] = subtree(self.children, face)
            return hanging[face]

        for i, j, _ in sorted(self.overlaps, key=lambda o: (-round(o[2], 6), o))[:OVERLAPS_PER_STEP]:
            for f in sorted((self.order[i], self.order[j]), key=lambda f: (len(below(f)), f)):
                for _ in range(ANCESTORS_PER_PANEL):
                    if f not in self.tree:
                        break
                    yield f, below(f)
                    f = self.graph.across(self.tree[f])

    def _other_edges(self, face: int, hanging: set[int]) -> list[int]:
        """Edges that a face may be hung on instead and that were not tried yet, longest first."""
        graph = self.graph
        edges = [
            h
            for h in graph.loops[face][0]
            if (face, h) not in self.tried
            and graph.is_foldable(h)
            and h not in self.barred
            and self.tree[face] != h
            and graph.across(h) not in hanging
            and graph.across(h) in self.place
        ]
        return sorted(edges, key=lambda h: (-round(graph.length[h], 6), h))

    def _rehang(self, face: int, hanging: set[int]) -> bool:
        """Hang a face, and what hangs on it, on the first edge that lessens the overlap; False if none does."""
        import shapely

        edges = self._other_edges(face, hanging)
        if not edges:
            return False
        moving = np.array(sorted(self.position[f] for f in hanging))
        rests = np.ones(len(self.order), dtype=bool)
        rests[moving] = False
        resting = np.flatnonzero(rests)
        staying = [o for o in self.overlaps if rests[o[0]] == rests[o[1]]]
        room = self.area - 1e-9 - total_area(staying)
        still, index = self.shapes[resting], shapely.STRtree(self.shapes[resting])
        for h in edges:
            if self.trials_left <= 0:
                return False
            self.trials_left -= 1
            moved = shapely.transform(self.shapes[moving], _rigid_transform(*self._motion(face, h)))
            left, right = index.query(moved, predicate="intersects")
            fresh = _overlaps_within(moved, still, left, right, room)
            if fresh is not None:
                self._hang(face, h)
                self.shapes[moving] = moved
                pairs = ((int(moving[i]), int(resting[j]), a) for i, j, a in fresh)
                self.overlaps = staying + [(min(i, j), max(i, j), a) for i, j, a in pairs]
                return True
            self.tried.add((face, h))
        return False

    def _hang(self, face: int, h: int) -> None:
        """Fold a face to another by its half-edge h; what hangs on it comes along."""
        graph, tree, place = self.graph, self.tree, self.place
        self.children[graph.across(tree[face])].remove(face)
        self.children[graph.across(h)].append(face)
        tree[face] = h
        for f in breadth_first(face, self.children.__getitem__):
            place[f] = hinged_place(graph, tree[f], place[graph.across(tree[f])])

    def _motion(self, face: int, h: int) -> RigidMotion:
        """How a face moves on paper when it is hung by half-edge h instead."""
        new_turn, new_shift = hinged_place(self.graph, h, self.place[self.graph.across(h)])
        old_turn, old_shift = self.place[face]
        turn = new_turn / old_turn
        return turn, new_shift - turn * old_shift


def _overlaps_within(one: Any, two: Any, left: Ints, right: Ints, room: float) -> list[Overlap] | None:
    """Of the pairs one[left], two[right] those that share an area; None when they share room mm2 or more in all."""
    found: list[Overlap] = []
    for k in range(0, len(left), PAIRS_AT_ONCE):
        found += overlaps_between(one, two, left[k : k + PAIRS_AT_ONCE], right[k : k + PAIRS_AT_ONCE])
        if total_area(found) >= room + 1e-9:
            return None
    found.sort()
    return found if total_area(found) < room else None


def _rigid_transform(turn: complex, shift: complex) -> Any:
    """A motion as shapely.transform takes it: a function of points (n, 2)."""
    c, s = turn.real, turn.imag
    matrix, offset = np.array([[c, s], [-s, c]]), np.array([shift.real, shift.imag])
    return lambda p: p @ matrix + offset
