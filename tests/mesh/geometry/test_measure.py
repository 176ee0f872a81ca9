"""Areas, volumes and bounds of triangles: those of trimesh."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.mesh.geometry import measure

MESHES = [trimesh.creation.box((3, 4, 5)), trimesh.creation.icosphere(2), trimesh.creation.annulus(2, 5, 3)]


@pytest.mark.parametrize("mesh", MESHES, ids=["box", "ball", "ring"])
def test_area_volume_and_bounds(mesh: trimesh.Trimesh) -> None:
    corners, triangles = np.asarray(mesh.vertices), np.asarray(mesh.faces)
    assert measure.signed_volume(corners + 100, triangles) == pytest.approx(mesh.volume)
    assert measure.triangle_areas(corners, triangles) == pytest.approx(mesh.area_faces)
    assert np.array(measure.coordinate_bounds(corners)) == pytest.approx(mesh.bounds)


@given(st.integers(3, 40), st.integers(1, 60), st.integers(0, 9999))
def test_corners_in_use_keep_their_places(count: int, triangles: int, seed: int) -> None:
    t = np.random.default_rng(seed).integers(0, count, (triangles, 3))
    used, local = measure.reindex_corners(count, t)
    assert used.tolist() == sorted(set(t.ravel().tolist())) == measure.corners_used(count, t).tolist()
    assert np.array_equal(used[local], t)


def test_few_triangles_of_many_corners() -> None:
    used, local = measure.reindex_corners(10_000, np.array([[9000, 5, 77]]))
    assert (used.tolist(), local.tolist()) == ([5, 77, 9000], [[2, 0, 1]])


@given(st.lists(st.integers(0, 5), max_size=40))
def test_rows_by_value(values: list[int]) -> None:
    rows = measure.rows_by_value(np.array(values, dtype=np.int64))
    assert [[values[k] for k in group] for group in rows] == [[v] * values.count(v) for v in sorted(set(values))]


def test_scatter_of_weighted_vectors() -> None:
    v, w = np.random.default_rng(1).normal(size=(20, 3)), np.random.default_rng(2).random(20)
    assert measure.weighted_scatter(v, w) == pytest.approx(sum(k * np.outer(x, x) for k, x in zip(w, v, strict=True)))
