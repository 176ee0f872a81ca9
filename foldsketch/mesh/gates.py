"""Gates: what a mesh file must prove about itself before it is let in to the parser."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from foldsketch.base.findings import Finding, FoldsketchError, refuse

MOST_TRIANGLES = 5_000_000
AGAIN = "export it again"


@dataclass(frozen=True, slots=True, eq=False)
class Passed:
    """data: the bytes that the parser may see; arrays: corners and triangles when the gate has read them itself."""

    data: bytes
    single: bool
    unit: str = ""
    findings: tuple[Finding, ...] = ()
    arrays: tuple[NDArray[np.float64], NDArray[np.int64]] | None = None


_STARTS: tuple[tuple[bytes, str], ...] = (
    (b"\x1f\x8b", "is packed with gzip"),
    (b"BZh", "is packed with bzip2"),
    (b"\xfd7zXZ", "is packed with xz"),
    (b"7z\xbc\xaf", "is a 7z archive"),
    (b"Rar!", "is a RAR archive"),
    (b"\x89PNG", "is a PNG picture"),
    (b"\xff\xd8\xff", "is a JPEG picture"),
    (b"GIF8", "is a GIF picture"),
    (b"II*\x00", "is a TIFF picture"),
    (b"MM\x00*", "is a TIFF picture"),
    (b"RIFF", "is a sound, film or picture file"),
    (b"%PDF", "is a PDF document"),
    (b"\x7fELF", "is a program"),
    (b"ISO-10303-21", "is a STEP file, which holds no triangles"),
    (b"\xff\xfe", "is text in UTF-16"),
    (b"\xfe\xff", "is text in UTF-16"),
)


def not_something_else(where: str, kind: str, data: bytes) -> None:
    """Refuse files that are plainly another kind: pictures, archives, UTF-16 text. Raises FoldsketchError."""
    for start, what in _STARTS:
        if data.startswith(start) and not (kind == "stl" and stl_length_fits(data)):
            cure = "unpack it first" if "packed" in what or "archive" in what else "export it as STL"
            cure = "save it as plain text (UTF-8)" if "UTF-16" in what else cure
            raise refuse(where, f"{what}, whatever its name says", cure)
    if data.startswith(b"PK\x03\x04") and kind != "3mf":
        raise refuse(where, "is a zip archive, whatever its name says", "unpack it first")
    head = data[:512]
    if kind in ("obj", "off") and b"\x00" in head:
        raise refuse(where, "is not plain text", f"save it as plain text (UTF-8) or {AGAIN}")
    wide = len(head) >= 32 and not any(head[1:64:2]) and all(head[:64:2])
    if wide and not (kind == "stl" and stl_length_fits(data)):
        raise refuse(where, "looks like text in UTF-16", "save it as plain text (UTF-8)")


def stl_length_fits(data: bytes) -> bool:
    """True when bytes 80 to 83 declare a count that fills the file: 84 + 50 n [Burns, Automated Fabrication, 6.5]."""
    return len(data) >= 84 and len(data) == 84 + 50 * int.from_bytes(data[80:84], "little")


def _too_many(where: str, count: int) -> FoldsketchError:
    return refuse(where, f"{count} triangles are more than are read", "export it with a coarser tolerance")


def stl(where: str, data: bytes) -> Passed:
    """Binary when the declared count fills the file, else ASCII when it starts with 'solid'."""
    text = data[:4096].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    declared = int.from_bytes(data[80:84], "little") if len(data) >= 84 else 0
    if not stl_length_fits(data) and text.startswith(b"solid") and (len(data) < 84 or _is_text(data[:4096])):
        return _stl_text(where, data)
    if len(data) < 84:
        raise refuse(where, f"is no STL: {len(data)} bytes are less than its header", AGAIN)
    held = (len(data) - 84) // 50
    findings: tuple[Finding, ...] = ()
    if not stl_length_fits(data):
        if _is_text(data[:4096]):
            raise refuse(where, "is text, but not an STL that starts with 'solid'", AGAIN)
        if declared > held:
            raise refuse(where, f"declares {declared} triangles and holds {held}: it is cut short or no STL", AGAIN)
        if declared == 0 or (len(data) - 84 - 50 * declared) > max(4096, 25 * declared):
            raise refuse(where, f"declares {declared} triangles, but its size fits {held}", AGAIN)
        findings = (
            Finding("warning", where, f"{len(data) - 84 - 50 * declared} bytes follow the last triangle", AGAIN),
        )
    if declared == 0:
        raise refuse(where, "declares no triangles", AGAIN)
    if declared > MOST_TRIANGLES:
        raise _too_many(where, declared)
    return Passed(data[: 84 + 50 * declared], True, findings=findings)


def _is_text(head: bytes) -> bool:
    odd = sum(c < 9 or 13 < c < 32 for c in head)
    return odd == 0


def _stl_text(where: str, data: bytes) -> Passed:
    low = re.sub(rb"^[ \t]*((?:end)?solid)\b[^\r\n]*", rb"\1", data.lower(), flags=re.M)  # names may be any words
    facets, loops = len(re.findall(rb"facet\s+normal", low)), low.count(b"outer")
    corners = len(re.findall(rb"\bvertex\s", low))
    if facets == 0:
        raise refuse(where, "starts like an STL, but holds no facets", AGAIN)
    if b"endsolid" not in low[-4096:]:
        raise refuse(where, f"is cut short: no 'endsolid' after {facets} facets", AGAIN)
    if corners != 3 * facets or loops != facets or low.count(b"endfacet") != facets:
        raise refuse(where, f"has {facets} facets, but {corners} corners and not three for each", AGAIN)
    if facets > MOST_TRIANGLES:
        raise _too_many(where, facets)
    rows = re.findall(rb"\bvertex[ \t]+(\S+)[ \t]+(\S+)[ \t]+(\S+)[ \t]*[\r\n]", low)
    if len(rows) != corners:
        raise refuse(where, "some 'vertex' lines do not hold three numbers", AGAIN)
    try:
        numbers = np.array(rows, dtype="S32").astype(np.float64)
    except ValueError as why:
        raise refuse(where, "some 'vertex' lines hold no numbers", AGAIN) from why
    return Passed(b"", False, arrays=(numbers, np.arange(len(numbers), dtype=np.int64).reshape(-1, 3)))


_PLY_SIZE = {
    **dict.fromkeys(("char", "uchar", "int8", "uint8"), 1),
    **dict.fromkeys(("short", "ushort", "int16", "uint16"), 2),
    **dict.fromkeys(("int", "uint", "int32", "uint32", "float", "float32"), 4),
    **dict.fromkeys(("double", "float64", "int64", "uint64"), 8),
}


def ply(where: str, data: bytes) -> Passed:
    """Header of at most 64 kB; the counts of all elements must fit into what follows it."""
    if not data.startswith(b"ply"):
        raise refuse(where, "does not start with 'ply'", AGAIN)
    found = re.search(rb"end_header\r?\n", data[:65536])
    if not found:
        raise refuse(where, "its header has no end", AGAIN)
    lines = data[: found.start()].decode("ascii", "replace").split("\n")
    rest, text, single = len(data) - found.end(), True, True
    needed, faces, corners = 0, 0, 0
    count, first_list = 0, ""
    kept: list[str] = []
    for line in (raw.strip() for raw in lines):
        words = line.split()
        if words[:1] == ["comment"] or words[:1] == ["obj_info"]:
            continue  # a comment may name a texture file, which is nobody's business here
        if line:
            kept.append(line)
        if words[:1] == ["format"]:
            text = words[1:2] == ["ascii"]
        elif words[:1] == ["element"]:
            if len(words) != 3 or not words[2].isdigit() or len(words[2]) > 12:
                raise refuse(where, f"its header line '{line[:60]}' is no element", AGAIN)
            count = int(words[2])
            faces = count if words[1] == "face" else faces
            corners = count if words[1] == "vertex" else corners
        elif words[:1] == ["property"]:
            is_list = words[1:2] == ["list"]
            if not is_list and words[1:2] == ["double"]:
                single = False
            least = 2 if text else _PLY_SIZE.get(words[2] if is_list and len(words) > 2 else [*words, ""][1], 0)
            if least == 0:
                raise refuse(where, f"its header line '{line[:60]}' names no known type", AGAIN)
            needed += count * least
            first_list = first_list or (words[2] if is_list else "")
    if needed > rest + 1:
        raise refuse(where, f"declares data of at least {needed} bytes and holds {rest}: it is cut short", AGAIN)
    if faces == 0 or corners == 0:
        raise refuse(where, "holds no triangles", "export a surface mesh")
    if max(faces, corners) > MOST_TRIANGLES:
        raise _too_many(where, faces)
    return Passed("\n".join([*kept, "end_header\n"]).encode("ascii", "replace") + data[found.end() :], single)


def obj(where: str, data: bytes) -> Passed:
    """Lines of corners and faces; lines that name materials are taken out, so that nothing else is opened."""
    plain = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n").replace(b"\\\n", b" ")
    corner_lines = re.findall(rb"^[ \t]*v[ \t]+([^\n#]+)", plain, re.M)
    face_lines = re.findall(rb"^[ \t]*f[ \t]+([^\n#]+)", plain, re.M)
    if not corner_lines or not face_lines:
        raise refuse(where, "has no 'v' or no 'f' lines: it holds no surface", AGAIN)
    if len(face_lines) > MOST_TRIANGLES:
        raise _too_many(where, len(face_lines))
    if max(map(len, face_lines)) > 4000:
        raise refuse(where, "has a face of more corners than is sensible", AGAIN)
    try:
        corners = np.array([row.split()[:3] for row in corner_lines], dtype="S32").astype(np.float64)
        rows = [[int(word.split(b"/")[0]) for word in row.split()] for row in face_lines]
    except ValueError as why:
        raise refuse(where, "some 'v' or 'f' lines hold no numbers", AGAIN) from why
    if corners.ndim != 2 or corners.shape[1] != 3 or min(map(len, rows)) < 3:
        raise refuse(where, "some 'v' or 'f' lines are too short", AGAIN)
    if any(i < 0 for row in rows for i in row):
        rows = _count_back(plain, rows)
    fan = [(row[0], a, b) for row in rows for a, b in pairwise(row[1:])]
    triangles = np.array(fan, dtype=np.int64) - 1
    return Passed(b"", False, arrays=(corners, triangles))


def _count_back(plain: bytes, rows: list[list[int]]) -> list[list[int]]:
    """Negative numbers of a face count back from the corners read so far."""
    seen, k, out = 0, 0, []
    for found in re.finditer(rb"^[ \t]*([vf])[ \t]", plain, re.M):
        if found.group(1) == b"v":
            seen += 1
        else:
            out.append([i if i > 0 else seen + 1 + i for i in rows[k]])
            k += 1
    return out


def off(where: str, data: bytes) -> Passed:
    """'OFF', three counts, then lines; the counts must fit into the file."""
    words = re.sub(rb"#[^\n]*", b"", data[:65536]).split()
    if not words or not words[0].upper().endswith(b"OFF"):
        raise refuse(where, "does not start with 'OFF'", AGAIN)
    counts = words[1:3]
    if words[0].upper() != b"OFF" or len(counts) < 2 or not all(w.isdigit() and len(w) < 12 for w in counts):
        raise refuse(where, "is no plain OFF file with its counts in the second line", AGAIN)
    corners, faces = map(int, counts)
    if corners * 6 + faces * 8 > len(data):
        raise refuse(where, f"declares {corners} corners and {faces} faces, more than its size holds", AGAIN)
    if corners == 0 or faces == 0:
        raise refuse(where, "holds no triangles", "export a surface mesh")
    rows = len(re.findall(rb"^[ \t]*[-+.0-9][^\n]*$", data, re.M))
    if rows < corners + faces + 1 and not (rows == corners + faces and b"OFF " in data[:64]):
        raise refuse(
            where, f"declares {corners} corners and {faces} faces and has {rows} lines: it is cut short", AGAIN
        )
    if faces > MOST_TRIANGLES:
        raise _too_many(where, faces)
    return Passed(data, False)


def glb(where: str, data: bytes) -> Passed:
    """Header, chunks and accessors of binary glTF 2 must fit the file; pictures and outside files are not opened."""
    if len(data) < 20 or data[:4] != b"glTF" or int.from_bytes(data[4:8], "little") != 2:
        raise refuse(where, "is no binary glTF 2 file", AGAIN)
    total, size = int.from_bytes(data[8:12], "little"), int.from_bytes(data[12:16], "little")
    if total > len(data) or 20 + size > len(data) or data[16:20] != b"JSON":
        raise refuse(where, f"declares {total} bytes and holds {len(data)}: it is cut short", AGAIN)
    try:
        tree = json.loads(data[20 : 20 + size])
        _glb_tree(where, tree, len(data) - 20 - size)
    except FoldsketchError:
        raise
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as why:
        raise refuse(where, "its description cannot be made out", AGAIN) from why
    for name in ("images", "textures", "materials", "samplers", "animations", "skins"):
        tree.pop(name, None)
    for mesh in tree.get("meshes", []):
        for primitive in mesh.get("primitives", []):
            primitive.pop("material", None)
    lean = json.dumps(tree).encode()
    lean += b" " * (-len(lean) % 4)
    body = data[20 + size :]
    head = b"glTF" + (2).to_bytes(4, "little") + (20 + len(lean) + len(body)).to_bytes(4, "little")
    return Passed(head + len(lean).to_bytes(4, "little") + b"JSON" + lean + body, True, unit="m")


def _glb_tree(where: str, tree: dict[str, Any], body: int) -> None:
    used = tree.get("extensionsRequired", [])
    if used:
        raise refuse(where, f"needs the extension {', '.join(map(str, used))[:80]}", "export it without compression")
    if any("uri" in b for b in tree.get("buffers", [])):
        raise refuse(where, "keeps its data in another file", "export it as one GLB file")
    views = tree.get("bufferViews", [])
    if any(int(v.get("byteOffset", 0)) + int(v["byteLength"]) > body or int(v["byteLength"]) < 0 for v in views):
        raise refuse(where, "declares more data than it holds: it is cut short", AGAIN)
    width = {5120: 1, 5121: 1, 5122: 2, 5123: 2, 5125: 4, 5126: 4}
    parts = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4, "MAT2": 4, "MAT3": 9, "MAT4": 16}
    for a in tree.get("accessors", []):
        size = int(a["count"]) * width[a["componentType"]] * parts[a["type"]]
        if "bufferView" not in a or "sparse" in a or size > int(views[a["bufferView"]]["byteLength"]) or size < 0:
            raise refuse(where, "declares more data than it holds: it is cut short", AGAIN)
    children = [int(c) for n in tree.get("nodes", []) for c in n.get("children", [])]
    if len(children) != len(set(children)):
        raise refuse(where, "its nodes do not form a tree", AGAIN)
    uses = [int(n["mesh"]) for n in tree.get("nodes", []) if "mesh" in n]
    primitives = [len(m.get("primitives", [])) for m in tree.get("meshes", [])]
    if sum(primitives[u] for u in uses) > 10_000:
        raise refuse(where, "uses its meshes more often than is sensible", AGAIN)


def threemf(where: str, data: bytes) -> Passed:
    """Read by the house itself, see foldsketch.mesh.threemf."""
    from foldsketch.mesh.threemf import read_threemf

    corners, triangles, unit = read_threemf(where, data)
    return Passed(b"", False, unit, arrays=(corners, triangles))


GATES: dict[str, Callable[[str, bytes], Passed]] = {
    "stl": stl,
    "ply": ply,
    "obj": obj,
    "off": off,
    "glb": glb,
    "3mf": threemf,
}
