"""The skin as a graph: faces laid flat each in its own frame, and the edges between them with their fold angles."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.vector import cross
from foldsketch.solid.faceting.prism import Face
from foldsketch.solid.faceting.rolled_walls import MAX_ROLLED_BEND_RAD, MIN_HINGE_LENGTH_MM
from foldsketch.solid.joining.skin import Skin


@dataclass(frozen=True, slots=True, eq=False)
class FaceGraph:
    """A skin ready to be cut and laid flat. Half-edge h runs along face[h] from corner tail[h] to tail[after[h]].

    flat: complex position of every half-edge's tail in its face's own plane frame, mm; frame: (faces, 3, 3) columns
    x, y, normal; origin: (faces, 3); angle: fold angle at every half-edge, radians, + mountain; outer: the half-edge
    lies on its face's outer loop; loops: half-edges of every face, loop by loop; rolled: half-edges between sides of
    a rolled wall that are bent and not creased; teeth: half-edges on the rims of rolled walls, both sides of each.
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

    def is_foldable(self, h: int) -> bool:
        """True when the edge may be a fold: it lies on the outer loop of both faces.

        A wall hung on a hole's edge would unfold into the hole.
        """
        return self.outer[h] and self.outer[self.twin[h]]


def _face_frames(normals: Array) -> Array:
    """(n, 3, 3): columns x, y and the unit normals (n, 3), right-handed; x is level where the normal is not upright."""
    a, b, c = normals.T
    level, zero = np.hypot(a, b), np.zeros(len(normals))
    steep = level > 0.43
    across = np.where(steep, level, np.hypot(b, c))
    x = np.where(steep, np.array((-b, a, zero)), np.array((zero, -c, b))) / across
    y = np.array((b * x[2] - c * x[1], c * x[0] - a * x[2], a * x[1] - b * x[0]))
    return np.stack((x, y, normals.T)).transpose(2, 1, 0)


def build_face_graph(skin: Skin, rolled: frozenset[int] = frozenset()) -> FaceGraph:
    """The graph of a skin; rolled: features whose walls are rolled. Raises KeyError when the skin is not closed."""
    corners = skin.corners
    face: list[int] = []
    after: list[int] = []
    before: list[int] = []
    outer: list[bool] = []
    tail: list[int] = []
    loops: list[list[list[int]]] = []
    for k, f in enumerate(skin.faces):
        own = []
        for number, loop in enumerate(f.loops):
            base, n = len(face), len(loop)
            ids = list(range(base, base + n))
            own.append(ids)
            face += [k] * n
            outer += [number == 0] * n
            tail += loop
            after += [*ids[1:], base]
            before += [ids[-1], *ids[:-1]]
        loops.append(own)
    where = {(tail[h], tail[after[h]]): h for h in range(len(face))}
    twin = [where[tail[after[h]], tail[h]] for h in range(len(face))]
    normals = np.array([f.normal for f in skin.faces])
    first = [loop[0][0] for loop in loops]
    origin = corners[[tail[h] for h in first]]
    frame = _face_frames(normals)
    fa = np.array(face)
    tails, heads = corners[tail], corners[[tail[a] for a in after]]
    local = np.einsum("hij,hi->hj", frame[fa][:, :, :2], tails - origin[fa])
    d = heads - tails
    length = np.sqrt((d * d).sum(axis=1))
    other = fa[twin]
    sine = (cross(normals[fa], normals[other]) * d).sum(axis=1) / length
    cosine = (normals[fa] * normals[other]).sum(axis=1)
    angle: list[float] = np.arctan2(sine, cosine).tolist()
    at = local[:, 0] + 1j * local[:, 1]
    flat: list[complex] = at.tolist()
    doubled = (at.conj() * at[after]).imag
    area: list[float] = (np.bincount(fa, doubled, len(skin.faces)) / 2).tolist()
    bent, teeth = _rolled_half_edges(skin.faces, face, twin, angle, length.tolist(), rolled)
    return FaceGraph(
        skin,
        skin.faces,
        face,
        after,
        before,
        twin,
        outer,
        tail,
        flat,
        length.tolist(),
        angle,
        frame,
        origin,
        loops,
        area,
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
    if not rolled:
        return frozenset(), frozenset()
    for h, g in enumerate(twin):
        one, two = faces[face[h]], faces[face[g]]
        if one.kind != "side" or one.feature not in rolled:
            continue
        if two.kind == "side" and two.feature == one.feature:
            if abs(angle[h]) <= MAX_ROLLED_BEND_RAD:
                bent.add(h)
        elif length[h] < MIN_HINGE_LENGTH_MM:
            teeth |= {h, g}
    return frozenset(bent), frozenset(teeth)


def clearance_behind_edge(graph: FaceGraph, h: int, most: float, tabbed: Container[int] = ()) -> float:
    """How far the middle of an edge is from the other edges of its face that do not touch it, mm, most at most; half
    as far from those that are tabbed, for there a tab comes from both sides."""
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


def half_edges_of_face(graph: FaceGraph, face: int) -> list[int]:
    """The half-edges of a face."""
    return [h for loop in graph.loops[face] for h in loop]
