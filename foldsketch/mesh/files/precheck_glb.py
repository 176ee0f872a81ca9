"""Gate for binary glTF: its description must fit its bytes, and nothing outside of it is opened."""

from __future__ import annotations

import json
from typing import Any

from foldsketch.base.findings import FoldsketchError, input_error
from foldsketch.mesh.files.precheck import EXPORT_AGAIN, MAX_TRIANGLES, PrecheckedFile, too_many_triangles


def check_glb(where: str, data: bytes) -> PrecheckedFile:
    """Header, chunks and accessors of binary glTF 2 must fit the file; pictures and outside files are not opened."""
    if len(data) < 20 or data[:4] != b"glTF" or int.from_bytes(data[4:8], "little") != 2:
        raise input_error(where, "is no binary glTF 2 file", EXPORT_AGAIN)
    total, size = int.from_bytes(data[8:12], "little"), int.from_bytes(data[12:16], "little")
    if total > len(data) or 20 + size > len(data) or data[16:20] != b"JSON":
        raise input_error(where, f"declares {total} bytes and holds {len(data)}: it is cut short", EXPORT_AGAIN)
    try:
        tree = json.loads(data[20 : 20 + size])
        _check_glb_json(where, tree, len(data) - 20 - size)
    except FoldsketchError:
        raise
    except (ValueError, LookupError, TypeError, AttributeError, RecursionError, OverflowError) as why:
        raise input_error(where, "its description cannot be made out", EXPORT_AGAIN) from why
    for name in ("images", "textures", "materials", "samplers", "animations", "skins"):
        tree.pop(name, None)
    for mesh in tree.get("meshes", []):
        for primitive in mesh.get("primitives", []):
            primitive.pop("material", None)
    lean = json.dumps(tree).encode()
    lean += b" " * (-len(lean) % 4)
    body = data[20 + size :]
    head = b"glTF" + (2).to_bytes(4, "little") + (20 + len(lean) + len(body)).to_bytes(4, "little")
    return PrecheckedFile(head + len(lean).to_bytes(4, "little") + b"JSON" + lean + body, True, unit="m")


def _check_glb_json(where: str, tree: dict[str, Any], body: int) -> None:
    used = tree.get("extensionsRequired", [])
    if used:
        raise input_error(
            where, f"needs the extension {', '.join(map(str, used))[:80]}", "export it without compression"
        )
    if any("uri" in b for b in tree.get("buffers", [])):
        raise input_error(where, "keeps its data in another file", "export it as one GLB file")
    views = tree.get("bufferViews", [])
    if any(int(v.get("byteOffset", 0)) + int(v["byteLength"]) > body or int(v["byteLength"]) < 0 for v in views):
        raise input_error(where, "declares more data than it holds: it is cut short", EXPORT_AGAIN)
    width = {5120: 1, 5121: 1, 5122: 2, 5123: 2, 5125: 4, 5126: 4}
    parts = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4, "MAT2": 4, "MAT3": 9, "MAT4": 16}
    for a in tree.get("accessors", []):
        size = int(a["count"]) * width[a["componentType"]] * parts[a["type"]]
        if "bufferView" not in a or "sparse" in a or size > int(views[a["bufferView"]]["byteLength"]) or size < 0:
            raise input_error(where, "declares more data than it holds: it is cut short", EXPORT_AGAIN)
    children = [int(c) for n in tree.get("nodes", []) for c in n.get("children", [])]
    roots = [[int(n) for n in s.get("nodes", [])] for s in tree.get("scenes", [])]
    if len(children) != len(set(children)) or any(len(r) != len(set(r)) for r in roots):
        raise input_error(where, "its nodes do not form a tree", EXPORT_AGAIN)
    uses = [int(n["mesh"]) for n in tree.get("nodes", []) if "mesh" in n]
    meshes = [m.get("primitives", []) for m in tree.get("meshes", [])]
    if sum(len(meshes[u]) for u in uses) > 10_000:
        raise input_error(where, "uses its meshes more often than is sensible", EXPORT_AGAIN)
    # A mesh may be used, and its data named, many times over: what comes out of it is counted before it does.
    sizes = [sum(_count_vertices(p, tree.get("accessors", [])) for p in m) for m in meshes]
    most = max(sum(sizes), sum(sizes[u] for u in uses)) // 3
    if most > MAX_TRIANGLES:
        raise too_many_triangles(where, most)


def _count_vertices(primitive: dict[str, Any], accessors: list[dict[str, Any]]) -> int:
    """How many corners a primitive unpacks to."""
    named = [primitive["indices"]] if "indices" in primitive else []
    named += [k for name, k in primitive.get("attributes", {}).items() if name == "POSITION"]
    return max((int(accessors[int(k)]["count"]) for k in named), default=0)
