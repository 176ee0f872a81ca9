"""The faces of a skin as a graph: each laid flat in its own frame, with the fold angle at every edge between two."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.vector import cross
from foldsketch.solid.faceting.prism import Face
from foldsketch.solid.faceting.rolled_walls import MAX_ROLLED_BEND_RAD, MIN_HINGE_LENGTH_MM
from foldsketch.solid.joining.skin import Skin

MIN_LEVEL_SHARE = 0.43
"""A unit normal whose level part is shorter counts as upright when the x axis of a face's frame is chosen."""


@dataclass(frozen=True, slots=True, eq=False)
class FaceGraph:
    """A skin ready to be cut and laid flat. Half-edge h runs along face[h] from corner tail[h] to tail[after[h]].

    flat: complex position of every half-edge's tail in its face's own plane frame, mm; frame: (faces, 3, 3) columns
    x, y, normal; origin: (faces, 3); angle: fold angle at every half-edge, radians, + mountain; outer: the half-edge
    is on its face's outer loop; loops: half-edges of every face, loop by loop; rolled: half-edges between sides of a
    rolled wall, which are bent and not creased; teeth: half-edges on the rims of rolled walls, both sides of each.
    """

    skin: Skin
    faces: tuple[Face, ...]
    face: list[int]
    after: list[int]
    before: list[int]
    twin: list[int]
    outer: list[bool]
    tail: list[int]
    flat: list[complex]
    length: list[float]
    angle: list[float]
    frame: Array
    origin: Array
    loops: list[list[list[int]]]
    area: list[float]
    rolled: frozenset[int] = frozenset()
    teeth: frozenset[int] = frozenset()

    @property
    def count(self) -> int:
        """Number of faces."""
        return len(self.faces)

    def across(self, h: int) -> int:
        """The face on the other side of a half-edge."""
        return self.face[self.twin[h]]

    def is_foldable(self, h: int) -> bool:
        """Whether an edge may be a fold: it is on the outer loop of both faces.

        A wall folded to a hole's edge would unfold into the hole.
        """
        return self.outer[h] and self.outer[self.twin[h]]


def _face_frames(normals: Array) -> Array:
    """(n, 3, 3): columns x, y and the unit normals (n, 3), right-handed; x is level where the normal is not upright."""
    a, b, c = normals.T
    level, zero = np.hypot(a, b), np.zeros(len(normals))
    steep = level > MIN_LEVEL_SHARE
    across = np.where(steep, level, np.hypot(b, c))
    x = np.where(steep, np.array((-b, a, zero)), np.array((zero, -c, b))) / across
    y = np.array((b * x[2] - c * x[1], c * x[0] - a * x[2], a * x[1] - b * x[0]))
    return np.stack((x, y, normals.T)).transpose(2, 1, 0)


def build_face_graph(skin: Skin, rolled: frozenset[int] = frozenset()) -> FaceGraph:
    """The graph of a skin. rolled: features whose walls are rolled. Raises KeyError when the skin is not closed."""
    face: list[int] = []
    after: list[int] = []
    before: list[int] = []
    tail: list[int] = []
    outer: list[bool] = []
    loops: list[list[list[int]]] = []
    for k, f in enumerate(skin.faces):
        loops.append([])
        for number, loop in enumerate(f.loops):
            ids = list(range(len(tail), len(tail) + len(loop)))
            loops[k].append(ids)
            tail += loop
            face += [k] * len(loop)
            outer += [number == 0] * len(loop)
            after += [*ids[1:], ids[0]]
            before += [ids[-1], *ids[:-1]]
    by_ends = {(tail[h], tail[after[h]]): h for h in range(len(face))}
    twin = [by_ends[tail[after[h]], tail[h]] for h in range(len(face))]

    of = np.array(face)
    normals = np.array([f.normal for f in skin.faces])
    origin = skin.corners[[tail[own[0][0]] for own in loops]]
    frame = _face_frames(normals)
    tails = skin.corners[tail]
    along = tails[after] - tails
    length: list[float] = np.sqrt((along * along).sum(axis=1)).tolist()
    here, there = normals[of], normals[of[twin]]
    sine = (cross(here, there) * along).sum(axis=1) / length
    angle: list[float] = np.arctan2(sine, (here * there).sum(axis=1)).tolist()
    local = np.einsum("hij,hi->hj", frame[of][:, :, :2], tails - origin[of])
    flat = local[:, 0] + 1j * local[:, 1]
    area = np.bincount(of, (flat.conj() * flat[after]).imag, len(skin.faces)) / 2
    bent, teeth = _rolled_half_edges(skin.faces, face, twin, angle, length, rolled)
    return FaceGraph(
        skin,
        skin.faces,
        face,
        after,
        before,
        twin,
        outer,
        tail,
        flat.tolist(),
        length,
        angle,
        frame,
        origin,
        loops,
        area.tolist(),
        bent,
        teeth,
    )


def _rolled_half_edges(
    faces: tuple[Face, ...],
    face: list[int],
    twin: list[int],
    angle: list[float],
    length: list[float],
    rolled: frozenset[int],
) -> tuple[frozenset[int], frozenset[int]]:
    """Half-edges that are bent, and those on the rims of rolled walls."""
    bent: set[int] = set()
    teeth: set[int] = set()
    for h, g in enumerate(twin if rolled else ()):
        one, two = faces[face[h]], faces[face[g]]
        if one.kind != "side" or one.feature not in rolled:
            continue
        if two.kind == "side" and two.feature == one.feature:
            if abs(angle[h]) <= MAX_ROLLED_BEND_RAD:
                bent.add(h)
        elif length[h] < MIN_HINGE_LENGTH_MM:
            teeth |= {h, g}
    return frozenset(bent), frozenset(teeth)


def half_edges_of_face(graph: FaceGraph, face: int) -> list[int]:
    """The half-edges of a face, outer loop first."""
    return [h for loop in graph.loops[face] for h in loop]


def clearance_behind_edge(graph: FaceGraph, h: int, most: float, tabbed: Container[int] = ()) -> float:
    """Distance from the middle of an edge to the nearest edge of its face that does not touch it, mm, most at most.

    tabbed: edges with a tab behind them; to these half the distance counts, for the strip between is shared.
    """
    tail, head = graph.flat[h], graph.flat[graph.after[h]]
    middle = (tail + head) / 2
    found = most
    for other in half_edges_of_face(graph, graph.face[h]):
        if other in (h, graph.after[h], graph.before[h]):
            continue
        p = graph.flat[other]
        along = graph.flat[graph.after[other]] - p
        share = ((middle - p) * along.conjugate()).real / max(abs(along) ** 2, 1e-12)
        away = abs(middle - p - along * min(max(share, 0.0), 1.0))
        found = min(found, away / 2 if other in tabbed else away)
    return found
