"""Files that are no sound mesh, on the command line: one line on standard error, exit code 2, nothing written, soon."""

from __future__ import annotations

import importlib.util
import io
import resource
import struct
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import numpy as np
import pytest

from foldsketch.cli import main


def beside(name: str):  # type: ignore[no-untyped-def]
    spec = importlib.util.spec_from_file_location(f"beside_{name}", Path(__file__).with_name(f"{name}.py"))
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    return made


loads = beside("test_load")
PLY = "ply\nformat ascii 1.0\nelement vertex {}\nproperty float x\nproperty float y\nproperty float z\n"
FACE = "element face {}\nproperty list uchar int vertex_indices\nend_header\n"
BIG = b"ply\nformat binary_big_endian 1.0\nelement vertex 3\nproperty double x\nproperty double y\nproperty double z\n"


def zipped(**files: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as pack:
        for name, data in files.items():
            pack.writestr(name, data)
    return out.getvalue()


def threemf_at(transform: str) -> bytes:
    text = zipfile.ZipFile(io.BytesIO(loads.threemf())).read("3D/3dmodel.model").decode()
    return loads.threemf(model=text.replace("1 0 0 0 1 0 0 0 1 5 0 0", transform))


def nested(depth: int) -> bytes:
    """A 3MF whose components hold one another."""
    space = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
    rows = "".join(
        f'<object id="{k}"><components>{"".join(f"<component objectid={q}{k + 1}{q}/>" for q in chr(34) * 9)}'
        "</components></object>"
        for k in range(1, depth)
    )
    last = f'<object id="{depth}"><components><component objectid="1"/></components></object>'
    return loads.threemf(
        model=f'<model unit="millimeter" xmlns="{space}"><resources>{rows}{last}</resources>'
        '<build><item objectid="1"/></build></model>'
    )


def glb_box(count: int, reach: float = 1.0) -> bytes:
    """A GLB of one triangle whose accessors declare so many corners."""
    body = struct.pack("<9f", 0, 0, 0, reach, 0, 0, 0, reach, 0) + struct.pack("<3I", 0, 1, 2)
    return loads.glb_of(
        {
            "asset": {"version": "2.0"},
            "scene": 0,
            "scenes": [{"nodes": [0]}],
            "nodes": [{"mesh": 0}],
            "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}],
            "buffers": [{"byteLength": len(body)}],
            "bufferViews": [
                {"buffer": 0, "byteLength": 36},
                {"buffer": 0, "byteOffset": 36, "byteLength": 12},
            ],
            "accessors": [
                {"bufferView": 0, "componentType": 5126, "type": "VEC3", "count": count},
                {"bufferView": 1, "componentType": 5125, "type": "SCALAR", "count": 3},
            ],
        },
        body,
    )


MORE: dict[str, tuple[str, bytes]] = {
    "one triangle": ("a.stl", loads.header(1, struct.pack("<12fH", 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0))),
    "only lines": ("a.stl", loads.stl_of([[0, 0, 0], [1, 0, 0], [2, 0, 0]])),
    "text of 1e39": ("a.stl", loads.TEXT.replace("vertex 5", "vertex 1e39").encode()),
    "text with nan": ("a.stl", loads.TEXT.replace("vertex 5", "vertex nan").encode()),
    "text of 1e400": ("a.stl", loads.TEXT.replace("vertex 5", "vertex 1e400").encode()),
    "text with a loop too many": ("a.stl", loads.TEXT.replace("outer loop", "outer loop\nouter loop", 1).encode()),
    "lonely words": ("a.stl", b"solid x\nendsolid x\n"),
    "PLY of fewer corners than faces name": ("a.ply", (PLY.format(3) + FACE.format(2) + "0 0 0\n1 0 0\n").encode()),
    "PLY of minus five": ("a.ply", (PLY.format(-5) + FACE.format(1) + "3 0 1 2\n").encode()),
    "PLY without corners": (
        "a.ply",
        b"ply\nformat ascii 1.0\nelement face 1\nproperty list uchar int a\nend_header\n3 0 1 2\n",
    ),
    "PLY of points": ("a.ply", (PLY.format(3) + "end_header\n0 0 0\n1 0 0\n0 1 0\n").encode()),
    "PLY with a long list": (
        "a.ply",
        BIG + b"element face 1\nproperty list uint int vertex_indices\nend_header\n" + b"\0" * 72 + b"\xff" * 4,
    ),
    "OBJ of 1e30": ("a.obj", b"v 0 0 0\nv 1e30 0 0\nv 0 1e30 0\nv 0 0 1e30\nf 1 3 2\nf 1 2 4\nf 2 3 4\nf 1 4 3\n"),
    "OBJ counting back too far": ("a.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf -1 -2 -9\n"),
    "OBJ of index nought": ("a.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 0 1 2\n"),
    "OFF of minus one": ("a.off", b"OFF\n-1 -1 0\n"),
    "OFF of nan": ("a.off", b"OFF\n3 1 0\nnan 0 0\n1 0 0\n0 1 0\n3 0 1 2\n"),
    "GLB of one triangle": ("a.glb", glb_box(3)),
    "GLB of 1e30": ("a.glb", glb_box(3, 1e30)),
    "GLB that declares too many corners": ("a.glb", glb_box(3000)),
    "GLB of text": ("a.glb", b"glTF and nothing else, sincerely yours" * 10),
    "3MF at 1e30": ("a.3mf", threemf_at("1 0 0 0 1 0 0 0 1 1e30 0 0")),
    "3MF at nan": ("a.3mf", threemf_at("1 0 0 0 nan 0 0 0 1 0 0 0")),
    "3MF without a model": ("a.3mf", zipped(**{"readme.txt": b"hello"})),
    "3MF whose parts hold one another": ("a.3mf", nested(12)),
    "another zip": ("a.3mf", zipped(**{"word/document.xml": b"<a/>"})),
}

EVERY = {**loads.BAD, **MORE}


@pytest.mark.parametrize("name", EVERY)
def test_one_line_exit_2_within_two_seconds(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file, data = EVERY[name]
    path = tmp_path / file
    path.write_bytes(data)
    for command in (["read", "--json"], ["make", "--out", str(tmp_path / "out")]):
        if path.suffix == ".step" and command[0] == "make":
            continue  # by its ending no mesh, so it is read as a part file
        started = time.process_time()
        assert main([command[0], str(path), "--units", "mm", *command[1:]]) == 2
        assert time.process_time() - started < 2.0
        told = capsys.readouterr()
        assert told.out == ""
        assert len(told.err.strip().splitlines()) == 1, told.err
        assert file in told.err
        assert str(tmp_path) not in told.err
    assert not (tmp_path / "out").exists()


def test_a_folder_and_what_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "folder.stl").mkdir()
    for name in ("folder.stl", "missing.stl"):
        assert main(["read", str(tmp_path / name)]) == 2
        assert len(capsys.readouterr().err.strip().splitlines()) == 1


def test_from_a_cold_start_within_two_seconds_and_little_memory(tmp_path: Path) -> None:
    """A count of all bits, in a process that may not take more than 1 GB."""
    path = tmp_path / "a.stl"
    path.write_bytes(loads.BAD["declares all bits"][1] + np.random.default_rng(1).bytes(5000))
    code = (
        "import resource, sys; resource.setrlimit(resource.RLIMIT_AS, (1 << 30, 1 << 30)); "
        "from foldsketch.cli import main; sys.exit(main(['read', sys.argv[1]]))"
    )
    started = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime  # a busy machine is no fault of ours
    done = subprocess.run([sys.executable, "-c", code, str(path)], capture_output=True, text=True, timeout=30)
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 1
    assert resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - started < 4.0
