"""Skin: the outer faces of a block, each still knowing its feature and side. The only user of manifold3d."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import manifold3d as m3
import numpy as np
from numpy.typing import NDArray

from foldsketch.base.tolerance import Tolerance
from foldsketch.solid.prism import Array, Face, Prism

Ints = NDArray[np.int64]
_FACES = 1 << 12  # face numbers of one feature stay below this


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


def closed(skin: Skin) -> bool:
    """True when every edge lies in exactly two face loops, once each way, and they enclose the skin's volume."""
    edges = [(a, b) for f in skin.faces for loop in f.loops for a, b in zip(loop, (*loop[1:], loop[0]), strict=True)]
    known = set(edges)
    whole = len(known) == len(edges) and all((b, a) in known for a, b in edges)
    return whole and abs(enclosed_volume(skin.corners, skin.faces) - skin.volume) <= 1e-9 * skin.volume


def enclosed_volume(corners: Array, faces: Iterable[Face]) -> float:
    """Volume inside flat faces, mm3, by the divergence theorem on the fan of every loop."""
    total = 0.0
    for f in faces:
        for loop in f.loops:
            p = corners[list(loop)]
            total += float(p[0] @ np.cross(p[1:-1] - p[0], p[2:] - p[0]).sum(axis=0))
    return total / 6.0


def solid_of(prism: Prism, run: int) -> m3.Manifold:
    """The prism as a boolean operand whose triangles carry run and face number."""
    triangles: list[tuple[int, int, int]] = []
    names: list[int] = []
    for number, f in enumerate(prism.faces):
        cut = _triangles(prism.corners, f)
        triangles += cut
        names += [number] * len(cut)
    mesh = m3.Mesh64(
        np.ascontiguousarray(prism.corners),
        np.array(triangles, dtype=np.uint64),
        run_index=np.array([0, 3 * len(triangles)], dtype=np.uint64),
        run_original_id=np.array([run], dtype=np.uint32),
        face_id=np.array(names, dtype=np.uint64),
    )
    return m3.Manifold(mesh)


def _triangles(corners: Array, face: Face) -> list[tuple[int, int, int]]:
    loop = face.loops[0]
    if len(face.loops) == 1 and (len(loop) <= 4 or (face.kind == "end" and _convex(corners, face))):
        return [(loop[0], loop[i], loop[i + 1]) for i in range(1, len(loop) - 1)]
    x, y = plane_axes(face.normal)
    flat = np.column_stack((x, y))
    index = [i for part in face.loops for i in part]
    cut = m3.triangulate([corners[list(part)] @ flat for part in face.loops])
    return [(index[a], index[b], index[c]) for a, b, c in cut]


def _convex(corners: Array, face: Face) -> bool:
    p = corners[list(face.loops[0])]
    e = np.roll(p, -1, axis=0) - p
    return bool((np.cross(e, np.roll(e, -1, axis=0)) @ face.normal > 0).all())


def plane_axes(normal: Array) -> tuple[Array, Array]:
    """Two unit vectors (3,) that make a right-handed frame with the unit normal (3,)."""
    helper = np.array([0.0, 0.0, 1.0]) if abs(normal[2]) < 0.9 else np.array([1.0, 0.0, 0.0])
    x = np.cross(helper, normal)
    x /= np.sqrt(x @ x)
    return x, np.cross(normal, x)


def skin_of_solid(
    solid: m3.Manifold, prisms: Sequence[Prism], runs: dict[int, int], direction: Array, tolerance: Tolerance
) -> Skin:
    """The skin of one boolean result. runs: run id to index in prisms; direction: (3,) the datum direction, so that
    faces are counted the same way however the part lies.

    Every triangle names its feature and side; triangles of one plane that hang together become one face.
    """
    mesh = solid.to_mesh64()
    corners = np.array(mesh.vert_properties[:, :3])
    triangles = np.array(mesh.tri_verts).astype(np.int64)
    if len(mesh.merge_from_vert):
        link = np.arange(len(corners))
        link[np.array(mesh.merge_from_vert).astype(np.int64)] = np.array(mesh.merge_to_vert).astype(np.int64)
        triangles = link[triangles]
    label = np.empty(len(triangles), dtype=np.int64)
    bounds = np.array(mesh.run_index).astype(np.int64) // 3
    face_ids = np.array(mesh.face_id).astype(np.int64)
    for k, run in enumerate(mesh.run_original_id):
        part = slice(bounds[k], bounds[k + 1])
        label[part] = runs[int(run)] * _FACES + face_ids[part]
    plane = _planes(label, prisms, tolerance)
    faces = _faces(corners, triangles, label, plane, prisms)
    return _counted(corners, faces, direction, int(2 - 2 * solid.genus()), solid.volume())


