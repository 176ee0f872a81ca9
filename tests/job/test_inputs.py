"""Mesh files: a part, a model or a report of the body that was asked for."""

import json
import math

import pytest

import foldsketch
from foldsketch.base.findings import FoldsketchError
from foldsketch.job.bodies import chosen_readings
from foldsketch.job.inputs import model_from_mesh, read_mesh, reading_report
from foldsketch.job.messages import MORE_BODIES

N = 48


def drum(x, radius, height):
    """Triangles of a closed drum about an axis along z."""
    ring = [(x + radius * math.cos(t), radius * math.sin(t)) for t in (2 * math.pi * k / N for k in range(N))]
    out = []
    for k in range(N):
        (ax, ay), (bx, by) = ring[k], ring[(k + 1) % N]
        out += [((ax, ay, 0), (bx, by, 0), (bx, by, height)), ((ax, ay, 0), (bx, by, height), (ax, ay, height))]
        out += [((x, 0, 0), (bx, by, 0), (ax, ay, 0)), ((x, 0, height), (ax, ay, height), (bx, by, height))]
    return out


def write_stl(path, triangles):
    rows = ["solid s"]
    for t in triangles:
        rows += ["facet normal 0 0 0", "outer loop", *(f"vertex {x:.7f} {y:.7f} {z:.7f}" for x, y, z in t)]
        rows += ["endloop", "endfacet"]
    path.write_text("\n".join([*rows, "endsolid s", ""]))
    return path


@pytest.fixture
def pair(tmp_path):
    return write_stl(tmp_path / "pair.stl", [*drum(0, 20, 30), *drum(100, 10, 30)])


@pytest.mark.parametrize(("units", "factor"), [("mm", 1.0), ("in", 25.4), ("cm", 10.0)])
def test_the_part_is_in_mm_whatever_the_unit(pair, units, factor):
    part, _ = read_mesh(pair, units=units)
    (feature,) = part.features
    assert (feature.shape.diameter, feature.length) == pytest.approx((40 * factor, 30 * factor), rel=1e-4)


def test_the_largest_body_is_taken_and_the_others_are_named(pair):
    _, findings = read_mesh(pair, units="mm")
    assert MORE_BODIES.code in {f.code for f in findings}
    (reading,), _ = chosen_readings(pair, "mm", None, False)
    (other,) = next(f for f in findings if f.code == MORE_BODIES.code).value("names")
    assert reading.name != other
    part, findings = read_mesh(pair, units="mm", body=other)
    assert part.features[0].shape.diameter == pytest.approx(20, abs=1e-3)
    assert MORE_BODIES.code not in {f.code for f in findings}


def test_a_model_by_features_or_of_flat_panels(pair):
    by_features = model_from_mesh(pair, units="mm")
    assert [f.shape.diameter for f in by_features.part.features] == pytest.approx([40], abs=1e-3)
    assert MORE_BODIES.code in {f.code for f in by_features.findings}
    flat = model_from_mesh(pair, units="mm", panels=12)
    assert flat.part.features == () and sum(len(p.panels) for p in flat.nets.pieces) <= 12
    assert flat.nets.checks.passed()


def test_a_mesh_without_round_features(tmp_path):
    """A cube of 12 triangles: six panels."""
    p = [(x, y, z) for x in (0, 30) for y in (0, 30) for z in (0, 30)]
    quads = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    path = write_stl(
        tmp_path / "cube.stl", [t for a, b, c, d in quads for t in ((p[a], p[b], p[c]), (p[a], p[c], p[d]))]
    )
    assert sum(len(net.panels) for net in model_from_mesh(path, units="mm").nets.pieces) == 6
    assert "rebuilt" not in reading_report(path, units="mm")["bodies"][0]


@pytest.mark.parametrize("panels", [3, 0, -1, 2001, 12.5, "many"])
def test_panels_out_of_range_are_refused_before_the_file_is_read(panels, tmp_path):
    with pytest.raises(FoldsketchError) as caught:
        model_from_mesh(tmp_path / "none.stl", panels=panels)
    assert caught.value.findings[0].where == "panels"


def test_the_report_has_the_keys_of_the_command(pair, capsys):
    from foldsketch.cli import main

    assert main(["read", str(pair), "--units", "mm", "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    report = reading_report(pair, units="mm")
    assert report == printed and [len(b["features"]) for b in report["bodies"]] == [3, 3]
    assert report["bodies"][0]["rebuilt"]["volume"] == pytest.approx(
        2 * math.pi / N / math.sin(2 * math.pi / N), abs=1e-6
    )


def test_a_file_that_is_not_there(tmp_path):
    for read in (read_mesh, model_from_mesh, reading_report, foldsketch.read_part):
        with pytest.raises(FoldsketchError):
            read(tmp_path / "none.stl")
