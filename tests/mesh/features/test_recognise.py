"""Readings of meshes made with general-purpose libraries: strips, near misses, poses, units, reports."""

from __future__ import annotations

from pathlib import Path

import manifold3d as m3
import numpy as np
import pytest
import trimesh
from scipy.spatial.transform import Rotation

from foldsketch.base.findings import FoldsketchError
from foldsketch.mesh.features.recognise import recognise_mesh
from meshes import box, codes, cylinder, from_solid, read, rounds, threemf, turned, values

STACK: list[tuple[float, float]] = [(0, 0), (45, 0), (45, 12), (16, 12), (16, 40), (0, 40)]


def test_a_stack_of_strips(tmp_path: Path) -> None:
    r = read(turned(STACK), tmp_path)
    assert sorted((round(m.diameter, 4), round(m.start, 4), round(m.end, 4)) for m in rounds(r)) == [
        (32.0, 12.0, 40.0),
        (90.0, 0.0, 12.0),
    ]
    assert [a.name for a in r.axes] == ["A"]
    assert len(r.axes[0].features) == 2
    assert r.explained_area == pytest.approx(1)
    assert all(m.covered_degrees == pytest.approx(360) and m.misfit_max < 1e-5 for m in rounds(r))


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
    with pytest.raises(FoldsketchError) as caught:
        read(mesh, tmp_path, "cubits")
    assert codes(caught.value.findings) == ["mesh-unit-unknown"]


def test_without_units_both_sizes_are_given(tmp_path: Path) -> None:
    found = values(read(turned(STACK), tmp_path, None).findings, "mesh-unit-assumed")
    assert (found["x"], found["y"], found["z"]) == pytest.approx((90, 90, 40))
    assert found["inch_z"] == pytest.approx(1016)  # 40 in


def test_a_unit_in_the_file_is_named_and_not_taken(tmp_path: Path) -> None:
    path = tmp_path / "box.3mf"
    path.write_bytes(threemf(trimesh.creation.box((10, 20, 30)), "inch"))
    reading = recognise_mesh(path)[0]
    assert values(reading.findings, "mesh-unit-not-as-in-file")["unit"] == "in"
    assert reading.size == pytest.approx((10, 20, 30))
    assert "mesh-unit-not-as-in-file" not in codes(recognise_mesh(path, "in")[0].findings)


def test_a_fillet_a_chamfer_and_draft_are_left_out_and_reported(tmp_path: Path) -> None:
    arc = [(16 + 4 - 4 * np.sin(a), 16 - 4 * np.cos(a)) for a in np.linspace(0, np.pi / 2, 9)]
    profile = [(0, 0), (43, 0), (45, 2), (45, 12), *arc, (15, 50), (0, 50)]
    r = read(turned(profile), tmp_path)
    roles = {m.role: m for m in r.features if m.kind != "plane"}
    assert set(roles) == {"feature", "chamfer", "fillet", "draft"}
    assert roles["fillet"].tube_diameter == pytest.approx(8, abs=1e-4)
    assert roles["fillet"].kind == "torus"
    assert (roles["chamfer"].diameter, roles["chamfer"].end_diameter) == pytest.approx((86, 90), abs=1e-4)
    assert roles["draft"].kind == "cone"
    assert [m.diameter for m in rounds(r)] == pytest.approx([90], abs=1e-4)
    left_out = {f.value("kind"): f.value("count") for f in r.findings if f.code == "features-left-out"}
    assert left_out == {"fillets": 1, "chamfers": 1}
    assert values(r.findings, "draft-straightened")["count"] == 1


def test_what_is_kept_is_reported_as_kept(tmp_path: Path) -> None:
    r = read(turned([(0, 0), (43, 0), (45, 2), (45, 12), (0, 12)]), tmp_path, keep=True)
    cone = np.pi * (43 + 45) * np.hypot(2, 2)  # area of a frustum: pi (r1 + r2) s; the mesh has 48 sides of it
    assert values(r.findings, "features-kept")["area"] == pytest.approx(cone, rel=3e-3)


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
    found = values(r.findings, "oval-wall")
    assert (found["long"], found["short"]) == pytest.approx((42, 40), abs=1e-3)
    assert r.explained_area < 0.7


