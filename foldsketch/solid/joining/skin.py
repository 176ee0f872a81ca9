"""Skins: the closed surface of a block, every face with the feature and side it comes from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot
from typing import Any

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.solid.faceting.prism import Face, Prism


@dataclass(frozen=True, slots=True, eq=False)
class Skin:
    """A closed surface of flat faces.

    corners: (n, 3) mm; faces: every edge belongs to two of their loops, once each way; euler: V - E + F of the surface
    (2 for a ball, 0 for a tube); volume: mm3.
    """

    corners: Array
    faces: tuple[Face, ...]
    euler: int
    volume: float


def skin_of_prism(prism: Prism) -> Skin:
    """The skin of a single feature: its own faces."""
    return Skin(prism.corners, prism.faces, euler_number(prism.faces), enclosed_volume(prism.corners, prism.faces))


def euler_number(faces: Sequence[Face]) -> int:
    """V - E + F of a closed surface; a hole in a face counts as if a cut joined it to the outline."""
    loops = [loop for f in faces for loop in f.loops]
    return len({v for loop in loops for v in loop}) - sum(map(len, loops)) // 2 + 2 * len(faces) - len(loops)


def combine_skins(skins: Sequence[Skin]) -> Skin:
    """Several skins as one: corners and faces of one after those of the other."""
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
    """True if every edge belongs to two loops, once each way, and the faces enclose the skin's volume."""
    edges = [(a, b) for f in skin.faces for loop in f.loops for a, b in zip(loop, (*loop[1:], loop[0]), strict=True)]
    known = set(edges)
    whole = len(known) == len(edges) and all((b, a) in known for a, b in edges)
    return whole and abs(enclosed_volume(skin.corners, skin.faces) - skin.volume) <= 1e-9 * skin.volume


def enclosed_volume(corners: Array, faces: Sequence[Face]) -> float:
    """Volume inside a closed surface, mm3: a third of height times area, summed over the faces (divergence theorem)."""
    # Twice the area of a face, as a vector, is the sum of cross products of consecutive corners.
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


def face_polygon(corners: Array, face: Face, flat: Array) -> Any:
    """A face as a shapely polygon. flat: (3, 2), the axes of its plane, as plane_axes gives them."""
    from shapely import linearrings, polygons

    outer, *holes = (linearrings(corners[list(loop)] @ flat) for loop in face.loops)
    return polygons(outer, holes=holes or None)


def upright_frame(direction: Array) -> Array:
    """(3, 3), columns: a horizontal direction (3,), the one 90 degrees from it about z, and z."""
    x, y, _ = direction.tolist()
    return np.array([[x, -y, 0.0], [y, x, 0.0], [0.0, 0.0, 1.0]])


def plane_axes(normal: Array) -> Array:
    """(3, 2), columns: x and y of a right-handed frame whose z is the unit normal (3,)."""
    a, b, c = normal.tolist()
    flat = hypot(a, b)
    if flat > 0.43:  # x is horizontal: z cross normal
        x = (-b / flat, a / flat, 0.0)
    else:
        flat = hypot(b, c)
        x = (0.0, -c / flat, b / flat)
    y = (b * x[2] - c * x[1], c * x[0] - a * x[2], a * x[1] - b * x[0])
    return np.array(list(zip(x, y, strict=True)))


def canonical_skin(corners: Array, faces: list[Face], direction: Array, euler: int, volume: float) -> Skin:
    """The skin with faces, loops and corners in an order that does not depend on where the part is.

    direction: (3,) the datum direction; euler, volume: as Skin has them.
    """
    along = upright_frame(direction)
    key = np.round(corners @ along, 6) + 0.0
    place = [tuple(k) for k in key[:, [2, 0, 1]].tolist()]

    def from_lowest(loop: tuple[int, ...]) -> tuple[int, ...]:
        k = min(range(len(loop)), key=lambda i: place[loop[i]])
        return loop[k:] + loop[:k]

    ordered = []
    for f in faces:
        first, *holes = (from_lowest(loop) for loop in f.loops)
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
