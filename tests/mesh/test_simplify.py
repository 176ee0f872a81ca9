"""The general way: few flat panels, closed, each flat to the last digit, and the deviation told."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import trimesh

from foldsketch.base.findings import FoldsketchError
from foldsketch.mesh.reading import Reading
from foldsketch.mesh.recognise import read_mesh
from foldsketch.mesh.simplify import Simplified, simplify

pytest.importorskip("fast_simplification")


def read(mesh: trimesh.Trimesh, folder: Path) -> Reading:
    path = folder / "lump.stl"
    path.write_bytes(mesh.export(file_type="stl"))
    return read_mesh(path, "mm")[0]


def lump() -> trimesh.Trimesh:
    """A free form without a round in it."""
    mesh = trimesh.creation.icosphere(subdivisions=4, radius=30)
    x, y, z = mesh.vertices.T
    r = 1 + 0.15 * np.sin(0.11 * x + 0.3) * np.cos(0.09 * y) + 0.1 * np.sin(0.1 * z * x / 10)
    mesh.vertices = mesh.vertices * r[:, None] * [1.3, 1, 0.8]
    return mesh


def check(s: Simplified) -> None:
    """Closed, every edge once each way; every panel flat."""
    edges = [e for p in s.polygons for loop in p for e in zip(loop, (*loop[1:], loop[0]), strict=True)]
    assert len(edges) == len(set(edges))
    assert {(b, a) for a, b in edges} == set(edges)
    for p in s.polygons:
        points = s.corners[[v for loop in p for v in loop]]
        assert np.linalg.svd(points - points.mean(axis=0), compute_uv=False)[-1] < 1e-9


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
    assert max(s.out, s.back) < 1e-5


@pytest.mark.parametrize("panels", [60, 300])
def test_a_lump_gets_so_many_panels(panels: int, tmp_path: Path) -> None:
    mesh = lump()
    s = simplify(read(mesh, tmp_path), panels)
    check(s)
    assert 0.8 * panels <= len(s.polygons) <= panels
    assert 0 < max(s.out, s.back) < (6.0 if panels == 60 else 1.5)
    assert f"{len(s.polygons)} panels" in s.findings[0].text


def test_more_panels_stray_less(tmp_path: Path) -> None:
    reading = read(lump(), tmp_path)
    strays = [max(s.out, s.back) for s in (simplify(reading, n) for n in (40, 160, 640))]
    assert strays[0] > strays[1] > strays[2]


def test_a_torn_mesh_and_too_few_panels_are_refused(tmp_path: Path) -> None:
    mesh = lump()
    with pytest.raises(FoldsketchError, match="at least 4"):
        simplify(read(mesh, tmp_path), 3)
    mesh.update_faces(np.arange(len(mesh.faces)) > 3)
    with pytest.raises(FoldsketchError, match="not closed"):
        simplify(read(mesh, tmp_path))
