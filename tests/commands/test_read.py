"""Meshes on the command line: read writes a part file, make goes straight to sheets."""

import json
import math

import pytest

from foldsketch.part.file.read import read_part


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


def test_read_prints_a_table_and_writes_a_part_file(run, shaft):
    done = run("read", shaft, "--units", "mm")
    assert done.code == 0, done.err
    assert "40" in done.out
    part, _ = read_part(shaft.with_suffix(".toml"))
    (feature,) = part.features
    assert feature.shape.diameter == pytest.approx(40, abs=1e-3)
    assert feature.length == pytest.approx(30, abs=1e-3)


def test_read_does_not_overwrite_a_file_of_the_user(run, shaft):
    shaft.with_suffix(".toml").write_text("mine")
    done = run("read", shaft)
    assert done.code == 2
    assert str(shaft.with_suffix(".toml")) in done.err and "--out" in done.err
    assert shaft.with_suffix(".toml").read_text() == "mine"


def test_report_alone_goes_to_standard_output(run, shaft):
    done = run("read", shaft, "--json")
    report = json.loads(done.out)
    assert report["format"] == "foldsketch-reading 2"
    assert not shaft.with_suffix(".toml").exists()


def test_without_a_unit_mm_is_assumed_and_a_warning_says_so(run, shaft):
    done = run("read", shaft, "--json")
    assert any(f["level"] == "warning" and "units" in f["text"] for f in json.loads(done.out)["bodies"][0]["findings"])
    assert "--units" in done.err


def test_make_goes_straight_to_sheets(run, shaft, tmp_path):
    done = run("make", shaft, "--units", "mm", "--out", tmp_path / "out")
    assert done.code == 0, done.err
    assert (tmp_path / "out" / "shaft.pdf").exists()


def test_inches(run, shaft, tmp_path):
    done = run("check", shaft, "--units", "in", "--scale", "1:20")
    assert done.code == 0, done.err
    assert "1016" in done.out


@pytest.mark.parametrize("data", [b"", b"solid x\n", b"\x1f\x8b\x08abc", b"\x89PNG\r\n", b"solid " + b"\x00" * 40])
def test_what_is_no_mesh_is_one_line(run, tmp_path, data):
    path = tmp_path / "x.stl"
    path.write_bytes(data)
    done = run("read", path)
    assert done.code == 2
    assert len(done.err.strip().splitlines()) == 1


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


def test_a_box_is_built_of_flat_panels(run, tmp_path):
    """A box: 6 panels, 5 folds, 7 tabs (V - 1), surface 2 (ab + bc + ca)."""
    path = tmp_path / "block.stl"
    path.write_text(box_text((0, 0, 0), (60, 40, 30)))
    done = run("make", path, "--units", "mm", "--scale", "1:1", "--out", tmp_path / "out")
    assert done.code == 0, done.err
    net = json.loads((tmp_path / "out" / "block.net.json").read_text())
    (piece,) = net["pieces"]
    assert (len(piece["panels"]), len(piece["folds"]), len(piece["tabs"])) == (6, 5, 7)
    assert net["blocks"][0]["volume"] == pytest.approx(60 * 40 * 30)
    assert any(m["text"] in ("block", "1 block") for m in piece["marks"])
    for ending in (".pdf", "-1.svg", ".png"):
        assert (tmp_path / "out" / f"block{ending}").stat().st_size > 500


def test_panels_ask_for_flat_panels(run, shaft, tmp_path):
    done = run("make", shaft, "--units", "mm", "--panels", "20", "--out", tmp_path / "out")
    assert done.code == 0, done.err
    net = json.loads((tmp_path / "out" / "shaft.net.json").read_text())
    assert 8 <= sum(len(p["panels"]) for p in net["pieces"]) <= 20


@pytest.mark.parametrize("number", ["3", "-1", "100000", "many"])
def test_panels_out_of_range(run, shaft, number):
    done = run("make", shaft, "--units", "mm", "--panels", number)
    assert done.code == 2
    assert len(done.err.strip().splitlines()) == 1


