"""Reading mesh files: what is sound gets in, everything else gets one clear line, soon and without much memory."""

from __future__ import annotations

import gzip
import io
import json
import os
import struct
import time
import tracemalloc
import zipfile
from pathlib import Path

import numpy as np
import pytest
import trimesh

from foldsketch.base.findings import FoldsketchError
from foldsketch.mesh.files.load import load_mesh
from foldsketch.mesh.files.precheck_text import check_obj

BOX = trimesh.creation.box((10, 20, 30))


def exported(kind: str) -> bytes:
    data = BOX.export(file_type=kind)
    return data.encode() if isinstance(data, str) else bytes(data)


def threemf(unit: str = "inch", model: str | None = None) -> bytes:
    rows = "".join(f'<vertex x="{x}" y="{y}" z="{z}"/>' for x, y, z in BOX.vertices)
    faces = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in BOX.faces)
    space = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
    text = model or (
        f'<?xml version="1.0"?><model unit="{unit}" xmlns="{space}"><resources><object id="1"><mesh>'
        f"<vertices>{rows}</vertices><triangles>{faces}</triangles></mesh></object></resources>"
        '<build><item objectid="1" transform="1 0 0 0 1 0 0 0 1 5 0 0"/></build></model>'
    )
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as pack:
        pack.writestr("3D/3dmodel.model", text)
    return out.getvalue()


@pytest.mark.parametrize("kind", ["stl", "stl_ascii", "ply", "obj", "off", "glb"])
def test_every_format_gives_the_box(kind: str, tmp_path: Path) -> None:
    path = tmp_path / f"box.{kind.split('_')[0]}"
    path.write_bytes(exported(kind))
    raw = load_mesh(path)
    assert raw.triangles.shape == (12, 3)
    assert np.ptp(raw.corners, axis=0) == pytest.approx((10, 20, 30))


def test_3mf_keeps_its_unit_and_its_place(tmp_path: Path) -> None:
    path = tmp_path / "box.3mf"
    path.write_bytes(threemf())
    raw = load_mesh(path)
    assert raw.unit == "in"
    assert raw.corners[:, 0].min() == pytest.approx(0.0)
    assert np.ptp(raw.corners, axis=0) == pytest.approx((10, 20, 30))


def test_obj_counts_back_fans_and_never_opens_other_files(tmp_path: Path) -> None:
    path = tmp_path / "wall.obj"
    os.mkfifo(tmp_path / "trap.mtl")  # opening it would hang for ever
    path.write_text("mtllib trap.mtl\nv 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nusemtl x\nf -4/1 -3//2 -2 -1\n")
    assert load_mesh(path).triangles.tolist() == [[0, 1, 2], [0, 2, 3]]


def header(count: int, body: bytes = b"") -> bytes:
    return b"x" * 80 + struct.pack("<I", count) + body


def stl_of(points: list[list[float]]) -> bytes:
    rows = b"".join(struct.pack("<12fH", 0, 0, 0, *(c for p in points for c in p), 0) for _ in range(4))
    return header(4, rows)


def glb_of(tree: dict[str, object], body: bytes = b"") -> bytes:
    text = json.dumps(tree).encode()
    text += b" " * (-len(text) % 4)
    whole = struct.pack("<I4s", len(text), b"JSON") + text
    whole += struct.pack("<I4s", len(body), b"BIN\0") + body if body else b""
    return struct.pack("<4sII", b"glTF", 2, 12 + len(whole)) + whole


def bomb() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as pack:
        pack.writestr("3D/3dmodel.model", b" " * 60_000_000)
    return out.getvalue()


STL = exported("stl")
TEXT = exported("stl_ascii").decode()

