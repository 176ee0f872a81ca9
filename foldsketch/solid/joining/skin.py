"""Skin: the outer faces of a block, each still knowing its feature and side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

import numpy as np

from foldsketch.solid.faceting.prism import Array, Face, Prism


@dataclass(frozen=True, slots=True, eq=False)
class Skin:
    """A closed surface of flat faces. corners: (n, 3) mm; every edge lies in exactly two face loops, once each way.

    euler: V - E + F of the surface (2 for a ball, 0 for a tube); volume: mm3.
    """

    corners: Array
    faces: tuple[Face, ...]
    euler: int
    volume: float


def skin_of_prism(prism: Prism) -> Skin:
    """The skin of a feature that stands alone: its own faces."""
    halves = sum(len(loop) for f in prism.faces for loop in f.loops)
    holes = sum(len(f.loops) - 1 for f in prism.faces)
    euler = len(prism.corners) - halves // 2 + len(prism.faces) - holes
    return Skin(prism.corners, prism.faces, euler, enclosed_volume(prism.corners, prism.faces))


def combine_skins(skins: Sequence[Skin]) -> Skin:
    """Several skins as one of several bodies: their corners and faces one skin after the other."""
    if len(skins) == 1:
        return skins[0]
    faces: list[Face] = []
    first = 0
    for skin in skins:
        for f in skin.faces:
            loops = tuple([tuple([v + first for v in loop]) for loop in f.loops])
            faces.append(Face(loops, f.feature, f.side, f.kind, f.normal))
        first += len(skin.corners)
    corners = np.concatenate([s.corners for s in skins])
    return Skin(corners, tuple(faces), sum(s.euler for s in skins), sum(s.volume for s in skins))


def is_closed(skin: Skin) -> bool:
    """True when every edge lies in exactly two face loops, once each way, and they enclose the skin's volume."""
    edges = [(a, b) for f in skin.faces for loop in f.loops for a, b in zip(loop, (*loop[1:], loop[0]), strict=True)]
    known = set(edges)
    whole = len(known) == len(edges) and all((b, a) in known for a, b in edges)
    return whole and abs(enclosed_volume(skin.corners, skin.faces) - skin.volume) <= 1e-9 * skin.volume


def enclosed_volume(corners: Array, faces: Sequence[Face]) -> float:
    """Volume inside flat faces, mm3, by the divergence theorem: a third of height times area, summed over the faces."""
    # Twice the area of a face, as a vector, is the sum of the cross products of its corners, whatever the origin.
    points: list[list[float]] = (corners - corners.mean(axis=0)).tolist()
    total = 0.0
    for f in faces:
        x = y = z = 0.0
        for loop in f.loops:
            ax, ay, az = points[loop[-1]]
            for v in loop:
                bx, by, bz = points[v]
                x += ay * bz - az * by
                y += az * bx - ax * bz
                z += ax * by - ay * bx
                ax, ay, az = bx, by, bz
        px, py, pz = points[f.loops[0][0]]
        total += x * px + y * py + z * pz
    return total / 6.0


def face_planes(skin: Skin) -> Array:
    """(n, 4): unit normal and distance from the origin, mm, of every face's plane."""
    normals, first = np.array([f.normal for f in skin.faces]), skin.corners[[f.loops[0][0] for f in skin.faces]]
    return np.column_stack((normals, (normals * first).sum(axis=1)))


def upright_frame(direction: Array) -> Array:
    """(3, 3) columns: a level direction, the one across it, and z."""
    x, y, _ = direction.tolist()
    return np.array([[x, -y, 0.0], [y, x, 0.0], [0.0, 0.0, 1.0]])


def plane_axes(normal: Array) -> tuple[Array, Array]:
    """Two unit vectors (3,) that make a right-handed frame with the unit normal (3,)."""
    a, b, c = normal.tolist()
    flat = hypot(a, b)
    if flat > 0.43:  # x is level: z cross normal
        x = (-b / flat, a / flat, 0.0)
    else:
        flat = hypot(b, c)
        x = (0.0, -c / flat, b / flat)
    y = (b * x[2] - c * x[1], c * x[0] - a * x[2], a * x[1] - b * x[0])
    return np.array(x), np.array(y)


def canonical_skin(corners: Array, faces: list[Face], direction: Array, euler: int, volume: float) -> Skin:
    """The skin with faces, loops and corners in an order that the part's position does not change."""
    along = upright_frame(direction)
    key = np.round(corners @ along, 6) + 0.0
    place = [tuple(k) for k in key[:, [2, 0, 1]].tolist()]

    def turned(loop: tuple[int, ...]) -> tuple[int, ...]:
        k = min(range(len(loop)), key=lambda i: place[loop[i]])
        return loop[k:] + loop[:k]

    ordered = []
    for f in faces:
        first, *holes = (turned(loop) for loop in f.loops)
        ordered.append((f, (first, *sorted(holes, key=lambda loop: place[loop[0]]))))
    ordered.sort(key=lambda o: (o[0].feature, o[0].side, [place[v] for v in o[1][0]]))
    new: dict[int, int] = {}
    for _, loops in ordered:
        for loop in loops:
            for v in loop:
                new.setdefault(v, len(new))
    made = tuple(
        Face(tuple(tuple(new[v] for v in loop) for loop in loops), f.feature, f.side, f.kind, f.normal)
        for f, loops in ordered
    )
    return Skin(corners[list(new)], made, euler, volume)
