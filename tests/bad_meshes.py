"""Files that are no sound mesh: name, bytes (or what packs them), and the code of the one finding that refuses each."""

from __future__ import annotations

import gzip
import struct
from collections.abc import Callable

import numpy as np
import trimesh

from meshes import SPACE_3MF, glb_of, stl, stl_of, threemf, zipped

BOX = trimesh.creation.box((10, 20, 30))


def exported(kind: str) -> bytes:
    """The box as a file of a kind that trimesh names."""
    data = BOX.export(file_type=kind)
    return data.encode() if isinstance(data, str) else bytes(data)


STL = exported("stl")
TEXT = exported("stl_ascii").decode()
PLY = "ply\nformat ascii 1.0\nelement vertex {}\nproperty float x\nproperty float y\nproperty float z\n"
FACE = "element face {}\nproperty list uchar int vertex_indices\nend_header\n"
BIG = b"ply\nformat binary_big_endian 1.0\nelement vertex 3\nproperty double x\nproperty double y\nproperty double z\n"
CORNERS = "v 0 0 0\nv 1 0 0\nv 0 1 0\n"


def model_3mf(text: str) -> bytes:
    """A 3MF whose model is a text."""
    return zipped(**{"3D/3dmodel.model": text.encode()})


def nested_3mf(depth: int) -> bytes:
    """A 3MF whose components hold one another."""
    rows = "".join(
        f'<object id="{k}"><components>{"".join(f"<component objectid={q}{k + 1}{q}/>" for q in chr(34) * 9)}'
        "</components></object>"
        for k in range(1, depth)
    )
    last = f'<object id="{depth}"><components><component objectid="1"/></components></object>'
    return model_3mf(
        f'<model unit="millimeter" xmlns="{SPACE_3MF}"><resources>{rows}{last}</resources>'
        '<build><item objectid="1"/></build></model>'
    )


def glb_box(count: int = 3, reach: float = 1.0, **changes: object) -> bytes:
    """A GLB of one triangle whose accessors declare so many corners; changes: other parts of its description."""
    body = struct.pack("<9f", 0, 0, 0, reach, 0, 0, 0, reach, 0) + struct.pack("<3I", 0, 1, 2)
    tree = {
        "asset": {"version": "2.0"},
        "scene": 0,
        "scenes": [{"nodes": [0]}],
        "nodes": [{"mesh": 0}],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}],
        "buffers": [{"byteLength": len(body)}],
        "bufferViews": [{"buffer": 0, "byteLength": 36}, {"buffer": 0, "byteOffset": 36, "byteLength": 12}],
        "accessors": [
            {"bufferView": 0, "componentType": 5126, "type": "VEC3", "count": count},
            {"bufferView": 1, "componentType": 5125, "type": "SCALAR", "count": 3},
        ],
    }
    return glb_of({**tree, **changes}, body)


Bad = tuple[str, bytes | Callable[[], bytes], str]