BAD: dict[str, tuple[str, bytes]] = {
    "empty": ("a.stl", b""),
    "one byte": ("a.stl", b"s"),
    "header only": ("a.stl", header(0)),
    "declares two thousand million": ("a.stl", header(2_000_000_000, b"\0" * 100)),
    "declares all bits": ("a.stl", header(0xFFFFFFFF)),
    "cut in the middle": ("a.stl", STL[: len(STL) // 2]),
    "a byte short": ("a.stl", STL[:-1]),
    "not a number": ("a.stl", stl_of([[0, 0, 0], [1, 0, 0], [float("nan"), 1, 0]])),
    "infinite": ("a.stl", stl_of([[0, 0, 0], [1, 0, 0], [float("inf"), 1, 0]])),
    "1e30": ("a.stl", stl_of([[0, 0, 0], [1e30, 0, 0], [0, 1e30, 0]])),
    "all in one point": ("a.stl", stl_of([[1, 1, 1]] * 3)),
    "plain text": ("a.stl", b"Dear sirs, please find the drawing of the cover attached.\n" * 40),
    "starts like an STL": ("a.stl", b"solid ground is what we stand on\n" * 40),
    "text cut short": ("a.stl", TEXT[: len(TEXT) // 2].encode()),
    "text with words for numbers": (
        "a.stl",
        TEXT.replace("vertex 5", "vertex five").replace("vertex -5", "vertex x").encode(),
    ),
    "text with a corner gone": ("a.stl", TEXT.replace("vertex", "", 1).encode()),
    "text in UTF-16": ("a.stl", TEXT.encode("utf-16")),
    "text in UTF-16 without a mark": ("a.stl", TEXT.encode("utf-16-le")),
    "gzip": ("a.stl", gzip.compress(STL)),
    "zip": ("a.stl", threemf()),
    "picture": ("a.stl", b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 8),
    "photograph": ("a.ply", b"\xff\xd8\xff\xe0" + bytes(range(256)) * 8),
    "web page": ("a.stl", b"<!DOCTYPE html><html><body>404</body></html>" * 9),
    "random": ("a.stl", np.random.default_rng(5).bytes(5000)),
    "zeros": ("a.stl", b"\0" * 5000),
    "PLY without an end": ("a.ply", b"ply\nformat ascii 1.0\nelement vertex 3\n"),
    "PLY of many corners": (
        "a.ply",
        b"ply\nformat binary_little_endian 1.0\nelement vertex 4000000000\nproperty float x\nproperty float y\n"
        b"property float z\nelement face 1\nproperty list uchar int vertex_indices\nend_header\n" + b"\0" * 64,
    ),
    "PLY cut short": ("a.ply", exported("ply")[:-20]),
    "PLY with an index too far": (
        "a.ply",
        b"ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\n"
        b"element face 1\nproperty list uchar int vertex_indices\nend_header\n0 0 0\n1 0 0\n0 1 0\n3 0 1 99\n",
    ),
    "OBJ without faces": ("a.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\n"),
    "OBJ with an index too far": ("a.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n"),
    "OBJ of words": ("a.obj", b"v a b c\nv 1 0 0\nf 1 2 3\n"),
    "OFF of many": ("a.off", b"OFF\n900000000 900000000 0\n0 0 0\n"),
    "OFF cut short": ("a.off", exported("off")[:-40]),
    "GLB cut short": ("a.glb", exported("glb")[:-30]),
    "GLB of many": (
        "a.glb",
        glb_of(
            {
                "asset": {"version": "2.0"},
                "buffers": [{"byteLength": 12}],
                "bufferViews": [{"buffer": 0, "byteLength": 12}],
                "accessors": [{"bufferView": 0, "componentType": 5126, "type": "VEC3", "count": 4_000_000_000}],
            },
            b"\0" * 12,
        ),
    ),
    "GLB with data elsewhere": (
        "a.glb",
        glb_of({"asset": {"version": "2.0"}, "buffers": [{"byteLength": 12, "uri": "/etc/passwd"}]}),
    ),
    "3MF that is a bomb": ("a.3mf", bomb()),
    "3MF that is no zip": ("a.3mf", b"PK\x03\x04" + b"\0" * 200),
    "3MF with entities": ("a.3mf", threemf(model='<!DOCTYPE x [<!ENTITY a "aaaa">]><model>&a;</model>')),
    "3MF with nothing in it": ("a.3mf", threemf(model="<model/>")),
    "another format": ("a.step", b"ISO-10303-21;"),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_files_are_refused_in_one_line(name: str, tmp_path: Path) -> None:
    file, data = BAD[name]
    path = tmp_path / file
    path.write_bytes(data)
    started = time.perf_counter()
    with pytest.raises(FoldsketchError) as caught:
        load_mesh(path)
    assert time.perf_counter() - started < 2.0
    assert len(caught.value.findings) == 1
    text = str(caught.value)
    assert "\n" not in text
    assert file in text
    assert str(tmp_path) not in text


def test_folders_missing_files_and_pipes_are_refused(tmp_path: Path) -> None:
    (tmp_path / "folder.stl").mkdir()
    os.mkfifo(tmp_path / "pipe.stl")
    for name in ("folder.stl", "pipe.stl", "missing.stl"):
        with pytest.raises(FoldsketchError, match=name):
            load_mesh(tmp_path / name)


@pytest.mark.parametrize(
    "name", ["declares all bits", "PLY of many corners", "OFF of many", "GLB of many", "3MF that is a bomb"]
)
def test_nothing_is_set_aside_for_counts_that_cannot_be_true(name: str, tmp_path: Path) -> None:
    file, data = BAD[name]
    (tmp_path / file).write_bytes(data)
    tracemalloc.start()
    try:
        with pytest.raises(FoldsketchError):
            load_mesh(tmp_path / file)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < 4_000_000 + 4 * len(data)


def test_bytes_after_the_last_triangle_are_told(tmp_path: Path) -> None:
    path = tmp_path / "tail.stl"
    path.write_bytes(STL + b"made with care")
    raw = load_mesh(path)
    assert len(raw.triangles) == 12
    assert raw.findings[0].level == "warning"


@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_text_stl_with_names_and_capitals(line_end: str, tmp_path: Path) -> None:
    path = tmp_path / "cap.stl"
    text = TEXT.upper().replace("SOLID", "SOLID the vertex of it", 1)
    path.write_bytes(text.replace("\n", line_end).encode())
    raw = load_mesh(path)
    assert raw.triangles.shape == (12, 3)


@pytest.mark.parametrize("kind", ["stl", "stl_ascii", "ply", "glb", "off"])
def test_a_file_cut_anywhere_is_refused(kind: str, tmp_path: Path) -> None:
    data = exported(kind)
    path = tmp_path / f"cut.{kind.split('_')[0]}"
    for end in range(1, len(data) - 24, max(1, len(data) // 25)):
        path.write_bytes(data[:end])
        with pytest.raises(FoldsketchError):
            load_mesh(path)


def test_a_face_line_without_corners_does_not_count(tmp_path):
    """Faces that count back do so from the corners read before their own line."""
    path = tmp_path / "lid.obj"
    path.write_text("v 0 0 0\nv 1 0 0\nv 0 1 0\nf \nf -1 -2 -3\nv 0 0 5\nf -1 1 2\n")
    gate = check_obj("lid.obj", path.read_bytes())
    assert gate.arrays[1].tolist() == [[2, 1, 0], [3, 0, 1]]
