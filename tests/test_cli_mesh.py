"""Meshes on the command line: read writes a part file, make goes straight to sheets."""

import json
import math
import subprocess
import sys

import pytest

from foldsketch.part.file.read import read_part


def run(*arguments):
    return subprocess.run(
        [sys.executable, "-m", "foldsketch.cli", *map(str, arguments)], capture_output=True, text=True, timeout=120
    )


def drum(x, radius, low, high, n=64):
    """Triangles of a closed drum about an axis along z."""
    ring = [(x + radius * math.cos(t), radius * math.sin(t)) for t in (2 * math.pi * k / n for k in range(n))]
    out = []
    for k in range(n):
        (ax, ay), (bx, by) = ring[k], ring[(k + 1) % n]
        out += [
            ((ax, ay, low), (bx, by, low), (bx, by, high)),
            ((ax, ay, low), (bx, by, high), (ax, ay, high)),
            ((x, 0, low), (bx, by, low), (ax, ay, low)),
            ((x, 0, high), (ax, ay, high), (bx, by, high)),
        ]
    return out


@pytest.fixture
def shaft(tmp_path):
    """One body of two drums that share half a millimetre of length, off centre by 6 mm, as text STL."""
    path = tmp_path / "shaft.stl"
    rows = ["solid shaft"]
    for triangle in drum(0, 20, 0, 30):
        rows += ["facet normal 0 0 0", "outer loop"]
        rows += [f"vertex {x:.6f} {y:.6f} {z:.6f}" for x, y, z in triangle]
        rows += ["endloop", "endfacet"]
    path.write_text("\n".join([*rows, "endsolid shaft", ""]))
    return path


def test_read_prints_a_table_and_writes_a_part_file(shaft):
    done = run("read", shaft, "--units", "mm")
    assert done.returncode == 0, done.stderr
    assert "40" in done.stdout
    part, _ = read_part(shaft.with_suffix(".toml"))
    (feature,) = part.features
    assert feature.shape.diameter == pytest.approx(40, abs=1e-3)
    assert feature.length == pytest.approx(30, abs=1e-3)


def test_read_does_not_overwrite_a_file_of_the_user(shaft):
    shaft.with_suffix(".toml").write_text("mine")
    done = run("read", shaft)
    assert done.returncode == 2
    assert "is there already" in done.stderr
    assert shaft.with_suffix(".toml").read_text() == "mine"


def test_report_alone_goes_to_standard_output(shaft):
    done = run("read", shaft, "--json")
    report = json.loads(done.stdout)
    assert report["format"] == "foldsketch-reading 1"
    assert not shaft.with_suffix(".toml").exists()


def test_units_are_not_guessed(shaft):
    done = run("read", shaft, "--json")
    assert "mm" in done.stderr
    assert "in" in done.stderr


def test_make_goes_straight_to_sheets(shaft, tmp_path):
    done = run("make", shaft, "--units", "mm", "--out", tmp_path / "out")
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "out" / "shaft.pdf").exists()


def test_inches(shaft, tmp_path):
    done = run("check", shaft, "--units", "in", "--scale", "1:20")
    assert done.returncode == 0, done.stderr
    assert "1016" in done.stdout


@pytest.mark.parametrize("data", [b"", b"solid x\n", b"\x1f\x8b\x08abc", b"\x89PNG\r\n", b"solid " + b"\x00" * 40])
def test_what_is_no_mesh_is_one_line(tmp_path, data):
    path = tmp_path / "x.stl"
    path.write_bytes(data)
    done = run("read", path)
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 1
    assert "Traceback" not in done.stderr


def box_text(low, high):
    """Text STL of a box."""
    (a, b, c), (d, e, f) = low, high
    p = [(x, y, z) for x in (a, d) for y in (b, e) for z in (c, f)]
    quads = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    rows = ["solid box"]
    for q in quads:
        for t in ((q[0], q[1], q[2]), (q[0], q[2], q[3])):
            rows += ["facet normal 0 0 0", "outer loop", *(f"vertex {x} {y} {z}" for x, y, z in (p[k] for k in t))]
            rows += ["endloop", "endfacet"]
    return "\n".join([*rows, "endsolid box", ""])


def test_a_box_goes_the_general_way(tmp_path):
    """A box: 6 panels, 5 folds, 7 tabs (V - 1), surface 2 (ab + bc + ca)."""
    path = tmp_path / "block.stl"
    path.write_text(box_text((0, 0, 0), (60, 40, 30)))
    done = run("make", path, "--units", "mm", "--scale", "1:1", "--out", tmp_path / "out")
    assert done.returncode == 0, done.stderr
    assert "no round features" in done.stderr
    net = json.loads((tmp_path / "out" / "block.net.json").read_text())
    (piece,) = net["pieces"]
    assert (len(piece["panels"]), len(piece["folds"]), len(piece["tabs"])) == (6, 5, 7)
    assert net["blocks"][0]["volume"] == pytest.approx(60 * 40 * 30)
    assert any(m["text"] == "block" for m in piece["marks"])
    for ending in (".pdf", "-1.svg", ".png"):
        assert (tmp_path / "out" / f"block{ending}").stat().st_size > 500


def test_panels_ask_for_the_general_way(shaft, tmp_path):
    done = run("make", shaft, "--units", "mm", "--panels", "20", "--out", tmp_path / "out")
    assert done.returncode == 0, done.stderr
    net = json.loads((tmp_path / "out" / "shaft.net.json").read_text())
    assert 8 <= sum(len(p["panels"]) for p in net["pieces"]) <= 20
    assert "mesh-simplified" in {f["code"] for f in net["findings"]}


@pytest.mark.parametrize("number", ["3", "-1", "100000", "many"])
def test_panels_out_of_range(shaft, number):
    done = run("make", shaft, "--units", "mm", "--panels", number)
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 1


def test_the_rebuilt_part_is_held_against_the_mesh(shaft, tmp_path):
    """A drum of 64 sides holds sin(a)/a of the round, a = 2 pi / 64, and its flats lie r (1 - cos(pi / 64)) inside."""
    done = run("read", shaft, "--units", "mm", "--json")
    rebuilt = json.loads(done.stdout)["rebuilt"]
    a = 2 * math.pi / 64
    assert rebuilt["volume"] == pytest.approx(a / math.sin(a), abs=2e-4)
    chord = 20 * (1 - math.cos(math.pi / 64))
    assert rebuilt["mesh_chord"] == pytest.approx(chord, rel=1e-3)
    assert 0.5 * chord < rebuilt["farthest_from_part"] < 1.2 * chord
    for command in (["read", "--out", tmp_path / "s.toml"], ["make", "--out", tmp_path]):
        told = run(command[0], shaft, "--units", "mm", *command[1:])
        assert "% of the mesh's volume" in told.stdout + told.stderr
