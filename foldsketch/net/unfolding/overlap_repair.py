"""Mend: re-hang overlapping panels until a net lies flat without overlap."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from foldsketch.net.unfolding.face_graph import FaceGraph
from foldsketch.net.unfolding.flatten import (
    MIN_OVERLAP_AREA_MM2,
    FlatPiece,
    FoldTree,
    common_area,
    flatten,
    intersecting_pairs,
    piece_polygons,
)

Overlap = tuple[int, int, float]
RigidMotion = tuple[complex, complex]
"""Position = turn * old position + shift, complex mm."""


MAX_TRIAL_MOVES = 1500
"""Moves that one search may try: a bound on time that is the same on every machine."""


ChildFaces = dict[int, list[int]]


def child_faces(graph: FaceGraph, tree: FoldTree) -> ChildFaces:
    """For every face the faces that hang straight on it."""
    children: ChildFaces = {}
    for child, h in tree.items():
        children.setdefault(graph.face[graph.twin[h]], []).append(child)
    return children


def subtree(children: ChildFaces, face: int) -> set[int]:
    """The face and all that hangs on it."""
    found, queue = {face}, [face]
    for f in queue:
        for g in children.get(f, ()):
            found.add(g)
            queue.append(g)
    return found


def repair_overlaps(
    graph: FaceGraph, laid: FlatPiece, faces: Sequence[int], barred: frozenset[int], tries: int = 120
) -> tuple[FlatPiece, float]:
    """Local search: re-hang the overlapping panel with the smaller subtree until nothing overlaps.

    Returns the best layout found and the area in mm2 that still overlaps.
    """
    search = _RepairSearch(graph, laid, faces, barred)
    for _ in range(tries):
        if not search.overlaps or not search.step():
            break
    return search.laid, search.area


class _RepairSearch:
    """A layout while it is mended: panels drawn in by a hair, and the overlaps that are left."""

    def __init__(self, graph: FaceGraph, laid: FlatPiece, faces: Sequence[int], barred: frozenset[int]) -> None:
        self.graph = graph
        self.laid = laid
        self.barred = barred
        self.order = list(faces)
        self.position = {f: k for k, f in enumerate(self.order)}
        self.shapes = piece_polygons(graph, laid, self.order).drawn_in
        left, right = intersecting_pairs(self.shapes)
        self.overlaps = _overlaps_between(self.shapes, self.shapes, left, right)
        self.tried: set[tuple[int, int]] = set()
        self.trials_left = MAX_TRIAL_MOVES

    @property
    def area(self) -> float:
        """What still overlaps, mm2."""
        return sum(a for _, _, a in self.overlaps)

    def step(self) -> bool:
        """One move that lessens the overlap; False when there is none left to try."""
        return self.trials_left > 0 and any(self._rehang(f, hanging) for f, hanging in self._candidates())

    def _candidates(self) -> Iterator[tuple[int, set[int]]]:
        """Panels worth moving with all that hangs on them: the overlapping ones and a few above them."""
        graph, tree = self.graph, self.laid.tree
        children = child_faces(graph, tree)
        for i, j, _ in sorted(self.overlaps, key=lambda o: (-round(o[2], 6), o))[:6]:
            both = [(subtree(children, self.order[k]), self.order[k]) for k in (i, j)]
            for sub, panel in sorted(both, key=lambda s: (len(s[0]), s[1])):
                f, hanging = panel, sub
                for _ in range(4):
                    if f not in tree:
                        break
                    yield f, hanging
                    f = graph.face[graph.twin[tree[f]]]
                    hanging = subtree(children, f)

    def _rehang(self, face: int, hanging: set[int]) -> bool:
        graph, laid = self.graph, self.laid
        edges = [
            h
            for h in graph.loops[face][0]
            if (face, h) not in self.tried
            and graph.is_foldable(h)
            and h not in self.barred
            and laid.tree[face] != h
            and graph.face[graph.twin[h]] not in hanging
            and graph.face[graph.twin[h]] in laid.place
        ]
        if not edges:
            return False
        import shapely

        moving = np.array(sorted(self.position[f] for f in hanging))
        resting = np.setdiff1d(np.arange(len(self.order)), moving)
        inside = set(moving.tolist())
        stay = [o for o in self.overlaps if (o[0] in inside) == (o[1] in inside)]
        rest_area, limit = sum(a for _, _, a in stay), self.area - 1e-9
        tree = shapely.STRtree(self.shapes[resting])
        for h in sorted(edges, key=lambda h: (-round(graph.length[h], 6), h)):
            if self.trials_left <= 0:
                return False
            self.trials_left -= 1
            turn, shift = self._motion(face, h)
            moved = shapely.transform(self.shapes[moving], _rigid_transform(turn, shift))
            left, right = tree.query(moved, predicate="intersects")
            fresh = _overlaps_between(moved, self.shapes[resting], left, right)
            if rest_area + sum(a for _, _, a in fresh) < limit:
                self.laid = flatten(graph, laid.root, {**laid.tree, face: h}, 1j / laid.place[laid.root][0])
                self.shapes = self.shapes.copy()
                self.shapes[moving] = moved
                pairs = ((int(moving[i]), int(resting[j]), a) for i, j, a in fresh)
                self.overlaps = stay + [(min(i, j), max(i, j), a) for i, j, a in pairs]
                return True
            self.tried.add((face, h))
        return False

    def _motion(self, face: int, h: int) -> RigidMotion:
        """How a panel moves when it is hung by half-edge h instead."""
        graph, place = self.graph, self.laid.place
        g = graph.twin[h]
        r, t = place[graph.face[g]]
        a, b = r * graph.flat[graph.after[g]] + t, r * graph.flat[g] + t
        q = (b - a) / (graph.flat[graph.after[h]] - graph.flat[h])
        q /= abs(q)
        old_turn, old_shift = place[face]
        turn = q / old_turn
        return turn, a - q * graph.flat[h] - turn * old_shift


def _rigid_transform(turn: complex, shift: complex) -> Any:
    c, s = turn.real, turn.imag
    matrix, offset = np.array([[c, s], [-s, c]]), np.array([shift.real, shift.imag])
    return lambda p: p @ matrix + offset


def _overlaps_between(one: Any, two: Any, left: Any, right: Any) -> list[Overlap]:
    """Pairs of shapes, one[left] and two[right], with the area they share where that is something."""

    if not len(left):
        return []
    area = common_area(one[left], two[right])
    bad = area > MIN_OVERLAP_AREA_MM2
    return sorted((int(a), int(b), float(s)) for a, b, s in zip(left[bad], right[bad], area[bad], strict=True))
