"""Read GLB: the kernel's answer as solids in their places, each with triangles and the exact surface of every face."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.mesh.files.precheck import check_triangle_count
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface

MM_PER_M = 1000.0
"""The kernel's faces are in metres, as glTF asks."""

POSITION_MM = {"step": 1000.0, "iges": 1.0}
"""mm in one of the numbers of corners and places: from IGES the kernel leaves them in mm [D: files of known size]."""

_NUMBERS = {5121: np.uint8, 5123: np.uint16, 5125: np.uint32, 5126: np.float32}
_COMPONENTS = {"SCALAR": 1, "VEC3": 3}
"""Types of numbers and elements by the names that glTF gives them (glTF 2.0, 3.6.2.2)."""

FACES = "TM_brep_faces"


@dataclass(frozen=True, slots=True, eq=False)
class CadSolid:
    """One solid of the file, or several of one product. Lengths mm, where the file places it.

    corners: (n, 3); triangles: (m, 3); face: (m,) number of the face of every triangle, -1 for none; surfaces: of
    every face, None where the file has no plane, cylinder, cone, sphere or torus for it; corner_error: mm that corners
    may be off their surfaces.
    """

    name: str
    corners: Array
    triangles: Ints
    face: Ints
    surfaces: tuple[AnalyticSurface | None, ...]
    corner_error: float = 0.01


@dataclass(frozen=True, slots=True, eq=False)
class _Glb:
    tree: dict[str, Any]
    body: bytes

    def numbers(self, accessor: int) -> Array | Ints:
        """Elements of an accessor: (n,) or (n, 3)."""
        a = self.tree["accessors"][accessor]
        view = self.tree["bufferViews"][a["bufferView"]]
        kind, width = np.dtype(_NUMBERS[a["componentType"]]), _COMPONENTS[a["type"]]
        start = int(view.get("byteOffset", 0)) + int(a.get("byteOffset", 0))
        stride = int(view.get("byteStride", 0)) or kind.itemsize * width
        shape = (int(a["count"]), width)
        out = np.ndarray(shape, kind, self.body, start, (stride, kind.itemsize))
        return out[:, 0] if width == 1 else out


def read_glb(where: str, kind: str, data: bytes) -> tuple[tuple[CadSolid, ...], int | None]:
    """Solids of the kernel's answer for a file of a kind ("step" or "iges"), and how many faces it made in all.

    A product that is placed several times counts its faces once. None for the number of faces where the answer does not
    tell: of faces in several colours only those of the first one are named. Raises FoldsketchError for too many
    triangles, and ValueError, LookupError or TypeError for an answer that is no GLB.
    """
    size = int.from_bytes(data[12:16], "little")
    glb = _Glb(json.loads(data[20 : 20 + size]), data[28 + size :])
    tree = glb.tree
    meshes = [_mesh(glb, m, POSITION_MM[kind]) for m in tree.get("meshes", [])]
    solids: list[CadSolid] = []
    todo = [(int(n), np.eye(4), 0) for s in tree.get("scenes", []) for n in reversed(s.get("nodes", []))]
    unit = POSITION_MM[kind]
    while todo:
        number, above, depth = todo.pop()
        node = tree["nodes"][number]
        place = above @ _node_matrix(node)
        if "mesh" in node and len(meshes[node["mesh"]].triangles):
            solids.append(_placed(meshes[node["mesh"]], place, unit))
            check_triangle_count(where, sum(len(s.triangles) for s in solids))
        if depth < len(tree["nodes"]):
            todo += [(int(child), place, depth + 1) for child in reversed(node.get("children", []))]
    is_told = all((m.face >= 0).all() for m in meshes)
    return tuple(solids), sum(len(np.unique(m.face)) for m in meshes) if is_told else None


