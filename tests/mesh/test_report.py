"""Reports of readings: JSON with the keys of the format page, and a table."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from foldsketch.base.findings import Finding
from foldsketch.mesh.comparison.compare import Comparison
from foldsketch.mesh.features.mesh_reading import MeshReading
from foldsketch.mesh.report import reading_json, reading_table
from meshes import read, turned

ARC = [(20 - 4 * np.sin(a), 16 - 4 * np.cos(a)) for a in np.linspace(0, np.pi / 2, 9)]
PROFILE = [(0, 0), (43, 0), (45, 2), (45, 12), *ARC, (15, 50), (0, 50)]
"""A disc with a chamfer, a fillet, and a drafted spigot."""


@pytest.fixture(scope="module")
def reading(tmp_path_factory: pytest.TempPathFactory) -> MeshReading:
    return read(turned(PROFILE), tmp_path_factory.mktemp("report"), None)


def test_the_report_has_the_keys_of_the_format_page(reading: MeshReading) -> None:
    tree = json.loads(reading_json([(reading, None)]))
    assert tree["format"] == "foldsketch-reading 2"
    assert (tree["source"], tree["kind"], tree["units"]) == ("part.stl", "mesh", None)
    (body,) = tree["bodies"]
    assert (body["name"], body["watertight"]) == ("part", True)
    wanted = {"name", "kind", "inner", "diameter", "end_diameter", "point", "direction", "start", "end"}
    wanted |= {"misfit_max", "misfit_rms", "wrap", "tolerance", "exact"}
    assert all(wanted <= set(f) for f in body["features"])
    assert {f["kind"]: f.get("tube_diameter") for f in body["features"]} == {
        "cylinder": None,
        "cone": None,
        "plane": None,
        "torus": pytest.approx(8, abs=1e-4),
    }
    assert set(body["axes"][0]) >= {"name", "point", "direction", "features"}
    assert {f["code"] for f in body["findings"]} >= {"mesh-unit-assumed", "features-left-out"}
    names = [f["name"] for f in body["features"]]
    assert len(names) == len(set(names))


def test_the_same_reading_gives_the_same_bytes(reading: MeshReading, tmp_path: Path) -> None:
    assert reading_json([(reading, None)]) == reading_json([(read(turned(PROFILE), tmp_path, None), None)])


def test_a_comparison_goes_into_the_report(reading: MeshReading) -> None:
    tree = json.loads(reading_json([(reading, Comparison(1.01, 1.02, 0.3, 0.1, 0.4, 0.2, 0.05, 1.005))]))
    assert tree["bodies"][0]["rebuilt"] == {
        "volume": 1.01,
        "volume_ratio": 1.005,
        "farthest": 0.4,
        "area": 1.02,
        "farthest_from_mesh": 0.3,
        "farthest_from_part": 0.4,
        "mean_from_mesh": 0.1,
        "mean_from_part": 0.2,
        "mesh_chord": 0.05,
    }


def test_the_table_has_a_row_for_every_round_and_the_worst_finding_first(reading: MeshReading) -> None:
    lines = reading_table([reading]).splitlines()
    rows = {line.split("  ")[0]: line.split() for line in lines}
    assert rows["disc"][1:5] == ["A", "90", "2", "12"]
    assert {"chamfer (left out)", "fillet (left out)", "drafted spigot (left out)"} <= set(rows)
    assert rows["fillet (left out)"][4:7] == ["40", "/", "8"]
    assert rows["fillet (left out)"][7:9] == ["12", "16"]  # from the same point of the axis as the disc
    findings = [line for line in lines if line.startswith(("warning: ", "note: "))]
    assert findings[0].startswith("warning: part: ")
    assert len(findings) == 4


def test_a_reading_shows_itself_in_a_line(reading: MeshReading) -> None:
    assert repr(reading) == "<MeshReading 'part': 2 round features on 1 axes>"


def test_one_report_for_all_bodies(reading: MeshReading) -> None:
    """What is said of the file stands once; what is said of a body stands with it."""
    of_file = Finding("a-code", "note", reading.source, "is a file")
    mine = Finding("b-code", "note", "part", "is a body")
    both = [replace(reading, name=name, findings=(of_file, mine)) for name in ("part 1", "part 2")]
    tree = json.loads(reading_json([(r, None) for r in both]))
    assert [b["name"] for b in tree["bodies"]] == ["part 1", "part 2"]
    assert [f["code"] for f in tree["findings"]] == ["a-code"]
    assert [[f["code"] for f in b["findings"]] for b in tree["bodies"]] == [["b-code"]] * 2