@pytest.mark.slow
def test_a_dome_that_is_no_ball_is_named(tmp_path: Path) -> None:
    mesh = trimesh.creation.icosphere(subdivisions=4, radius=20)
    mesh.vertices = mesh.vertices * [1, 1, 1.4]
    r = read(mesh, tmp_path)
    assert not [m for m in r.features if m.kind != "plane"]
    assert "curved-profile" in codes(r.findings)


@pytest.mark.slow
def test_a_lump_is_a_free_form(tmp_path: Path) -> None:
    mesh = trimesh.creation.icosphere(subdivisions=4, radius=20)
    x, y, z = mesh.vertices.T
    mesh.vertices *= (1 + 0.2 * np.sin(0.2 * x + 1) * np.cos(0.17 * y) + 0.15 * np.sin(0.02 * z * x))[:, None]
    r = read(mesh, tmp_path)
    assert "free-form" in codes(r.findings)
    assert "no-round-features" in codes(r.findings)
    assert not r.has_round_features


def test_a_wall_that_is_no_circle_is_named(tmp_path: Path) -> None:
    """A cam: r = 20 + 3 cos 3t."""
    t = np.arange(90) * 2 * np.pi / 90
    outline = (20 + 3 * np.cos(3 * t))[:, None] * np.column_stack((np.cos(t), np.sin(t)))
    r = read(from_solid(m3.Manifold.extrude(m3.CrossSection([outline]), 12)), tmp_path)
    assert "curved-wall" in codes(r.findings)
    assert rounds(r) == []


@pytest.mark.parametrize("off", [5e-5, 1e-4, 1e-3])
def test_noise_of_the_last_digits_is_measured(off: float, tmp_path: Path) -> None:
    """Every corner moved by normal deviates: more than rounding explains, less than a drawing would show."""
    shaft = m3.Manifold.cylinder(40, 12, 12, 96).refine_to_length(2.5)
    mesh = from_solid(shaft.warp_batch(lambda p: p * on_circle(p, 12)[:, None] ** [1, 1, 0]))
    mesh.vertices = mesh.vertices + np.random.default_rng(2).normal(size=mesh.vertices.shape) * off
    r = read(mesh, tmp_path)
    (m,) = rounds(r)
    assert m.diameter == pytest.approx(24, abs=off)
    assert r.segmentation.noise == pytest.approx(off, rel=0.3)


def on_circle(points: np.ndarray, radius: float) -> np.ndarray:
    """What takes corners (n, 3) on the chords of a round onto it; 1 for those inside it."""
    r = np.hypot(points[:, 0], points[:, 1])
    return np.where(r > 0.99 * radius, radius / np.maximum(r, 1e-9), 1.0)


def test_half_a_round_gives_nothing_to_turn(tmp_path: Path) -> None:
    r = read(from_solid(cylinder(40, 0, 20) - box(-50, 0, -1, 100, 50, 50)), tmp_path)
    assert "only-partial-rounds" in codes(r.findings)
    assert not r.has_round_features