def _mesh(glb: _Glb, mesh: dict[str, Any], factor: float) -> CadSolid:
    """A mesh of the answer, in its own frame, mm."""
    corners: list[Array] = []
    triangles: list[Ints] = []
    face: list[Ints] = []
    surfaces: list[AnalyticSurface | None] = []
    count = 0
    for primitive in mesh["primitives"]:
        if primitive.get("mode", 4) != 4 or "indices" not in primitive:
            continue  # lines and points
        points = np.asarray(glb.numbers(primitive["attributes"]["POSITION"]), dtype=np.float64) * factor
        rows = np.asarray(glb.numbers(primitive["indices"]), dtype=np.int64).reshape(-1, 3)
        exact = primitive.get("extensions", {}).get(FACES)
        own = np.full(len(rows), -1, dtype=np.int64)
        if exact is not None:
            number = np.asarray(glb.numbers(exact["faceIndices"]), dtype=np.int64)
            own = number + len(surfaces)
            surfaces += [_surface(f, points[rows[number == k]]) for k, f in enumerate(exact["faces"])]
        corners.append(points)
        triangles.append(rows + count)
        face.append(own)
        count += len(points)
    nothing = np.zeros((0, 3))
    return CadSolid(
        str(mesh.get("name", "")),
        np.concatenate([nothing, *corners]),
        np.concatenate([nothing.astype(np.int64), *triangles]),
        np.concatenate([np.zeros(0, dtype=np.int64), *face]),
        tuple(surfaces),
    )


def _surface(face: dict[str, Any] | None, triangles: Array) -> AnalyticSurface | None:
    """The exact surface of a face, or None. triangles: (m, 3, 3) on it; the point of a cone is amid them."""
    if not face or not len(triangles):
        return None
    point = MM_PER_M * np.array(face.get("origin") or face.get("center") or face.get("apex"), dtype=np.float64)
    direction = np.array(face.get("axis") or face.get("normal") or (0.0, 0.0, 1.0), dtype=np.float64)
    direction = direction / np.linalg.norm(direction)
    match face["type"]:
        case "plane":
            return AnalyticSurface("plane", point, direction, exact=True)
        case "cylinder" | "sphere":
            return AnalyticSurface(face["type"], point, direction, MM_PER_M * face["radius"], exact=True)
        case "torus":
            major, minor = MM_PER_M * face["major_radius"], MM_PER_M * face["minor_radius"]
            return AnalyticSurface("torus", point, direction, major, tube=minor, exact=True)
        case "cone":
            along = float((triangles.mean(axis=(0, 1)) - point) @ direction)  # from the apex
            slope = float(np.tan(face["semi_angle"])) * (1.0 if along >= 0 else -1.0)
            return AnalyticSurface("cone", point + along * direction, direction, slope * along, slope, exact=True)
    return None


def _node_matrix(node: dict[str, Any]) -> Array:
    """Matrix (4, 4) of a node (glTF 2.0, 5.25: matrix by columns, or moved, turned, scaled)."""
    if "matrix" in node:
        return np.array(node["matrix"], dtype=np.float64).reshape(4, 4).T
    out = np.eye(4)
    x, y, z, w = node.get("rotation", (0.0, 0.0, 0.0, 1.0))
    turn = np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
            [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
            [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
        ]
    )
    out[:3, :3] = turn * np.array(node.get("scale", (1.0, 1.0, 1.0)))
    out[:3, 3] = node.get("translation", (0.0, 0.0, 0.0))
    return out


def _placed(solid: CadSolid, matrix: Array, unit: float) -> CadSolid:
    """A solid moved and turned to its place. unit: mm in one of the matrix's own lengths."""
    if np.array_equal(matrix, np.eye(4)):
        return solid
    turn, shift = matrix[:3, :3], unit * matrix[:3, 3]
    moved = tuple(
        s and AnalyticSurface(s.kind, turn @ s.point + shift, turn @ s.direction, s.radius, s.slope, s.tube, True)
        for s in solid.surfaces
    )
    mirrored = np.linalg.det(turn) < 0
    triangles = solid.triangles[:, ::-1] if mirrored else solid.triangles
    return CadSolid(solid.name, solid.corners @ turn.T + shift, triangles, solid.face, moved)
