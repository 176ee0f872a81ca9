"""Reports of readings: JSON with the keys of the format page, and a table."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

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
    tree = json.loads(reading_json(reading))
    assert tree["format"] == "foldsketch-reading 1"
    assert (tree["source"], tree["units"], tree["watertight"]) == ("part.stl", None, True)
    wanted = {"name", "kind", "inner", "diameter", "end_diameter", "point", "direction", "start", "end"}
    wanted |= {"misfit_max", "misfit_rms", "wrap"}
    assert all(wanted <= set(f) for f in tree["features"])
    assert {f["kind"]: f.get("tube_diameter") for f in tree["features"]} == {
        "cylinder": None,
        "cone": None,
        "plane": None,
        "torus": pytest.approx(8, abs=1e-4),
    }
    assert set(tree["axes"][0]) >= {"name", "point", "direction", "features"}
    assert {f["code"] for f in tree["findings"]} >= {"mesh-unit-assumed", "features-left-out"}
    names = [f["name"] for f in tree["features"]]
    assert len(names) == len(set(names))


def test_the_same_reading_gives_the_same_bytes(reading: MeshReading, tmp_path: Path) -> None:
    assert reading_json(reading) == reading_json(read(turned(PROFILE), tmp_path, None))


def test_a_comparison_goes_into_the_report(reading: MeshReading) -> None:
    tree = json.loads(reading_json(reading, Comparison(1.01, 1.02, 0.3, 0.1, 0.4, 0.2, 0.05)))
    assert tree["rebuilt"] == {
        "volume": 1.01,
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
    findings = [line for line in lines if line.startswith(("warning: ", "note: "))]
    assert findings[0].startswith("warning: part: ")
    assert len(findings) == 4


def test_a_reading_shows_itself_in_a_line(reading: MeshReading) -> None:
    assert repr(reading) == "<MeshReading 'part': 2 round features on 1 axes>"