@pytest.mark.parametrize("finer", [1, pytest.param(2, marks=pytest.mark.slow)])
def test_a_noisy_mesh_is_reported_with_its_noise(finer: int, tmp_path: Path) -> None:
    mesh = trimesh.creation.cylinder(20, 30, sections=96)
    for _ in range(finer):
        mesh = mesh.subdivide()
    radial = np.hypot(mesh.vertices[:, 0], mesh.vertices[:, 1]) > 1
    mesh.vertices[radial, :2] *= (20 / np.hypot(*mesh.vertices[radial, :2].T))[:, None]
    mesh.vertices = mesh.vertices + np.random.default_rng(3).normal(size=mesh.vertices.shape) * 0.02
    r = read(mesh, tmp_path)
    assert 0.01 < values(r.findings, "mesh-noisy")["noise"] < 0.04
    (m,) = rounds(r)
    assert m.diameter == pytest.approx(40, abs=0.02)


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
    assert values(alone.findings, "coarse-round") == {"diameter": pytest.approx(40, abs=1e-4), "sides": 12}
    fine = trimesh.creation.cylinder(8, 30, sections=72)
    fine.apply_translation((0, 0, 15))
    both = read(trimesh.boolean.union([coarse, fine], engine="manifold"), tmp_path)
    assert [m.diameter for m in rounds(both)] == pytest.approx([16], abs=1e-3)
    assert values(both.findings, "flats-beside-fine-rounds") == {
        "sides": 12,
        "across": pytest.approx(40 * np.cos(np.pi / 12), abs=1e-3),
        "diameter": pytest.approx(40, abs=1e-3),
    }


def test_booleans_of_strips_keep_their_cylinders(tmp_path: Path) -> None:
    """Where a bore cuts the flat sides of a meshed cylinder its corners lie on the sides, not on the round."""
    shaft = trimesh.creation.cylinder(20, 80, sections=96)
    bore = trimesh.creation.cylinder(6, 60, sections=48)
    bore.apply_transform(trimesh.transformations.rotation_matrix(np.pi / 2, (0, 1, 0)))
    r = read(trimesh.boolean.difference([shaft, bore], engine="manifold"), tmp_path)
    sizes = sorted((round(m.diameter, 2), m.inner) for m in rounds(r) if m.covered_degrees > 200)
    assert sizes == [(12.0, True), (40.0, False)]


def test_bodies_are_read_one_by_one_or_by_name(tmp_path: Path) -> None:
    one, other = trimesh.creation.cylinder(20, 10, sections=48), trimesh.creation.cylinder(5, 10, sections=48)
    other.apply_translation((60, 0, 0))
    path = tmp_path / "two.stl"
    path.write_bytes(trimesh.util.concatenate([one, other]).export(file_type="stl"))
    assert [r.name for r in recognise_mesh(path)] == ["two 1", "two 2"]
    (small,) = recognise_mesh(path, body="two 2")
    assert rounds(small)[0].diameter == pytest.approx(10, abs=1e-4)
    assert recognise_mesh(path, body="2")[0].name == "two 2"
    with pytest.raises(FoldsketchError) as caught:
        recognise_mesh(path, body="three")
    assert codes(caught.value.findings) == ["mesh-body-unknown"]


def test_holes_in_pads_on_a_bolt_circle_with_a_gap_are_bolt_holes_in_a_flange(tmp_path: Path) -> None:
    turns = [np.radians(60 * k) for k in (1, 2, 3, 4, 5)]
    solid = cylinder(144, 0, 16) + cylinder(50, 16, 48)
    for t in turns:
        solid += cylinder(20, 16, 20, 59 * np.cos(t), 59 * np.sin(t))
    for t in turns:
        solid -= cylinder(11, -1, 21, 59 * np.cos(t), 59 * np.sin(t))
    reading = read(from_solid(solid), tmp_path)
    names = [m.name for m in reading.features if m.kind == "cylinder"]
    assert {n for n in names if n[:4] in ("bolt", "pad ")} == {
        f"{w} {k}" for w in ("bolt hole", "pad") for k in range(1, 6)
    }
    assert "flange" in names
    (circle,) = reading.bolt_circles
    assert (circle.count, circle.axis) == (5, "A")
    assert circle.diameter == pytest.approx(118, abs=1e-3)


def test_three_holes_that_are_not_evenly_spaced_are_no_bolt_circle(tmp_path: Path) -> None:
    solid = cylinder(144, 0, 16)
    for degrees in (0, 40, 200):
        t = np.radians(degrees)
        solid -= cylinder(11, -1, 17, 59 * np.cos(t), 59 * np.sin(t))
    assert read(from_solid(solid), tmp_path).bolt_circles == ()