BAD: dict[str, Bad] = {
    "empty": ("a.stl", b"", "mesh-file-empty"),
    "another format": ("a.step", b"ISO-10303-21;", "mesh-format-unknown"),
    "gzip": ("a.stl", gzip.compress(STL), "mesh-file-packed"),
    "zip": ("a.stl", threemf(BOX), "mesh-file-packed"),
    "picture": ("a.stl", b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 8, "mesh-file-of-another-kind"),
    "photograph": ("a.ply", b"\xff\xd8\xff\xe0" + bytes(range(256)) * 8, "mesh-file-of-another-kind"),
    "text in UTF-16": ("a.stl", TEXT.encode("utf-16"), "mesh-file-in-utf16"),
    "text in UTF-16 without a mark": ("a.stl", TEXT.encode("utf-16-le"), "mesh-file-in-utf16"),
    # STL
    "one byte": ("a.stl", b"s", "stl-too-short"),
    "header only": ("a.stl", stl(0), "mesh-without-triangles"),
    "declares two thousand million": ("a.stl", stl(2_000_000_000, b"\0" * 100), "mesh-file-cut-short"),
    "declares all bits": ("a.stl", stl(0xFFFFFFFF, b"\0"), "mesh-file-cut-short"),
    "cut in the middle": ("a.stl", STL[: len(STL) // 2], "mesh-file-cut-short"),
    "a byte short": ("a.stl", STL[:-1], "mesh-file-cut-short"),
    "random": ("a.stl", np.random.default_rng(5).bytes(5000), "mesh-file-cut-short"),
    "zeros": ("a.stl", b"\0" * 5000, "stl-count-wrong"),
    "twice as long as it says": ("a.stl", STL + b"\0" * 6000, "stl-count-wrong"),
    "not a number": ("a.stl", stl_of([[0, 0, 0], [1, 0, 0], [float("nan"), 1, 0]]), "mesh-coordinates-not-numbers"),
    "infinite": ("a.stl", stl_of([[0, 0, 0], [1, 0, 0], [float("inf"), 1, 0]]), "mesh-coordinates-not-numbers"),
    "1e30": ("a.stl", stl_of([[0, 0, 0], [1e30, 0, 0], [0, 1e30, 0]]), "mesh-coordinates-too-large"),
    "all in one point": ("a.stl", stl_of([[1, 1, 1]] * 3), "mesh-in-one-point"),
    "plain text": ("a.stl", b"Dear sirs, please find the drawing of the cover attached.\n" * 40, "stl-other-text"),
    "web page": ("a.stl", b"<!DOCTYPE html><html><body>404</body></html>" * 9, "stl-other-text"),
    "starts like an STL": ("a.stl", b"solid ground is what we stand on\n" * 40, "stl-without-facets"),
    "lonely words": ("a.stl", b"solid x\nendsolid x\n", "stl-without-facets"),
    "text cut short": ("a.stl", TEXT[: len(TEXT) // 2].encode(), "stl-without-end"),
    "text with words for numbers": ("a.stl", TEXT.replace("vertex 5", "vertex five").encode(), "stl-vertex-invalid"),
    "text with two numbers": ("a.stl", TEXT.replace("vertex 5.0", "vertex", 1).encode(), "stl-vertex-invalid"),
    "text with a corner gone": ("a.stl", TEXT.replace("vertex", "", 1).encode(), "stl-corners-wrong"),
    "text with a loop too many": (
        "a.stl",
        TEXT.replace("outer loop", "outer loop\nouter loop", 1).encode(),
        "stl-corners-wrong",
    ),
    "text with nan": ("a.stl", TEXT.replace("vertex 5", "vertex nan").encode(), "stl-vertex-invalid"),
    "text of 1e400": ("a.stl", TEXT.replace("vertex 5.0", "vertex 1e400").encode(), "mesh-coordinates-not-numbers"),
    "text of 1e39": ("a.stl", TEXT.replace("vertex 5.0", "vertex 1e39").encode(), "mesh-coordinates-too-large"),
    # PLY
    "PLY without its word": ("a.ply", b"format ascii 1.0\nend_header\n", "mesh-file-invalid"),
    "PLY without an end": ("a.ply", b"ply\nformat ascii 1.0\nelement vertex 3\n", "ply-header-open"),
    "PLY of many corners": (
        "a.ply",
        (PLY.replace("ascii", "binary_little_endian").format(4_000_000_000) + FACE.format(1)).encode() + b"\0" * 64,
        "mesh-file-cut-short",
    ),
    "PLY cut short": ("a.ply", exported("ply")[:-20], "mesh-file-invalid"),
    "PLY of minus five": ("a.ply", (PLY.format(-5) + FACE.format(1) + "3 0 1 2\n").encode(), "ply-header-line"),
    "PLY of an unknown type": (
        "a.ply",
        (PLY.replace("float x", "quad x").format(3) + FACE.format(1)).encode(),
        "ply-header-line",
    ),
    "PLY of fewer corners than faces name": (
        "a.ply",
        (PLY.format(3) + FACE.format(2) + "0 0 0\n1 0 0\n").encode(),
        "mesh-file-cut-short",
    ),
    "PLY with an index too far": (
        "a.ply",
        (PLY.format(3) + FACE.format(1) + "0 0 0\n1 0 0\n0 1 0\n3 0 1 99\n").encode(),
        "mesh-without-that-corner",
    ),
    "PLY without corners": (
        "a.ply",
        b"ply\nformat ascii 1.0\nelement face 1\nproperty list uchar int a\nend_header\n3 0 1 2\n",
        "mesh-without-triangles",
    ),
    "PLY of points": (
        "a.ply",
        (PLY.format(3) + "end_header\n0 0 0\n1 0 0\n0 1 0\n").encode(),
        "mesh-without-triangles",
    ),
    "PLY with a long list": (
        "a.ply",
        BIG + b"element face 1\nproperty list uint int vertex_indices\nend_header\n" + b"\0" * 72 + b"\xff" * 4,
        "mesh-file-invalid",
    ),
    # OBJ
    "OBJ without faces": ("a.obj", CORNERS.encode(), "obj-without-surface"),
    "OBJ of bytes": ("a.obj", b"v 0 0 0\0\0\n" * 9, "mesh-file-not-text"),
    "OBJ with a very long face": (
        "a.obj",
        (CORNERS + "f " + " ".join(["1 2 3"] * 900) + "\n").encode(),
        "obj-face-too-long",
    ),
    "OBJ of words": ("a.obj", b"v a b c\nv 1 0 0\nf 1 2 3\n", "obj-line-invalid"),
    "OBJ with a face of two corners": ("a.obj", (CORNERS + "f 1 2\n").encode(), "obj-line-invalid"),
    "OBJ with an index too far": ("a.obj", (CORNERS + "f 1 2 9\n").encode(), "mesh-without-that-corner"),
    "OBJ with an index far too far": ("a.obj", (CORNERS + "f 1 2 99999999999\n").encode(), "mesh-without-that-corner"),
    "OBJ counting back too far": ("a.obj", (CORNERS + "f -1 -2 -9\n").encode(), "mesh-without-that-corner"),
    "OBJ of index nought": ("a.obj", (CORNERS + "f 0 1 2\n").encode(), "mesh-without-that-corner"),
    "OBJ of 1e30": (
        "a.obj",
        b"v 0 0 0\nv 1e30 0 0\nv 0 1e30 0\nv 0 0 1e30\nf 1 3 2\nf 1 2 4\nf 2 3 4\nf 1 4 3\n",
        "mesh-coordinates-too-large",
    ),
    # OFF
    "OFF of another word": ("a.off", b"NOFF\n3 1 0\n", "mesh-file-invalid"),
    "OFF of minus one": ("a.off", b"OFF\n-1 -1 0\n", "off-counts-missing"),
    "OFF of nothing": ("a.off", b"OFF\n0 0 0\n", "mesh-without-triangles"),
    "OFF of many": ("a.off", b"OFF\n900000000 900000000 0\n0 0 0\n", "mesh-file-cut-short"),
    "OFF cut short": ("a.off", exported("off")[:-40], "mesh-file-cut-short"),
    "OFF of nan": ("a.off", b"OFF\n3 1 0\nnan 0 0\n1 0 0\n0 1 0\n3 0 1 2\n", "mesh-file-cut-short"),
    # GLB
    "GLB of text": ("a.glb", b"glTF and nothing else, sincerely yours" * 10, "mesh-file-invalid"),
    "GLB cut short": ("a.glb", exported("glb")[:-30], "mesh-file-cut-short"),
    "GLB without a description": ("a.glb", glb_of({})[:20] + b"nonsense" * 4, "mesh-file-invalid"),
    "GLB of many": (
        "a.glb",
        glb_box(accessors=[{"bufferView": 0, "componentType": 5126, "type": "VEC3", "count": 4_000_000_000}]),
        "mesh-file-cut-short",
    ),
    "GLB that declares too many corners": ("a.glb", glb_box(3000), "mesh-file-cut-short"),
    "GLB whose view is too long": (
        "a.glb",
        glb_box(bufferViews=[{"buffer": 0, "byteLength": 99}]),
        "mesh-file-cut-short",
    ),
    "GLB without a view": (
        "a.glb",
        glb_box(accessors=[{"componentType": 5126, "type": "VEC3", "count": 3}]),
        "mesh-file-cut-short",
    ),
    "GLB with data elsewhere": (
        "a.glb",
        glb_box(buffers=[{"byteLength": 12, "uri": "/etc/passwd"}]),
        "glb-other-file",
    ),
    "GLB that is compressed": ("a.glb", glb_box(extensionsRequired=["KHR_draco_mesh_compression"]), "glb-extension"),
    "GLB whose nodes share a child": (
        "a.glb",
        glb_box(nodes=[{"mesh": 0}, {"children": [0]}, {"children": [0]}]),
        "glb-not-a-tree",
    ),
    "GLB that shows a mesh very often": ("a.glb", glb_box(nodes=[{"mesh": 0}] * 10_001), "glb-too-many-uses"),
    "GLB of 1e30": ("a.glb", glb_box(3, 1e30), "mesh-coordinates-too-large"),
    "GLB without meshes": ("a.glb", glb_box(nodes=[], meshes=[], scenes=[{"nodes": []}]), "mesh-without-triangles"),
    # 3MF
    "3MF that is a bomb": (
        "a.3mf",
        lambda: zipped(**{"3D/3dmodel.model": b" " * 60_000_000}),
        "3mf-packed-too-tight",
    ),
    "3MF that is no zip": ("a.3mf", b"PK\x03\x04" + b"\0" * 200, "3mf-not-a-zip"),
    "3MF of many files": ("a.3mf", lambda: zipped(**{str(k): b"" for k in range(2001)}), "3mf-too-many-files"),
    "3MF that unpacks to much": (
        "a.3mf",
        lambda: zipped(**{f"{k}.bin": b"\0" * 16_000_000 for k in range(10)}),
        "3mf-unpacks-too-large",
    ),
    "3MF with entities": (
        "a.3mf",
        model_3mf('<!DOCTYPE x [<!ENTITY a "aaaa">]><model>&a;</model>'),
        "3mf-entities",
    ),
    "3MF of other text": ("a.3mf", model_3mf("not XML"), "mesh-file-invalid"),
    "3MF with nothing in it": ("a.3mf", model_3mf("<model/>"), "mesh-without-triangles"),
    "3MF at 1e30": ("a.3mf", threemf(BOX, transform="1 0 0 0 1 0 0 0 1 1e30 0 0"), "mesh-coordinates-too-large"),
    "3MF at nan": ("a.3mf", threemf(BOX, transform="1 0 0 0 nan 0 0 0 1 0 0 0"), "mesh-coordinates-not-numbers"),
    "3MF without a model": ("a.3mf", zipped(**{"readme.txt": b"hello"}), "3mf-without-model"),
    "3MF whose parts hold one another": ("a.3mf", nested_3mf(12), "3mf-components"),
    "another zip": ("a.3mf", zipped(**{"word/document.xml": b"<a/>"}), "3mf-without-model"),
}
"""Refused by load_mesh."""

EMPTY_INSIDE: dict[str, Bad] = {
    "one triangle": (
        "a.stl",
        stl(1, struct.pack("<12fH", 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0)),
        "mesh-is-a-sheet",
    ),
    "only lines": ("a.stl", stl_of([[0, 0, 0], [1, 0, 0], [2, 0, 0]]), "mesh-is-a-sheet"),
    "GLB of one triangle": ("a.glb", glb_box(3), "mesh-is-a-sheet"),
}
"""Read as triangles, but without a body."""


def bad_file(name: str) -> tuple[str, bytes, str]:
    """File name, bytes and code of one of them; the large packs are made only here."""
    file, data, code = {**BAD, **EMPTY_INSIDE}[name]
    return file, data() if callable(data) else data, code
