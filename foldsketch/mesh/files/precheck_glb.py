"""GLB (binary glTF): its description must fit its bytes, and nothing outside it is opened."""

from __future__ import annotations

import json
from typing import Any

from foldsketch.base.findings import FoldsketchError, Quantity
from foldsketch.mesh.files import messages
from foldsketch.mesh.files.precheck import PrecheckedFile, check_triangle_count

MAX_MESH_USES = 10_000
"""A file may show one mesh in many places."""

_COMPONENT_BYTES = {5120: 1, 5121: 1, 5122: 2, 5123: 2, 5125: 4, 5126: 4}
_COMPONENTS = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4, "MAT2": 4, "MAT3": 9, "MAT4": 16}
"""Bytes of a number, and numbers of an element, by the names that glTF gives them (glTF 2.0, 3.6.2.2)."""

_LEFT_OUT = ("images", "textures", "materials", "samplers", "animations", "skins")


def check_glb(where: str, data: bytes) -> PrecheckedFile:
    """Header, chunks and accessors of glTF 2 must fit the file; pictures and materials are taken out.

    Raises FoldsketchError.
    """
    if len(data) < 20 or data[:4] != b"glTF" or int.from_bytes(data[4:8], "little") != 2:
        raise messages.INVALID.error(where, format="binary glTF 2")
    total, size = int.from_bytes(data[8:12], "little"), int.from_bytes(data[12:16], "little")
    if total > len(data) or 20 + size > len(data) or data[16:20] != b"JSON":
        raise _cut_short(where, max(total, 20 + size), len(data))
    body = data[20 + size :]
    try:
        tree = json.loads(data[20 : 20 + size])
        _check_buffers(where, tree, len(body))
        _check_nodes(where, tree)
        for name in _LEFT_OUT:
            tree.pop(name, None)
        for mesh in tree.get("meshes", []):
            for primitive in mesh.get("primitives", []):
                primitive.pop("material", None)
    except FoldsketchError:
        raise
    except (ValueError, LookupError, TypeError, AttributeError, RecursionError, OverflowError) as why:
        raise messages.INVALID.error(where, format="GLB") from why
    lean = json.dumps(tree).encode()
    lean += b" " * (-len(lean) % 4)
    head = b"glTF" + (2).to_bytes(4, "little") + (20 + len(lean) + len(body)).to_bytes(4, "little")
    return PrecheckedFile(head + len(lean).to_bytes(4, "little") + b"JSON" + lean + body, True, unit="m")


def _cut_short(where: str, declared: int, found: int) -> FoldsketchError:
    return messages.CUT_SHORT.error(
        where, declared=Quantity(declared, "bytes", 0), found=Quantity(found, "bytes", 0), format="GLB"
    )


def _check_buffers(where: str, tree: dict[str, Any], size: int) -> None:
    """Views must fit the body of so many bytes, and accessors their views."""
    extensions = tree.get("extensionsRequired", [])
    if extensions:
        raise messages.GLB_EXTENSION.error(where, extension=", ".join(map(str, extensions))[:80])
    if any("uri" in b for b in tree.get("buffers", [])):
        raise messages.GLB_OTHER_FILE.error(where)
    views = tree.get("bufferViews", [])
    for view in views:
        length = int(view["byteLength"])
        if length < 0 or int(view.get("byteOffset", 0)) + length > size:
            raise _cut_short(where, int(view.get("byteOffset", 0)) + length, size)
    for a in tree.get("accessors", []):
        needed = int(a["count"]) * _COMPONENT_BYTES[a["componentType"]] * _COMPONENTS[a["type"]]
        room = int(views[a["bufferView"]]["byteLength"]) if "bufferView" in a and "sparse" not in a else -1
        if not 0 <= needed <= room:
            raise _cut_short(where, needed, max(room, 0))


def _check_nodes(where: str, tree: dict[str, Any]) -> None:
    """Nodes must form trees, and the meshes that they show must not unpack to too much.

    A mesh may be shown, and its data named, many times over.
    """
    nodes, accessors = tree.get("nodes", []), tree.get("accessors", [])
    children = [int(c) for n in nodes for c in n.get("children", [])]
    roots = [[int(n) for n in s.get("nodes", [])] for s in tree.get("scenes", [])]
    if any(len(listed) != len(set(listed)) for listed in (children, *roots)):
        raise messages.GLB_NOT_A_TREE.error(where)
    uses = [int(n["mesh"]) for n in nodes if "mesh" in n]
    meshes = [m.get("primitives", []) for m in tree.get("meshes", [])]
    count = sum(len(meshes[u]) for u in uses)
    if count > MAX_MESH_USES:
        raise messages.GLB_TOO_MANY_USES.error(where, count=count, limit=MAX_MESH_USES)
    corners = [sum(_count_vertices(p, accessors) for p in m) for m in meshes]
    check_triangle_count(where, max(sum(corners), sum(corners[u] for u in uses)) // 3)


def _count_vertices(primitive: dict[str, Any], accessors: list[dict[str, Any]]) -> int:
    """How many corners a primitive unpacks to."""
    named = [primitive["indices"]] if "indices" in primitive else []
    named += [k for name, k in primitive.get("attributes", {}).items() if name == "POSITION"]
    return max((int(accessors[int(k)]["count"]) for k in named), default=0)
