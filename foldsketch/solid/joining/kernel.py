"""The way into the boolean kernel and back: labels ride along, so that every triangle names its feature and side."""

from __future__ import annotations

from collections.abc import Sequence
from math import dist

import manifold3d as m3
import numpy as np
from numpy.typing import NDArray

from foldsketch.base.tolerance import Tolerance
from foldsketch.base.vector import cross
from foldsketch.solid.faceting.prism import Array, Face, Prism
from foldsketch.solid.joining.skin import Skin, canonical_skin, is_closed, plane_axes

Ints = NDArray[np.int64]
_MAX_FACES_PER_FEATURE = 1 << 12  # face numbers of one feature stay below this


def to_manifold(prism: Prism, run: int) -> m3.Manifold:
    """The prism as a boolean operand whose triangles carry run and face number."""
    pieces: list[tuple[int, int, int]] = []
    names: list[int] = []
    for number, f in enumerate(prism.faces):
        cut = triangulate_face(prism.corners, f)
        pieces += cut
        names += [number] * len(cut)
    mesh = m3.Mesh64(
        np.ascontiguousarray(prism.corners),
        np.array(pieces, dtype=np.uint64),
        run_index=np.array([0, 3 * len(pieces)], dtype=np.uint64),
        run_original_id=np.array([run], dtype=np.uint32),
        face_id=np.array(names, dtype=np.uint64),
    )
    return m3.Manifold(mesh)


def triangulate_face(corners: Array, face: Face) -> list[tuple[int, int, int]]:
    """The face cut into triangles of its own corners."""
    loop = face.loops[0]
    if len(face.loops) == 1 and (len(loop) <= 4 or (face.kind == "end" and _is_convex(corners, face))):
        return [(loop[0], loop[i], loop[i + 1]) for i in range(1, len(loop) - 1)]
    x, y = plane_axes(face.normal)
    flat = np.column_stack((x, y))
    index = [i for part in face.loops for i in part]
    cut = m3.triangulate([corners[list(part)] @ flat for part in face.loops])
    return [(index[a], index[b], index[c]) for a, b, c in cut]


def _is_convex(corners: Array, face: Face) -> bool:
    p = corners[list(face.loops[0])]
    e = np.roll(p, -1, axis=0) - p
    return bool((cross(e, np.roll(e, -1, axis=0)) @ face.normal > 0).all())


def closed_skin(
    solid: m3.Manifold, prisms: Sequence[Prism], runs: dict[int, int], direction: Array, tolerance: Tolerance
) -> Skin | None:
    """The skin of one boolean result as skin_of_solid gives it, or None where it does not close or has a film."""
    skin = skin_of_solid(solid, prisms, runs, direction, tolerance)
    if _is_sound(skin, tolerance):
        return skin
    # Faces that coincide but for rounding (on tilted axes) leave films; merging near points removes most of them.
    skin = skin_of_solid(solid.simplify(tolerance.length), prisms, runs, direction, tolerance)
    return skin if _is_sound(skin, tolerance) else None


def _is_sound(skin: Skin, tolerance: Tolerance) -> bool:
    """Whether a skin closes and has no film, which would be seen as a spike: an outline that goes out and back."""
    return is_closed(skin) and not any(
        dist(points[a], points[c]) <= tolerance.length
        for points in (skin.corners.tolist(),)
        for f in skin.faces
        for loop in f.loops
        for a, c in zip(loop, (*loop[2:], *loop[:2]), strict=True)
    )


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
        label[part] = runs[int(run)] * _MAX_FACES_PER_FEATURE + face_ids[part]
    plane = _plane_numbers(label, prisms, tolerance)
    faces = _trace_faces(corners, triangles, label, plane, prisms)
    return canonical_skin(corners, faces, direction, int(2 - 2 * solid.genus()), solid.volume())


def _plane_numbers(label: Ints, prisms: Sequence[Prism], tolerance: Tolerance) -> Ints:
    """A number for the plane of every triangle, from the prisms' exact planes and not from the triangle's corners."""
    unique, inverse = np.unique(label, return_inverse=True)
    own = [prisms[name // _MAX_FACES_PER_FEATURE] for name in unique.tolist()]
    faces = [p.faces[name % _MAX_FACES_PER_FEATURE] for p, name in zip(own, unique.tolist(), strict=True)]
    normals = np.array([f.normal for f in faces]) * np.array([-1.0 if p.cut else 1.0 for p in own])[:, None]
    level = (normals * np.array([p.corners[f.loops[0][0]] for p, f in zip(own, faces, strict=True)])).sum(axis=1)
    apart = np.abs(level[:, None] - level[None, :])
    same = (apart < tolerance.length) & (normals @ normals.T > 1 - tolerance.angle**2 - 1e-13)
    number: Ints = same.argmax(axis=1)[inverse]
    return number


def _trace_faces(
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
    owner = _coplanar_components(plane, twin_array)
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
    areas = cross(
        corners[triangles[:, 1]] - corners[triangles[:, 0]], corners[triangles[:, 2]] - corners[triangles[:, 0]]
    )
    points = corners.tolist()
    largest = _largest_label(owner, label, np.sqrt((areas**2).sum(axis=1)))
    faces = []
    for face, own in loops.items():
        name = largest[face]
        prism = prisms[name // _MAX_FACES_PER_FEATURE]
        original = prism.faces[name % _MAX_FACES_PER_FEATURE]
        normal = -original.normal if prism.cut else original.normal
        kept = [tuple(v for v in loop if outgoing[v] > 2) for loop in own]
        kept = [k if len(k) >= 3 else tuple(loop) for k, loop in zip(kept, own, strict=True)]
        if len(kept) > 1:
            across = normal.tolist()
            kept.sort(key=lambda k: -_signed_area(points, k, across))
        faces.append(Face(tuple(kept), prism.index, original.side, original.kind, normal))
    return faces


def _largest_label(owner: Ints, label: Ints, size: Array) -> dict[int, int]:
    """For every face the label that covers most of it."""
    total: dict[tuple[int, int], float] = {}
    for o, name, a in zip(owner.tolist(), label.tolist(), size.tolist(), strict=True):
        total[o, name] = total.get((o, name), 0.0) + a
    best: dict[int, tuple[float, int]] = {}
    for (o, name), a in total.items():
        if o not in best or (a, -name) > (best[o][0], -best[o][1]):
            best[o] = (a, name)
    return {o: name for o, (_, name) in best.items()}


def _coplanar_components(plane: Ints, twin: Ints) -> Ints:
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


def _signed_area(points: Sequence[Sequence[float]], loop: tuple[int, ...], normal: Sequence[float]) -> float:
    """Area of a loop seen against a normal."""
    x = y = z = 0.0
    (ox, oy, oz), (ax, ay, az) = points[loop[0]], points[loop[-1]]
    ax, ay, az = ax - ox, ay - oy, az - oz
    for v in loop:
        bx, by, bz = points[v]
        bx, by, bz = bx - ox, by - oy, bz - oz
        x += ay * bz - az * by
        y += az * bx - ax * bz
        z += ax * by - ay * bx
        ax, ay, az = bx, by, bz
    return (x * normal[0] + y * normal[1] + z * normal[2]) / 2
