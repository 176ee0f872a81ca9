"""Small files that unpack to far more than they are: refused before they do, in a process with little memory."""

import io
import json
import struct
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SPACE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"


def glb(nodes=1, primitives=1, scene=None, corners=3000):
    """One mesh of many corners, used many times."""
    body = struct.pack("<9f", 0, 0, 0, 1, 0, 0, 0, 1, 0) + struct.pack("<3I", 0, 1, 2) * (corners // 3)
    tree = {
        "asset": {"version": "2.0"},
        "scene": 0,
        "scenes": [{"nodes": scene or list(range(nodes))}],
        "nodes": [{"mesh": 0}] * nodes,
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}] * primitives}],
        "buffers": [{"byteLength": len(body)}],
        "bufferViews": [
            {"buffer": 0, "byteLength": 36},
            {"buffer": 0, "byteOffset": 36, "byteLength": 4 * corners},
        ],
        "accessors": [
            {"bufferView": 0, "componentType": 5126, "type": "VEC3", "count": 3},
            {"bufferView": 1, "componentType": 5125, "type": "SCALAR", "count": corners},
        ],
    }
    text = json.dumps(tree).encode()
    text += b" " * (-len(text) % 4)
    head = b"glTF" + struct.pack("<II", 2, 28 + len(text) + len(body)) + struct.pack("<I", len(text)) + b"JSON"
    return head + text + struct.pack("<I", len(body)) + b"BIN\0" + body


def threemf(model, more=()):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as pack:
        pack.writestr("3D/3dmodel.model", model)
        for name, data in more:
            pack.writestr(name, data)
    return out.getvalue()


def model(inside, start="", unit="millimeter"):
    return f'{start}<model unit="{unit}" xmlns="{SPACE}">{inside}</model>'


LAUGHS = (
    "<!DOCTYPE m [<!ENTITY a 'ha'>"
    + "".join(f"<!ENTITY {b} '{f'&{a};' * 10}'>" for a, b in zip("abcdefgh", "bcdefghi", strict=True))
    + "]>"
)


def bombs():
    """Ending and bytes of each, by what it is."""
    many = '<vertex x="1" y="0" z="0"/>' * 200_000
    used = '<component objectid="1"/>' * 9_000
    corners = f"""<resources><object id="1"><mesh><vertices>{many}</vertices><triangles><triangle v1="0" v2="1" v3="2"/>
</triangles></mesh></object><object id="2"><components>{used}</components></object></resources>
<build><item objectid="2"/></build>"""
    lying = threemf(model("<resources/>" + " " * 2_000_000))

    return {
        "one mesh in ten thousand places": (".glb", glb(nodes=9_999)),
        "one mesh of ten thousand parts": (".glb", glb(primitives=9_999)),
        "one place named ten thousand times": (".glb", glb(scene=[0] * 10_000)),
        "two hundred megabytes of blanks": (".3mf", threemf(model(" " * 200_000_000))),
        "a hundred megabytes within the bound": (".3mf", threemf(model(" " * 100_000_000))),
        "twenty packed files of nine megabytes": (
            ".3mf",
            threemf(model(""), [(f"{k}.model", b" " * 9_000_000) for k in range(20)]),
        ),
        "three thousand entries": (".3mf", threemf(model(""), [(f"{k}.txt", b"") for k in range(3000)])),
        "a billion laughs": (".3mf", threemf(model("<a>&i;</a>", LAUGHS))),
        "the same in UTF-16": (".3mf", threemf(model("<a>&i;</a>", LAUGHS).encode("utf-16"))),
        "the same behind a long comment": (".3mf", threemf(model("<a>&i;</a>", f"<!--{' ' * 5000}-->{LAUGHS}"))),
        "a file of the machine as an entity": (
            ".3mf",
            threemf(model("<a>&x;</a>", "<!DOCTYPE m [<!ENTITY x SYSTEM 'file:///etc/passwd'>]>")),
        ),
        "corners without triangles in nine thousand places": (".3mf", threemf(model(corners))),
        "a size that lies": (
            ".3mf",
            lying.replace(struct.pack("<I", len(model("<resources/>" + " " * 2_000_000))), b"\1\0\0\0"),
        ),
    }


READ = """\
import resource, sys
resource.setrlimit(resource.RLIMIT_AS, (1 << 30, 1 << 30))
seconds = 5 * len(sys.argv[1:])
resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
from foldsketch.cli import main
sys.stdout.flush()
sys.exit(max(main(["read", p, "--units", "mm"]) != 2 for p in sys.argv[1:]))
"""


@pytest.mark.slow
def test_refused_soon_and_with_a_gigabyte_of_memory(tmp_path):
    """All in one process: what one of them left behind would count against the next."""
    paths = []
    files = bombs()
    for k, (ending, data) in enumerate(files.values()):
        assert len(data) < 1_000_000
        paths.append(tmp_path / f"{k}{ending}")
        paths[-1].write_bytes(data)
    command = [sys.executable, "-c", READ, *map(str, paths)]
    done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, timeout=600)
    assert done.returncode == 0, done.stderr
    lines = done.stderr.strip().splitlines()
    assert len(lines) == len(files), done.stderr
    assert "root:" not in done.stderr


@pytest.mark.parametrize("count", [1, 50])
def test_a_mesh_may_be_used_more_than_once(count):
    from foldsketch.mesh.files.precheck_glb import check_glb as gate

    assert gate("a.glb", glb(nodes=count, corners=300)).single_precision
