"""Readings of meshes made with general-purpose libraries: strips, near misses, poses, units, reports."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import trimesh
from scipy.spatial.transform import Rotation

from foldsketch.base.findings import FoldsketchError
from foldsketch.mesh.features.recognise import recognise_mesh
from foldsketch.mesh.features.result import MeasuredFeature, MeshReading
from foldsketch.mesh.report import reading_json, reading_table


def turned(profile: list[tuple[float, float]], sections: int = 48) -> trimesh.Trimesh:
    """A solid of revolution about z, meshed in strips: corners (r, z) from the axis round to the axis."""
    t = np.arange(sections) * 2 * np.pi / sections
    rings = []
    for r, z in profile:
        rings.append(np.column_stack((r * np.cos(t), r * np.sin(t), np.full(sections, z))))
    points = np.concatenate(rings)
    faces = []
    for k in range(len(profile) - 1):
        for i in range(sections):
            j = (i + 1) % sections
            a, b, c, d = k * sections + i, k * sections + j, (k + 1) * sections + j, (k + 1) * sections + i
            faces += [(a, b, c), (a, c, d)]
    mesh = trimesh.Trimesh(points, faces, process=True, merge_norm=True)
    mesh.update_faces(mesh.nondegenerate_faces())
    mesh.fix_normals()
    return mesh


def read(mesh: trimesh.Trimesh, folder: Path, units: str | None = "mm", keep: bool = False) -> MeshReading:
    path = folder / "part.stl"
    path.write_bytes(mesh.export(file_type="stl"))
    return recognise_mesh(path, units, keep)[0]


def rounds(reading: MeshReading, kind: str = "cylinder") -> list[MeasuredFeature]:
    return [m for m in reading.features if m.kind == kind]


STACK = [(0, 0), (45, 0), (45, 12), (16, 12), (16, 40), (0, 40)]


def test_a_stack_of_strips(tmp_path: Path) -> None:
    r = read(turned(STACK), tmp_path)
    assert sorted((round(m.diameter, 4), round(m.start, 4), round(m.end, 4)) for m in rounds(r)) == [
        (32.0, 12.0, 40.0),
        (90.0, 0.0, 12.0),
    ]
    assert [a.name for a in r.axes] == ["A"]
    assert len(r.axes[0].features) == 2
    assert r.explained_area == pytest.approx(1)
    assert all(m.wrap == pytest.approx(360) and m.misfit_max < 1e-5 for m in rounds(r))


@pytest.mark.parametrize("seed", range(4))
def test_any_pose_gives_the_same_sizes(seed: int, tmp_path: Path) -> None:
    mesh = turned(STACK)
    turn = Rotation.random(random_state=seed).as_matrix()
    shift = np.random.default_rng(seed).uniform(-80, 80, 3)
    mesh.vertices = mesh.vertices @ turn.T + shift
    r = read(mesh, tmp_path)
    assert sorted(m.diameter for m in rounds(r)) == pytest.approx([32, 90], abs=1e-4)
    for m in rounds(r):
        d = np.array(m.direction)
        assert abs(float(d @ turn[:, 2])) == pytest.approx(1, abs=1e-10)
        off = np.array(m.point) - shift
        assert np.linalg.norm(off - d * (off @ d)) < 1e-4
        assert m.length == pytest.approx(12 if m.diameter > 50 else 28, abs=1e-4)


def test_inches_become_mm_and_unknown_units_are_refused(tmp_path: Path) -> None:
    mesh = turned(STACK)
    mesh.apply_scale(1 / 25.4)
    assert max(m.diameter for m in rounds(read(mesh, tmp_path, "in"))) == pytest.approx(90, abs=1e-4)
    with pytest.raises(FoldsketchError, match="cubits"):
        read(mesh, tmp_path, "cubits")


def test_without_units_both_sizes_are_told(tmp_path: Path) -> None:
    r = read(turned(STACK), tmp_path, None)
    told = next(f for f in r.findings if "unit" in f.what)
    assert "40 mm" in told.text
    assert "1016 mm" in told.text  # 40 in


def test_a_fillet_a_chamfer_and_draft_are_left_out_and_told(tmp_path: Path) -> None:
    arc = [(20 - 4 * np.sin(a), 12 + 4 - 4 * np.cos(a)) for a in np.linspace(0, np.pi / 2, 9)]
    arc = [(16 + 4 - 4 * np.sin(a), 16 - 4 * np.cos(a)) for a in np.linspace(0, np.pi / 2, 9)]
    profile = [(0, 0), (43, 0), (45, 2), (45, 12), *arc, (15, 50), (0, 50)]
    r = read(turned(profile), tmp_path)
    roles = {m.role: m for m in r.features if m.kind != "plane"}
    assert set(roles) == {"feature", "chamfer", "fillet", "draft"}
    assert roles["fillet"].tube == pytest.approx(8, abs=1e-4)
    assert roles["fillet"].kind == "torus"
    assert (roles["chamfer"].diameter, roles["chamfer"].end_diameter) == pytest.approx((86, 90), abs=1e-4)
    assert roles["draft"].kind == "cone"
    assert [m.diameter for m in rounds(r)] == pytest.approx([90], abs=1e-4)
    text = reading_table([r])
    for word in ("fillets", "chamfers", "drafted"):
        assert word in text


@pytest.mark.parametrize("degrees", [0.2, 1.0, 3.0])
def test_a_taper_is_no_cylinder(degrees: float, tmp_path: Path) -> None:
    top = 20 - 40 * np.tan(np.radians(degrees))
    r = read(turned([(0, 0), (20, 0), (top, 40), (0, 40)]), tmp_path)
    assert rounds(r) == []
    (cone,) = rounds(r, "cone")
    assert (cone.diameter, cone.end_diameter) == pytest.approx((40, 2 * top), abs=1e-4)


def test_an_oval_is_no_cylinder_and_is_named(tmp_path: Path) -> None:
    mesh = trimesh.creation.cylinder(20, 15, sections=64)
    mesh.vertices = mesh.vertices * [1.05, 1, 1]
    r = read(mesh, tmp_path)
    assert rounds(r) == []
    assert any("oval wall, 42 x 40" in f.text for f in r.findings)
    assert r.explained_area < 0.7


def test_a_dome_that_is_no_ball_is_named(tmp_path: Path) -> None:
    mesh = trimesh.creation.icosphere(subdivisions=4, radius=20)
    mesh.vertices = mesh.vertices * [1, 1, 1.4]
    r = read(mesh, tmp_path)
    assert not [m for m in r.features if m.kind != "plane"]
    assert any("turned surface" in f.text for f in r.findings)


def test_a_ball_is_a_ball(tmp_path: Path) -> None:
    r = read(trimesh.creation.icosphere(subdivisions=3, radius=17), tmp_path)
    (ball,) = rounds(r, "sphere")
    assert ball.diameter == pytest.approx(34, abs=1e-4)


@pytest.mark.parametrize("sides", [3, 4, 5, 6, 8])
def test_flats_are_no_cylinder(sides: int, tmp_path: Path) -> None:
    r = read(trimesh.creation.cylinder(20, 15, sections=sides), tmp_path)
    assert rounds(r) == []
    assert len(rounds(r, "plane")) == sides + 2


@pytest.mark.parametrize("sides", [16, 24, 48, 180])
def test_enough_sides_are_a_cylinder_of_the_corners_diameter(sides: int, tmp_path: Path) -> None:
    (m,) = rounds(read(trimesh.creation.cylinder(20, 15, sections=sides), tmp_path))
    assert m.diameter == pytest.approx(40, abs=1e-4)  # corners lie on the round [references 10]
    assert m.sides == pytest.approx(sides, rel=0.01)


def test_twelve_sides_are_a_round_with_a_doubt_alone_and_flats_beside_a_fine_round(tmp_path: Path) -> None:
    coarse = trimesh.creation.cylinder(20, 15, sections=12)
    alone = read(coarse, tmp_path)
    assert len(rounds(alone)) == 1
    assert any("few sides" in f.text for f in alone.findings)
    fine = trimesh.creation.cylinder(8, 30, sections=72)
    fine.apply_translation((0, 0, 15))
    both = read(trimesh.boolean.union([coarse, fine], engine="manifold"), tmp_path)
    assert [m.diameter for m in rounds(both)] == pytest.approx([16], abs=1e-3)
    assert any("true flats" in f.text for f in both.findings)


def test_booleans_of_strips_keep_their_cylinders(tmp_path: Path) -> None:
    """Where a bore cuts the flat sides of a meshed cylinder its corners lie on the sides, not on the round."""
    shaft = trimesh.creation.cylinder(20, 80, sections=96)
    bore = trimesh.creation.cylinder(6, 60, sections=48)
    bore.apply_transform(trimesh.transformations.rotation_matrix(np.pi / 2, (0, 1, 0)))
    r = read(trimesh.boolean.difference([shaft, bore], engine="manifold"), tmp_path)
    sizes = sorted((round(m.diameter, 2), m.inner) for m in rounds(r) if m.wrap > 200)
    assert sizes == [(12.0, True), (40.0, False)]


def test_bodies_are_read_one_by_one_or_by_name(tmp_path: Path) -> None:
    one, other = trimesh.creation.cylinder(20, 10, sections=48), trimesh.creation.cylinder(5, 10, sections=48)
    other.apply_translation((60, 0, 0))
    path = tmp_path / "two.stl"
    path.write_bytes(trimesh.util.concatenate([one, other]).export(file_type="stl"))
    assert [r.name for r in recognise_mesh(path)] == ["two 1", "two 2"]
    (small,) = recognise_mesh(path, body="two 2")
    assert rounds(small)[0].diameter == pytest.approx(10, abs=1e-4)
    with pytest.raises(FoldsketchError, match="no body"):
        recognise_mesh(path, body="three")


def test_the_report_has_the_keys_of_the_format_page(tmp_path: Path) -> None:
    r = read(turned(STACK), tmp_path)
    data = reading_json(r)
    assert data == reading_json(read(turned(STACK), tmp_path))
    tree = json.loads(data)
    assert tree["format"] == "foldsketch-reading 1"
    assert tree["source"] == "part.stl"
    assert tree["watertight"] is True
    wanted = {"name", "kind", "inner", "diameter", "end_diameter", "point", "direction", "start", "end"}
    wanted |= {"misfit_max", "misfit_rms", "wrap"}
    assert all(wanted <= set(f) for f in tree["features"])
    assert {f["kind"] for f in tree["features"]} == {"cylinder", "plane"}
    assert set(tree["axes"][0]) >= {"name", "point", "direction", "features"}
    assert {f["level"] for f in tree["findings"]} <= {"note", "warning", "error"}
    names = [f["name"] for f in tree["features"]]
    assert len(names) == len(set(names))
