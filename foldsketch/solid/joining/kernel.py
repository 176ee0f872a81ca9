"""The way into the boolean kernel and back: every triangle of a result names the feature and face it comes from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import dropwhile
from math import dist

import manifold3d as m3
import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.base.tolerance import Tolerance
from foldsketch.base.vector import cross
from foldsketch.geometry.graphs import breadth_first
from foldsketch.geometry.polygon_loops import signed_area
from foldsketch.solid import messages
from foldsketch.solid.faceting.prism import Face, Prism
from foldsketch.solid.joining.skin import Skin, canonical_skin, is_closed, plane_axes

MAX_FACES_PER_FEATURE = 1 << 12
"""A triangle's label is the index of its feature times this, plus the number of its face."""

MAX_FAN_CORNERS = 48
"""Corners up to which a convex end is cut into a fan. The long slivers of larger fans meet the boxes of all that is cut
out of the end, and the boolean takes three times as long."""


class Operands:
    """The prisms of features as boolean operands, made when first asked for.

    prisms: index of a feature -> its prism.
    """

    def __init__(self, prisms: Mapping[int, Prism]) -> None:
        self.prisms = prisms
        first = m3.Manifold.reserve_ids(len(prisms))
        self._runs = {i: first + k for k, i in enumerate(prisms)}
        self._made: dict[int, m3.Manifold] = {}

    def solid(self, i: int) -> m3.Manifold:
        """One operand. Raises FoldsketchError if its faces do not enclose a volume."""
        if i not in self._made:
            made = to_manifold(self.prisms[i], self._runs[i])
            if made.status() != m3.Error.NoError or not made.volume() > 0:
                raise messages.FEATURE_WITHOUT_VOLUME.error(f"feature '{self.prisms[i].feature.name}'")
            self._made[i] = made
        return self._made[i]

    def combine(self, order: Iterable[int]) -> m3.Manifold:
        """Features one after another: material is added, cuts are subtracted."""
        solid: m3.Manifold | None = None
        for i in dropwhile(lambda i: self.prisms[i].cut, order):
            own = self.solid(i)
            solid = own if solid is None else solid - own if self.prisms[i].cut else solid + own
        return m3.Manifold() if solid is None else solid

    def labels(self, mesh: m3.Mesh64) -> Ints:
        """The label of every triangle of a result."""
        features = {run: i for i, run in self._runs.items()}
        owners = [features[int(run)] * MAX_FACES_PER_FEATURE for run in mesh.run_original_id]
        bounds = np.asarray(mesh.run_index).astype(np.int64) // 3
        return np.repeat(owners, np.diff(bounds)) + np.asarray(mesh.face_id).astype(np.int64)

    def face(self, label: int) -> tuple[Prism, Face]:
        """What a label names."""
        prism = self.prisms[label // MAX_FACES_PER_FEATURE]
        return prism, prism.faces[label % MAX_FACES_PER_FEATURE]


def to_manifold(prism: Prism, run: int) -> m3.Manifold:
    """The prism as a boolean operand whose triangles carry the run id and the index of their face."""
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
    """The face as triangles of its own corners, as numbers in corners (n, 3)."""
    loop = face.loops[0]
    if len(face.loops) == 1 and (len(loop) <= 4 or (face.kind == "end" and _is_convex(corners, face))):
        return _cut_off_corners(loop) if len(loop) > MAX_FAN_CORNERS else _fan(loop)
    flat = plane_axes(face.normal)
    index = [i for part in face.loops for i in part]
    cut = m3.triangulate([corners[list(part)] @ flat for part in face.loops])
    return [(index[a], index[b], index[c]) for a, b, c in cut]


def _fan(loop: Sequence[int]) -> list[tuple[int, int, int]]:
    """A convex loop as triangles that have its first corner in common."""
    return [(loop[0], loop[i], loop[i + 1]) for i in range(1, len(loop) - 1)]


def _cut_off_corners(loop: Sequence[int]) -> list[tuple[int, int, int]]:
    """A convex loop as triangles: every second corner is cut off, then every second of what is left, and so on.

    >>> _cut_off_corners(range(6))
    [(0, 1, 2), (2, 3, 4), (4, 5, 0), (0, 2, 4)]
    """
    out: list[tuple[int, int, int]] = []
    while len(loop) > 3:
        out += [(loop[i], loop[i + 1], loop[(i + 2) % len(loop)]) for i in range(0, len(loop) - 1, 2)]
        loop = loop[::2]
    return out if len(loop) < 3 else [*out, (loop[0], loop[1], loop[2])]


def _is_convex(corners: Array, face: Face) -> bool:
    p = corners[list(face.loops[0])]
    e = np.roll(p, -1, axis=0) - p
    return bool((cross(e, np.roll(e, -1, axis=0)) @ face.normal > 0).all())


def closed_skin(solid: m3.Manifold, operands: Operands, direction: Array, tolerance: Tolerance) -> Skin | None:
    """The skin of a boolean result; None if it does not close or has a spike.

    direction: (3,) the datum direction, by which faces and corners are put in order.
    """
    skin = _skin_of_solid(solid, operands, direction, tolerance)
    if _is_sound(skin, tolerance):
        return skin
    # Faces that coincide but for rounding (on tilted axes) leave slivers; merging near corners removes most of them.
    skin = _skin_of_solid(solid.simplify(tolerance.length), operands, direction, tolerance)
    return skin if _is_sound(skin, tolerance) else None


def _is_sound(skin: Skin, tolerance: Tolerance) -> bool:
    """True if a skin closes and has no spike, an outline that goes out to a corner and straight back."""
    return is_closed(skin) and not any(
        dist(points[a], points[c]) <= tolerance.length
        for points in (skin.corners.tolist(),)
        for f in skin.faces
        for loop in f.loops
        for a, c in zip(loop, (*loop[2:], *loop[:2]), strict=True)
    )


def _skin_of_solid(solid: m3.Manifold, operands: Operands, direction: Array, tolerance: Tolerance) -> Skin:
    """The skin of a boolean result. Triangles that lie in one plane and share edges become one face."""
    mesh = solid.to_mesh64()
    corners, triangles = np.array(mesh.vert_properties[:, :3]), np.array(mesh.tri_verts).astype(np.int64)
    faces = _merge_coplanar(corners, triangles, operands.labels(mesh), operands, tolerance)
    return canonical_skin(corners, faces, direction, int(2 - 2 * solid.genus()), solid.volume())


def _plane_numbers(label: Ints, operands: Operands, tolerance: Tolerance) -> Ints:
    """A number for the plane of every triangle, from the prisms' exact planes and not from the triangle's corners."""
    unique, inverse = np.unique(label, return_inverse=True)
    own = [operands.face(name) for name in unique.tolist()]
    normals = np.array([-f.normal if p.cut else f.normal for p, f in own])
    level = (normals * np.array([p.corners[f.loops[0][0]] for p, f in own])).sum(axis=1)
    apart = np.abs(level[:, None] - level[None, :])
    same = (apart < tolerance.length) & (normals @ normals.T > 1 - tolerance.angle**2 - 1e-13)
    number: Ints = same.argmax(axis=1)[inverse]
    return number


def _merge_coplanar(
    corners: Array, triangles: Ints, label: Ints, operands: Operands, tolerance: Tolerance
) -> list[Face]:
    """Faces of the triangles (m, 3) of a closed surface, with the label of the feature that covers most of each."""
    n = len(corners)
    start, end = triangles.ravel(), np.roll(triangles, -1, axis=1).ravel()
    # Half-edge 3t+k runs from corner k of triangle t to the next one; its twin runs the other way.
    forward = start * n + end
    order = np.argsort(forward)
    twin = order[np.searchsorted(forward[order], end * n + start)]
    owner = _coplanar_components(_plane_numbers(label, operands, tolerance), twin)
    inner = owner[twin // 3] == np.repeat(owner, 3)
    # A corner where only two border edges leave lies on the straight edge between two faces.
    needed = np.bincount(start[~inner], minlength=n) > 2
    sides = corners[triangles[:, 1:]] - corners[triangles[:, :1]]
    largest = _largest_label(owner, label, np.sqrt((cross(sides[:, 0], sides[:, 1]) ** 2).sum(axis=1)))
    faces = []
    for face, own in _border_loops(start.tolist(), twin.tolist(), inner.tolist(), owner).items():
        prism, original = operands.face(largest[face])
        normal = -original.normal if prism.cut else original.normal
        loops = [tuple(v for v in loop if needed[v]) for loop in own]
        loops = [k if len(k) >= 3 else tuple(loop) for k, loop in zip(loops, own, strict=True)]
        if len(loops) > 1:
            flat = corners @ plane_axes(normal)
            loops.sort(key=lambda loop: -signed_area(flat[list(loop)].tolist()))
        faces.append(Face(tuple(loops), prism.index, original.side, original.kind, normal))
    return faces


def _border_loops(tail: list[int], twin: list[int], inner: list[bool], owner: Ints) -> dict[int, list[list[int]]]:
    """The corners of the loops around every face, by its number in owner.

    tail: corner where each half-edge begins; inner: half-edges with the same face on both sides; owner: face of each
    triangle.
    """
    loops: dict[int, list[list[int]]] = {}
    seen = inner.copy()
    for h in range(len(tail)):
        if seen[h]:
            continue
        loop = []
        g = h
        while not seen[g]:
            seen[g] = True
            loop.append(tail[g])
            g = g - 2 if g % 3 == 2 else g + 1
            while inner[g]:
                g = twin[g]
                g = g - 2 if g % 3 == 2 else g + 1
        loops.setdefault(int(owner[h // 3]), []).append(loop)
    return loops


def _largest_label(owner: Ints, label: Ints, area: Array) -> dict[int, int]:
    """The label that covers most of every face; of equal ones the lowest."""
    pairs, index = np.unique(np.column_stack((owner, label)), axis=0, return_inverse=True)
    order = np.argsort(np.bincount(index.ravel(), area)[::-1], kind="stable")
    return dict(pairs[::-1][order].tolist())


def _coplanar_components(plane: Ints, twin: Ints) -> Ints:
    """The same number for triangles of one plane that are connected by edges. twin: of every half-edge."""
    own = np.repeat(np.arange(len(plane)), 3)
    beside = np.where(plane[own] == plane[twin // 3], twin // 3, own).reshape(-1, 3).tolist()
    owner = [-1] * len(plane)
    for t, known in enumerate(owner):
        if known < 0:
            for k in breadth_first(t, beside.__getitem__):
                owner[k] = t
    return np.array(owner)