def test_the_rebuilt_part_is_compared_with_the_mesh(run, shaft, tmp_path):
    """A drum of 64 sides holds sin(a)/a of the round, a = 2 pi / 64, and its flats lie r (1 - cos(pi / 64)) inside."""
    done = run("read", shaft, "--units", "mm", "--json")
    rebuilt = json.loads(done.out)["bodies"][0]["rebuilt"]
    a = 2 * math.pi / 64
    assert rebuilt["volume"] == pytest.approx(a / math.sin(a), abs=2e-4)
    chord = 20 * (1 - math.cos(math.pi / 64))
    assert rebuilt["mesh_chord"] == pytest.approx(chord, rel=1e-3)
    assert 0.5 * chord < rebuilt["farthest_from_part"] < 1.2 * chord
    texts = [f["text"] for f in json.loads(run("read", shaft, "--units", "mm", "--json").out)["bodies"][0]["findings"]]
    compared = next(text for text in texts if "volume" in text)
    for command in (["read", "--out", tmp_path / "s.toml"], ["make", "--out", tmp_path]):
        assert compared in run(command[0], shaft, "--units", "mm", *command[1:]).err


def test_every_body_with_a_round_feature_becomes_a_part_file(run, shaft, tmp_path):
    """Two drums far apart in one file: two part files, the second numbered; a name of one body takes that alone."""
    rows = ["solid pair"]
    for x in (0, 200):
        for triangle in drum(x, 20 if x else 30, 0, 30):
            rows += ["facet normal 0 0 0", "outer loop", *(f"vertex {a:.6f} {b:.6f} {c:.6f}" for a, b, c in triangle)]
            rows += ["endloop", "endfacet"]
    pair = tmp_path / "pair.stl"
    pair.write_text("\n".join([*rows, "endsolid pair", ""]))
    done = run("read", pair, "--units", "mm")
    assert done.code == 0, done.err
    sizes = [read_part(tmp_path / name)[0].features[0].shape.diameter for name in ("pair.toml", "pair-2.toml")]
    assert sizes == pytest.approx([60, 40], abs=1e-3)
    made = run("check", pair, "--units", "mm")
    assert "--body" in made.err and "60" in made.out
    both = run("read", pair, "--units", "mm", "--body", "all", "--out", tmp_path / "both.toml")
    assert both.code == 0, both.err
    part, _ = read_part(tmp_path / "both.toml")
    assert sorted(f.shape.diameter for f in part.features) == pytest.approx([40, 60], abs=1e-3)
    assert part.offset("B")[0] == pytest.approx(200, abs=1e-3)
    for command in ("make", "setups", "share"):
        done = run(command, pair, "--units", "mm", "--body", "1,2", "--out", tmp_path)
        assert done.code == 0 and "more bodies" not in done.err


def test_read_again_overwrites_what_read_wrote(run, shaft):
    assert run("read", shaft, "--units", "mm").code == 0
    shaft.with_suffix(".toml").write_text("# Read from shaft.stl; older\n")
    assert run("read", shaft, "--units", "mm").code == 0
    assert read_part(shaft.with_suffix(".toml"))[0].features


def test_findings_stand_on_standard_error_alone(run, tmp_path):
    """A drum without its lid: that it is not closed is said once, and not in the table."""
    rows = ["solid open"]
    for triangle in drum(0, 20, 0, 30)[:-1]:
        rows += ["facet normal 0 0 0", "outer loop", *(f"vertex {a:.6f} {b:.6f} {c:.6f}" for a, b, c in triangle)]
        rows += ["endloop", "endfacet"]
    path = tmp_path / "open.stl"
    path.write_text("\n".join([*rows, "endsolid open", ""]))
    done = run("read", path, "--units", "mm")
    assert "warning: " in done.err
    assert not any(word in done.out for word in ("warning:", "note:", "error:"))
