"""Few flat panels: closed, each flat to the last digit, and how far they are off."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import trimesh

from foldsketch.base.findings import FoldsketchError
from foldsketch.mesh.features.mesh_reading import MeshReading
from foldsketch.mesh.panels.simplify import SimplifiedMesh, simplify
from meshes import codes, read, values

pytest.importorskip("fast_simplification")


def lump() -> trimesh.Trimesh:
    """A free form without a round in it."""
    mesh = trimesh.creation.icosphere(subdivisions=3, radius=30)
    x, y, z = mesh.vertices.T
    r = 1 + 0.15 * np.sin(0.11 * x + 0.3) * np.cos(0.09 * y) + 0.1 * np.sin(0.1 * z * x / 10)
    mesh.vertices = mesh.vertices * r[:, None] * [1.3, 1, 0.8]
    return mesh


def check(s: SimplifiedMesh) -> None:
    """Closed, every edge once each way; every panel flat."""
    edges = [e for p in s.polygons for loop in p for e in zip(loop, (*loop[1:], loop[0]), strict=True)]
    assert len(edges) == len(set(edges))
    assert {(b, a) for a, b in edges} == set(edges)
    for p in s.polygons:
        points = s.corners[[v for loop in p for v in loop]]
        assert np.linalg.svd(points - points.mean(axis=0), compute_uv=False)[-1] < 1e-9


def runs_through_itself(s: SimplifiedMesh) -> bool:
    """By another way than the reader's: shapely in the plane of every panel. Where another panel's edge goes through
    that plane, the point must not lie inside the panel."""
    from shapely import Point, Polygon

    edges = {tuple(sorted(e)) for p in s.polygons for loop in p for e in zip(loop, (*loop[1:], loop[0]), strict=True)}
    for p in s.polygons:
        own = {v for loop in p for v in loop}
        at = s.corners[list(p[0])]
        normal = np.cross(at[1:-1] - at[0], at[2:] - at[0]).sum(axis=0)
        normal /= np.linalg.norm(normal)
        x = at[1] - at[0]
        frame = np.column_stack((x, np.cross(normal, x))) / np.linalg.norm(x)
        panel = Polygon((at - at[0]) @ frame, [(s.corners[list(h)] - at[0]) @ frame for h in p[1:]]).buffer(-1e-6)
        for a, b in edges:
            if a in own or b in own:
                continue
            u, v = (s.corners[k] - at[0] for k in (a, b))
            if (u @ normal) * (v @ normal) >= 0:
                continue
            t = (u @ normal) / ((u - v) @ normal)
            if panel.contains(Point(*((u + t * (v - u)) @ frame))):
                return True
    return False


def dish(thickness: float) -> trimesh.Trimesh:
    """A bent dish of even thickness."""
    balls = [trimesh.creation.icosphere(subdivisions=3, radius=r) for r in (30.0, 30.0 - thickness)]
    for m in balls:
        x, y, _ = m.vertices.T
        m.vertices *= (1 + 0.08 * np.sin(0.2 * x + 1) * np.cos(0.23 * y))[:, None] * [1.3, 1.0, 0.8]
    lid = trimesh.creation.box(bounds=[[-60, -60, 5.3], [60, 60, 60]])
    return trimesh.boolean.difference([*balls, lid], engine="manifold")


@pytest.mark.slow
def test_walls_do_not_run_through_one_another(tmp_path: Path) -> None:
    """Collapsing the edges of a thin dish soon drives one wall through the other. That is refused; a thick dish, and
    more panels, come out whole."""
    thin = read(dish(0.6), tmp_path)
    with pytest.raises(FoldsketchError) as caught:
        simplify(thin, 60)
    assert codes(caught.value.findings) == ["panels-cross"]
    thick = read(dish(6.0), tmp_path)
    s = simplify(thick, 120)
    check(s)
    assert not runs_through_itself(s)


def test_a_body_of_planes_keeps_its_faces(tmp_path: Path) -> None:
    bar = trimesh.boolean.union(
        [trimesh.creation.box(bounds=[[0, 0, 0], [60, 40, 8]]), trimesh.creation.box(bounds=[[0, 0, 0], [8, 40, 48]])],
        engine="manifold",
    )
    window = trimesh.creation.box(bounds=[[-1, 10, 20], [9, 30, 40]])
    s = simplify(read(trimesh.boolean.difference([bar, window], engine="manifold"), tmp_path), 100)
    check(s)
    assert len(s.polygons) == 8 + 4
    assert sum(len(p) == 2 for p in s.polygons) == 2  # both faces round the window
    assert s.compared.max_distance < 1e-5


@pytest.fixture(scope="module")
def lump_read(tmp_path_factory: pytest.TempPathFactory) -> MeshReading:
    return read(lump(), tmp_path_factory.mktemp("lump"))


@pytest.mark.parametrize("panels", [60, 300])
def test_a_lump_gets_so_many_panels(panels: int, lump_read: MeshReading) -> None:
    s = simplify(lump_read, panels)
    check(s)
    assert 0.8 * panels <= len(s.polygons) <= panels
    assert 0 < s.compared.max_distance < (6.0 if panels == 60 else 1.5)
    found = values(s.findings, "mesh-simplified")
    assert (found["panels"], found["triangles"]) == (len(s.polygons), 20 * 4**3)
    assert (found["mesh_off"], found["panels_off"]) == (s.compared.mesh_to_part_max, s.compared.part_to_mesh_max)
    assert not runs_through_itself(s)


def test_more_panels_stray_less(lump_read: MeshReading) -> None:
    strays = [s.compared.max_distance for s in (simplify(lump_read, n) for n in (40, 160, 640))]
    assert strays[0] > strays[1] > strays[2]


def test_a_torn_mesh_and_too_few_panels_are_refused(lump_read: MeshReading, tmp_path: Path) -> None:
    with pytest.raises(FoldsketchError) as caught:
        simplify(lump_read, 3)
    assert codes(caught.value.findings) == ["panels-too-few"]
    mesh = trimesh.creation.icosphere(subdivisions=2, radius=30)
    mesh.update_faces(np.arange(len(mesh.faces)) > len(mesh.faces) // 3)
    with pytest.raises(FoldsketchError) as caught:
        simplify(read(mesh, tmp_path))
    assert codes(caught.value.findings) == ["panels-of-open-mesh"]


def test_a_ring_keeps_its_hole(tmp_path: Path) -> None:
    """Euler's figure of a torus is 0: corners less edges and faces, each hole of a face one less."""
    ring = trimesh.creation.torus(30, 10, major_sections=24, minor_sections=12)
    x, y, z = ring.vertices.T
    ring.vertices *= (1 + 0.1 * np.sin(0.13 * x + 1) * np.cos(0.11 * y + 0.1 * z))[:, None]
    made = simplify(read(ring, tmp_path), 120)
    check(made)
    corners = {v for p in made.polygons for loop in p for v in loop}
    edges = sum(len(loop) for p in made.polygons for loop in p) / 2
    holes = sum(len(p) - 1 for p in made.polygons)
    assert len(corners) - edges + len(made.polygons) - holes == 0


def test_a_mesh_of_fewer_triangles_than_panels_keeps_them(tmp_path: Path) -> None:
    mesh = trimesh.creation.icosphere(subdivisions=1, radius=30)
    mesh.vertices = mesh.vertices * [1.3, 1, 0.8] + 2 * np.sin(mesh.vertices[:, ::-1] * 0.1)
    s = simplify(read(mesh, tmp_path), 100)
    check(s)
    assert len(s.polygons) == 80
    assert s.compared.max_distance < 1e-4


def test_without_its_library_one_line_says_what_to_install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import sys

    reading = read(lump(), tmp_path)
    monkeypatch.setitem(sys.modules, "fast_simplification", None)
    with pytest.raises(FoldsketchError) as caught:
        simplify(reading, 60)
    assert codes(caught.value.findings) == ["panels-library-missing"]