def _planes(label: Ints, prisms: Sequence[Prism], tolerance: Tolerance) -> Ints:
    """A number for the plane of every triangle, from the prisms' exact planes and not from the triangle's corners."""
    unique, inverse = np.unique(label, return_inverse=True)
    normals = np.empty((len(unique), 4))
    for k, name in enumerate(unique):
        prism = prisms[name // _FACES]
        face = prism.faces[name % _FACES]
        sign = -1.0 if prism.cut else 1.0
        normals[k, :3] = sign * face.normal
        normals[k, 3] = sign * float(face.normal @ prism.corners[face.loops[0][0]])
    known: list[int] = []
    number = np.empty(len(unique), dtype=np.int64)
    for k in range(len(unique)):
        if known:
            near = normals[known]
            same = (np.abs(near[:, 3] - normals[k, 3]) < tolerance.length) & (
                near[:, :3] @ normals[k, :3] > 1 - tolerance.angle**2 - 1e-13
            )
            hit = int(np.argmax(same))
            if same[hit]:
                number[k] = hit
                continue
        known.append(k)
        number[k] = len(known) - 1
    return number[inverse]


def _faces(
    corners: Array,
    triangles: Ints,
    label: Ints,
    plane: Ints,
    prisms: Sequence[Prism],
) -> list[Face]:
    n = len(corners)
    start, end = triangles.ravel(), np.roll(triangles, -1, axis=1).ravel()
    # Half-edge 3t+k runs from corner k of triangle t to the next; its twin runs the other way.
    forward, backward = start * n + end, end * n + start
    order = np.argsort(forward)
    twin_array = order[np.searchsorted(forward[order], backward)]
    owner = _components(plane, twin_array)
    inner = (owner[twin_array // 3] == np.repeat(owner, 3)).tolist()
    twin: list[int] = twin_array.tolist()
    tail: list[int] = start.tolist()
    loops: dict[int, list[list[int]]] = {}
    seen = [False] * len(tail)
    outgoing = [0] * n
    for h in range(len(tail)):
        if inner[h] or seen[h]:
            continue
        loop = []
        g = h
        while not seen[g]:
            seen[g] = True
            loop.append(tail[g])
            outgoing[tail[g]] += 1
            g = g - 2 if g % 3 == 2 else g + 1
            while inner[g]:
                g = twin[g]
                g = g - 2 if g % 3 == 2 else g + 1
        loops.setdefault(int(owner[h // 3]), []).append(loop)
    areas = np.cross(
        corners[triangles[:, 1]] - corners[triangles[:, 0]], corners[triangles[:, 2]] - corners[triangles[:, 0]]
    )
    size = np.sqrt((areas**2).sum(axis=1))
    faces = []
    for face, own in loops.items():
        mine = np.nonzero(owner == face)[0]
        names, where = np.unique(label[mine], return_inverse=True)
        name = int(names[np.argmax(np.bincount(where, weights=size[mine]))])
        prism = prisms[name // _FACES]
        original = prism.faces[name % _FACES]
        normal = -original.normal if prism.cut else original.normal
        kept = [tuple(v for v in loop if outgoing[v] > 2) for loop in own]
        kept = [k if len(k) >= 3 else tuple(loop) for k, loop in zip(kept, own, strict=True)]
        kept.sort(key=lambda k: -_signed_area(corners, k, normal))
        faces.append(Face(tuple(kept), prism.index, original.side, original.kind, normal))
    return faces


def _counted(corners: Array, faces: list[Face], direction: Array, euler: int, volume: float) -> Skin:
    """The skin with faces, loops and corners in an order that the part's position does not change."""
    along = np.column_stack((direction, np.cross([0.0, 0.0, 1.0], direction), [0.0, 0.0, 1.0]))
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


def _components(plane: Ints, twin: Ints) -> Ints:
    """Triangles that share a plane and hang together get the same number."""
    parent = list(range(len(plane)))

    def root(i: int) -> int:
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = parent[i]
        return i

    other = twin // 3
    mine = np.repeat(np.arange(len(plane)), 3)
    same = (plane[mine] == plane[other]) & (mine < other)
    for a, b in zip(mine[same].tolist(), other[same].tolist(), strict=True):
        parent[root(b)] = root(a)
    return np.array([root(i) for i in range(len(plane))])


def _signed_area(corners: Array, loop: tuple[int, ...], normal: Array) -> float:
    p = corners[list(loop)]
    return float(np.cross(p[1:-1] - p[0], p[2:] - p[0]).sum(axis=0) @ normal) / 2
