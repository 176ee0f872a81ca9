"""Mesh repair: equal corners, the edges of a mesh."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from foldsketch.mesh.repair import mesh_repair
from foldsketch.mesh.repair.mesh_repair import find_mesh_edges, merge_equal_corners


@given(st.lists(st.tuples(*[st.integers(-2, 2)] * 3), min_size=3, max_size=30))
def test_corners_are_merged_when_equal_and_only_then(points: list[tuple[int, int, int]]) -> None:
    triangles = np.arange(len(points) // 3 * 3).reshape(-1, 3)
    corners = np.array(points, dtype=np.float64) * 0.1
    merged, moved = merge_equal_corners(corners, triangles)
    assert np.array_equal(merged[moved], corners[triangles])
    assert len(np.unique(merged, axis=0)) == len(merged) == len(set(points))


def test_minus_nought_is_nought() -> None:
    merged, _ = merge_equal_corners(np.array([[0.0, 1, 2], [-0.0, 1, 2], [3, 4, 5]]), np.array([[0, 1, 2]]))
    assert len(merged) == 2


def test_corners_whose_hashes_are_equal_stay_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(mesh_repair, "HASH_FACTORS", (0, 0, 0))
    corners = np.random.default_rng(1).random((30, 3)).repeat(2, axis=0)
    merged, moved = merge_equal_corners(corners, np.arange(60).reshape(-1, 3))
    assert len(merged) == 30
    assert np.array_equal(merged[moved].reshape(-1, 3), corners)


@pytest.mark.parametrize("sides", [3, 8, 40])
def test_edges_of_a_closed_mesh(sides: int) -> None:
    """Euler: E = V + F - 2; every edge is in two triangles, once each way."""
    mesh = trimesh.creation.cylinder(5, 8, sections=sides)
    edges = find_mesh_edges(np.array(mesh.faces), len(mesh.vertices))
    assert len(edges.face_adjacency) == len(mesh.vertices) + len(mesh.faces) - 2
    assert edges.is_consistent.all()
    assert (len(edges.open_edges), edges.nonmanifold_count) == (0, 0)


def test_edges_of_a_fan() -> None:
    """Three triangles at one edge, one of them wound against another that it meets elsewhere."""
    edges = find_mesh_edges(np.array([[0, 1, 2], [0, 1, 3], [1, 0, 4], [2, 1, 5], [0, 4, 6]]), 7)
    assert edges.nonmanifold_count == 1
    pairs = [tuple(sorted(pair)) for pair in edges.face_adjacency.tolist()]
    assert dict(zip(pairs, edges.is_consistent.tolist(), strict=True)) == {(0, 3): True, (2, 4): False}
    assert len(edges.open_edges) == 3 * 5 - 3 - 2 * 2
